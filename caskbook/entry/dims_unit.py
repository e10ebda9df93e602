"""Inside dimensions typed without a unit: where in mm they are no cask of its litres, and in inches or centimetres they are, that
is to be asked before anything else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from caskbook.entry.questions import Question

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk
    from caskbook.entry.request import Request

_KEY = ("measure", "dims_mm")


def dims_unit(desk: Desk, request: Request) -> list[Question]:
    """Whether another unit was meant, where that is likely; a yes puts the figures with the unit into the request."""
    texts = request.given.get(_KEY)
    if not texts or request.anyway:
        return []
    from caskbook.entry.caution import known_litres
    from caskbook.entry.shorthand import dims
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.gauging.inside import UNITS, is_unlike, likely_unit
    from caskbook.ledger.whole import whole_life

    text = ", ".join(texts)
    for page in map(desk.page, request.casks):
        if page.record is None or page.record.cask is None:
            continue
        try:
            mm = dims(text, Terms(desk.ledger.house.on(desk.today), desk.today))
        except TypedError:
            return []
        litres = known_litres(whole_life(desk.ledger, page.cask, desk.today))
        unit = likely_unit(mm, litres) if is_unlike(mm, litres) else None
        meant = re.sub(r"(\d)(?=\s*(?:[,;]|bung|head|length|$))", rf"\1{unit}", text)
        if unit is not None and len(re.findall(rf"\d{unit}", meant)) == len(mm) and meant != text:
            no_cask = f"--dims '{text}' in mm is no cask{f' of {litres:g} L' if litres else ''}"
            return [Question("unit", _KEY, f"did you mean {UNITS[unit][1]}: --dims '{meant}'?", (meant,), no_cask)]
    return []
