"""`report leaks`: leaks found in how many cask-years, by the place of the day, healed beside repaired."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, cast

from caskbook.cli.common import one_of, say
from caskbook.cli.gathered import gathered
from caskbook.cli.judged_at import put_out
from caskbook.cli.nearest_filter import near_among
from caskbook.cli.remarks import say_nothing_fits
from caskbook.cli.report_rows import Asked, casks_with
from caskbook.core.finding import CaskbookError
from caskbook.ledger.parallel import no_collecting
from caskbook.life.leaks import Spell
from caskbook.stats.leaks import BY, BY_OF_SEVERAL, By, Cask, fits, leaks_of
from caskbook.stats.leaks_report import LeaksReport, View
from caskbook.stats.report_head import Head
from caskbook.words.plural import number_of

OF_THE_DAY = ("store", "berth", "spirit")
"""Filters that are held against where a cask lay, and what was in it, at the time."""


def run_leaks(asked: Asked, *, by: str | None = None, months: bool = False, still_open: bool = False) -> int:
    """Print the leaks, divided by what `by` names; with `months` each month, with `still_open` each open leak. Always 0."""
    if months and still_open:
        raise CaskbookError("--months and --open: expected one of them")
    name = cast(By, one_of("--by", by or "store", BY_OF_SEVERAL if isinstance(asked.records, tuple) else BY))
    with no_collecting():
        found = gathered(asked, ("leaks",), ("type", "supplier", "berth"), OF_THE_DAY)
        rows = [(facts, one.leaks, one.spells) for facts, one in found.told["leaks"] if one is not None]
        places = {key: found.head.filters[key] for key in OF_THE_DAY if key in found.head.filters}
        account = leaks_of(rows, name, found.head.day, places, found.head.period)
    if places and found.head.casks and not account.casks:
        _say_none_lay_there(asked, rows, places, found.head)
    view: View = "months" if months else "open" if still_open else "all"
    report = LeaksReport(found.head, account, view)
    from caskbook.render import leaks, leaks_data

    put_out(asked.form, lambda width: leaks.leaks_text(report, width=width), lambda form: leaks_data.leaks_data(report, form), asked.revision)
    return 0


def _say_none_lay_there(asked: Asked, rows: Iterable[Cask], places: dict[str, Sequence[str]], head: Head) -> None:
    """No filled cask lay there: not in that time, or never, though casks lie there; else the place is more likely misspelt."""
    spells: list[Spell] = [spell for _, _, spells in rows for spell in spells]
    if any(fits(spell.lying, places) for spell in spells):
        say(f"no filled cask lay here with {_as_typed(places)} {head.period.words()}; at other times one did")
        return
    there = casks_with(asked, places)
    if there:
        say(f"{number_of(there, 'cask')} {'lies' if there == 1 else 'lie'} here with {_as_typed(places)}, and none was ever filled there")
        return
    known: dict[str, set[Any]] = {name: {getattr(spell.lying, name) for spell in spells} for name in ("store", "spirit")}
    say_nothing_fits(places, near_among(known, places))


def _as_typed(places: dict[str, Sequence[str]]) -> str:
    return " ".join(f"--{name} {word}" for name, words in places.items() for word in words)
