"""`report parts`: what is replaced in how many years, which places leaked again, donors both ways."""

from __future__ import annotations

from typing import cast

from caskbook.cli.common import one_of
from caskbook.cli.gathered import gathered
from caskbook.cli.judged_at import put_out
from caskbook.cli.report_rows import Asked, Gathered, Rows
from caskbook.core.finding import CaskbookError
from caskbook.core.period import Period
from caskbook.ledger.parallel import no_collecting
from caskbook.stats.donors import Donors, added, donors_of
from caskbook.stats.parts import BY, By, Cask, parts_of
from caskbook.stats.parts_report import PartsReport, View
from caskbook.stats.same_place import WITHIN_DAYS, same_place_of


def run_parts(asked: Asked, *, by: str | None = None, within: int | None = None, again: bool = False, donors: bool = False) -> int:
    """Print what was replaced, by what `by` names, and the places that leaked again `within` so many days; with `again` each of these, with `donors` each
    donor. Always 0."""
    if again and donors:
        raise CaskbookError("--again and --donors: expected one of them")
    name = cast(By, one_of("--by", by or "part", BY))
    with no_collecting():
        found = gathered(asked, ("mends",), ("state",), every=True)
        casks, day, period = _casks(found.told["mends"]), found.head.day, found.head.period
        giving = added({name: _donors(one, period) for name, one in found.of.items()}) if found.of else _donors(found, period)
        same = same_place_of(casks, day, WITHIN_DAYS if within is None else within, period)
        parts = parts_of(casks, name, day, period)
    view: View = "again" if again else "donors" if donors else "all"
    report = PartsReport(found.head, parts, same, giving, view)
    from caskbook.render.parts import parts_text
    from caskbook.render.parts_data import parts_data

    put_out(asked.form, lambda width: parts_text(report, width=width), lambda form: parts_data(report, form), asked.revision)
    return 0


def _donors(found: Gathered, period: Period) -> Donors:
    """Who gave parts to whom in one ledger, whose casks alone can."""
    states = {facts["cask"]: facts["state"] for facts, _ in found.every}
    among = {cask.cask for cask in _casks(found.told["mends"])} if found.head.filters else None
    return donors_of(_casks(found.every), states, found.joined, among, period)


def _casks(rows: Rows) -> list[Cask]:
    return [Cask(facts["cask"], mends) for facts, mends in rows if mends is not None]
