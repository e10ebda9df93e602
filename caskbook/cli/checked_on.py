"""What `check` says of a day asked about: as of that day, but what lies in the future by the real one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from caskbook.checks import Report
from caskbook.cli.common import Book
from caskbook.core.finding import in_file_order

IN_FUTURE = "date-in-future"


def checked_on(book: Book, check: Callable[[date, Sequence[str] | None], Report], names: Sequence[str] | None = None) -> Report:
    """The report of `book.day`. `check`: (day, names of files, None for all) → what is found of these on that day; `names`: what is checked."""
    report = check(book.day, names)
    if book.day == book.today:
        return report
    ahead = names
    if book.day < book.today:  # What is ahead of the real day is ahead of that one too, so no other file needs to be looked at.
        ahead = sorted({one.path.removeprefix(book.ledger.file_store.shown) for one in report.findings if one.code == IN_FUTURE})
    again = check(book.today, ahead) if ahead is None or ahead else Report((), 0)
    future = [one for one in again.findings if one.code == IN_FUTURE]
    return Report(tuple(in_file_order([*(one for one in report.findings if one.code != IN_FUTURE), *future])), report.casks)
