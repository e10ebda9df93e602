"""What stands at the head of a paper sheet, asked for where it was not given."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say
from caskbook.cli.entering import ask
from caskbook.core.finding import CaskbookError
from caskbook.entry.grid import GridColumn, grid_columns

if TYPE_CHECKING:
    from caskbook.ledger.shift import Shift

Given = dict[str, str]


def asked_head(book: Book, shift: Shift | None, jobs: Sequence[str], given: Given, alike: Given) -> Given:
    """What stands at the head of the paper: the day, who did it, its name, and the pressure; asked for where it was not given."""
    from caskbook.cli.entering.desk import desk_of, random_bits
    from caskbook.entry.build import default_by, read_day
    from caskbook.entry.entry import run_sheet

    head: Given = {}
    if "date" in given or shift is not None:
        day = read_day(given["date"], book.today) if "date" in given else shift.day if shift is not None else book.today
    else:
        day = read_day(_until(f"day (Enter: today, {book.today:%A} {book.today}) ", "today", lambda text: str(read_day(text, book.today))), book.today)
    head["date"] = day.isoformat()
    by = given.get("by") or (shift.by if shift is not None else default_by(desk_of(book), os.environ.get("CASKBOOK_BY")))
    if by is None and book.ledger.house.on(day).crew:
        by = _until("done by ", None, lambda text: _initials(book, text, day))
    if by is not None:
        head["by"] = _initials(book, by, day)
    if "test" in jobs and not {"psi", "method"} & alike.keys():
        column = next(one for one in grid_columns(jobs) if one.key == "psi")
        text = _until("psi for all rows (Enter: row by row) ", "", lambda text: read_typed(book, day, column, text))
        alike.update({"psi": text} if text else {})
    minted = run_sheet(day, head.get("by"), random_bits)
    head["sheet"] = given.get("sheet") or ask.answer("name of the sheet (Enter: none) ") or minted
    return head


def _until(prompt: str, enter: str | None, read: Callable[[str], str]) -> str:
    """An answer that can be read; Enter alone is `enter`. DeclinedError after three that cannot."""
    for _ in range(ask.TRIES):
        text = ask.answer(prompt) or enter
        try:
            if text is not None:
                return str(read(text)) if text else ""
        except CaskbookError as error:
            say(f"  {error}")
    raise ask.DeclinedError("nothing written")


def _initials(book: Book, text: str, day: date) -> str:
    from caskbook.entry.crew import not_there
    from caskbook.entry.initials import own_initials

    settings = book.ledger.house.on(day)
    by = own_initials(text, settings.crew, []) or text
    if why := not_there(settings, by, day):
        raise CaskbookError(why)
    return by


def read_typed(book: Book, day: date, column: GridColumn, text: str) -> str:
    """The text, once it is known that it can be read. CaskbookError else."""
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.entry.typed import read_field

    if column.field is not None:
        try:
            read_field(column.field, [text], Terms(book.ledger.house.on(day), day))
        except TypedError as error:
            raise CaskbookError(str(error)) from None
    return text
