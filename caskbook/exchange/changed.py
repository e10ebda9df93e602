"""A row whose cask is in the book already and which says something else: told with both values and the line that puts it right. The book is
never written over; which of the two is right a person says."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import Any

from caskbook.exchange.keys import keys_for
from caskbook.exchange.known import Difference
from caskbook.exchange.reading import RowFault
from caskbook.exchange.register_map import RegisterMap
from caskbook.model.cask_file import Record
from caskbook.model.jobs.cask_head import KEYS as CORRECTED
from caskbook.model.jobs.cask_head import value_words

_TYPED = {"capacity_l": "capacity"}


def changed_faults(
    row: int, cask: str, record: Record | None, found: Sequence[Difference] | None, chart: RegisterMap, goes_on: str | None = None
) -> list[RowFault]:
    """The faults of a row whose number is taken. `found`: its differences from the book, None where the cask did not come in by a register;
    `goes_on`: the number under which the cask goes on, where that is another."""
    heading = chart.headings_of("cask")
    if found is None:
        first = record.cask.events[0] if record is not None and record.cask is not None and record.cask.events else None
        since = f", {first.job} of {first.date}" if first is not None else ""
        return [RowFault(row, heading, cask, "number-in-book", f"is in the book already{since}", f"the same cask? leave it out: caskbook show {cask}", cask)]
    return [_fault(row, cask, one, chart, goes_on or cask) for one in found]


def _fault(row: int, cask: str, difference: Difference, chart: RegisterMap, goes_on: str) -> RowFault:
    """One difference as a question: what the book has, what the row says, and how the row's word would be entered."""
    job, field, book, now = difference
    keys = keys_for(job or "head file", field)
    where = f"{field.replace('_', ' ')} of its {job}" if job else keys[0]
    reason = f"changed: the book has {_words(field, book)} as {where}, this row {_words(field, now)}"
    if job and field == "date" and None in (book, now):
        reason = (
            f"changed: the book has no entry {job} of {now}, this row has one"
            if book is None
            else f"changed: the book has an entry {job} of {book}, this row has none"
        )
    return RowFault(row, chart.heading_for(keys), _words(field, now), "row-changed", reason, f"which is right? {_line(cask, difference, goes_on)}", cask)


def _words(field: str, value: Any) -> str:
    if value is None:
        return "nothing"
    if field == "prior" and isinstance(value, list):
        return "; ".join(f"{one.get('contents')} {one.get('fills', '?')}" for one in value) or "virgin"
    return ", ".join(map(str, value)) if isinstance(value, list) else value_words(field, value) if field in CORRECTED else str(value)


def _line(cask: str, difference: Difference, goes_on: str) -> str:
    """What to type where the row is right. An entry that one of the two lacks is entered, or put out of force: there is none to replace. Of a cask
    of several numbers the head and new entries are those of the one that goes on."""
    job, field, book, now = difference
    if job and field == "date" and book is None:
        return f"the row: caskbook enter {job} {goes_on} --date {now} and what the row says of it; the book: leave the row"
    if job and field == "date" and now is None:
        return f"the row: caskbook void {cask} EVENT --why '…' (caskbook show {goes_on} --all names the entry); the book: leave the row"
    if job:
        return f"the row: enter it anew with --replaces (caskbook show {goes_on} --all names the entry); the book: leave the row"
    if field in CORRECTED and now is not None:
        value = _words(field, now).removesuffix(" L") if field == "capacity_l" else _words(field, now)
        return f"the row: caskbook enter correct {goes_on} --{_TYPED.get(field, field)} {shlex.quote(value)} --why '…'; the book: leave the row"
    return f"the row: caskbook enter note {goes_on} --note '…'; the book: leave the row"
