"""Inside dimensions typed without a unit: where in mm they are no cask of its litres, and in inches or centimetres they are, that
is asked before anything else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from caskbook.cli.commands.gauge_lengths import ask_unit

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk
    from caskbook.entry.request import Request

_KEY = ("measure", "dims_mm")


def ask_dims_unit(desk: Desk, request: Request) -> None:
    """Put the unit that was meant into the request, if the answer is yes; CaskbookError else, or where there is nobody to ask."""
    texts = request.given.get(_KEY)
    if not texts or request.anyway:
        return
    from caskbook.entry.caution import known_litres
    from caskbook.entry.shorthand import dims
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.gauging.inside import UNITS, is_unlike, likely_unit

    text = ", ".join(texts)
    for page in map(desk.page, request.casks):
        if page.record is None or page.record.cask is None:
            continue
        try:
            mm = dims(text, Terms(desk.ledger.house.on(desk.today), desk.today))
        except TypedError:
            return
        litres = known_litres(desk.ledger.life_of(page.cask, desk.today))
        unit = likely_unit(mm, litres) if is_unlike(mm, litres) else None
        meant = re.sub(r"(\d)(?=\s*(?:[,;]|bung|head|length|$))", rf"\1{unit}", text)
        if unit is not None and len(re.findall(rf"\d{unit}", meant)) == len(mm) and meant != text:
            ask_unit(f"did you mean {UNITS[unit][1]}: --dims '{meant}'?", f"--dims '{text}' in mm is no cask{f' of {litres:g} L' if litres else ''}")
            request.given[_KEY] = [meant]
            return
