"""A day sheet planned: all of its rows or none, and what is wrong with it told in one go. Nothing is asked: what is lacking is a
fault of its row."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.entry.left_over import surplus, wanted_before
from caskbook.entry.plan import Desk, plan_run
from caskbook.entry.plan_request import Draft
from caskbook.entry.refusal import all_the_same
from caskbook.entry.remarks import remarks_on
from caskbook.entry.sheet import Read, read_sheet
from caskbook.entry.sheet_rows import filled_in, refuse_unused
from caskbook.entry.sheet_text import Row
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.build import Asker
    from caskbook.entry.plan import Plan

_MOST_TOLD = 40
_OF_RUN = ("date", "by", "sheet", "records", "yes", "dry-run", "anyway", "commit", "help")
"""Options of the run itself; all others are fields."""


def plan_sheet(desk: Desk, name: str, rows: Sequence[Row], asker: Asker, given: Mapping[str, str]) -> Draft:
    """Plan the rows of a sheet's file `name`. `given`: the options typed with it: date, sheet, anyway, why, and fields for all rows that do
    not say them. CaskbookError where no row is filled in."""
    whole, faults = len(rows), list[tuple[int, str]]()
    rows = filled_in(rows, faults)
    if not rows and not faults:
        raise CaskbookError(f"no row of {name} is filled in ({number_of(whole, 'row')}): nothing to write")
    read, plan = _planned(desk, rows, asker, given, faults)
    skipped = [f"not filled in, and skipped: {number_of(whole - len(rows) - len(faults), 'row')}"] if len(rows) + len(faults) < whole else []
    if read.faults or plan.refusals:
        return Draft(echoes=tuple(skipped), refused=tuple(_fault_lines(name, read, plan, len(rows) + len(faults))))
    known = [f"in the book already: {number_of(read.known, 'entry')}"] if read.known else []
    remarks = remarks_on(desk, plan)
    return Draft(plan, echoes=(*skipped, *known, *read.echoes), remarks=remarks._replace(doubts=(*remarks.doubts, *_at_most(read.changed))))


def sheet_faults(desk: Desk, rows: Sequence[Row], asker: Asker, given: Mapping[str, str]) -> list[tuple[int, str, str]]:
    """(row, what is wrong, what to do) of rows that are filled in, as `plan_sheet` would tell it."""
    from caskbook.entry.says import row_faults

    return row_faults(*_planned(desk, rows, asker, given, []))


def _planned(desk: Desk, rows: Sequence[Row], asker: Asker, given: Mapping[str, str], faults: Sequence[tuple[int, str]]) -> tuple[Read, Plan]:
    """The rows read and planned; `faults`: what is known to be wrong already."""
    if "date" in given:
        rows = [replace(row, cells={"date": given["date"], **row.cells}) for row in rows]
    alike = {key: text for key, text in given.items() if key not in _OF_RUN and (key != "why" or "anyway" not in given)}
    refuse_unused(rows, {key: text for key, text in alike.items() if key != "why"})
    read = read_sheet(desk, rows, asker, given["sheet"], alike, given.get("why"))
    read.faults += faults
    _against_rules(read, given)
    plan = plan_run(desk, read.entries, anyway="anyway" in given)
    read.faults += surplus(plan, read.entries) if not read.faults else []
    read.changed += wanted_before(plan, read.entries)
    return read, plan


def _at_most(lines: Sequence[str]) -> list[str]:
    return [*lines[:_MOST_TOLD], *([f"… and {len(lines) - _MOST_TOLD} more rows that were changed"] if len(lines) > _MOST_TOLD else [])]


def _against_rules(read: Read, given: Mapping[str, str]) -> None:
    """The reason on every entry, where it is written anyway."""
    from caskbook.entry.entry import with_why

    if "anyway" not in given:
        return
    if not given.get("why"):
        raise CaskbookError("--anyway needs its reason: --why …, which is written on the entries")
    read.entries = [replace(entry, data=with_why(entry.data, given["why"])) for entry in read.entries]


def _fault_lines(name: str, read: Read, plan: Plan, rows: int) -> Iterator[str]:
    """All that is wrong with a sheet in the order of its rows: what cannot be read and what cannot have been."""
    from caskbook.entry.says import row_faults

    faults = row_faults(read, plan)
    told: set[str] = set()
    for row, text, remedy in faults[:_MOST_TOLD]:
        yield f"{name} row {row}: {text}"
        if remedy and remedy not in told:
            yield f"  {remedy}"
        told.add(remedy)
    if len(faults) > _MOST_TOLD:
        yield f"… and {len(faults) - _MOST_TOLD} more"
    if not read.faults and all(refusal.policy for refusal in plan.refusals):
        yield all_the_same(plan.refusals)
    count = len({row for row, _, _ in faults})
    yield f"nothing written: {count} of {number_of(rows, 'row')} {'is' if count == 1 else 'are'} to be put right"
