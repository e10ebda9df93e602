"""Planned emptyings as they are typed: casks, lists and sheets, each with the day on which it is to be tipped."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say
from caskbook.cli.numbers import STDIN, known_by_mark, named, numbers_of, tell_names, text_of
from caskbook.core.days import DayError, parse_coming_day
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.sheet_text import Row


@dataclass
class Tips:
    """`days`: cask → the day it is to be emptied on, as asked; `refused`: casks that are not in the book, or cannot be read, and why."""

    days: dict[str, date] = field(default_factory=dict)
    refused: list[tuple[str, str]] = field(default_factory=list)

    def keep(self, casks: Collection[str]) -> None:
        """Of casks that the filters leave out no emptying is planned; how many there are is said."""
        others = self.days.keys() - set(casks)
        self.days = {cask: day for cask, day in self.days.items() if cask not in others}
        if others:
            say(f"{number_of(len(others), 'cask')} of those to be tipped {'are' if len(others) > 1 else 'is'} left out: not among those of the filters")


def read_tips(book: Book, words: Sequence[str], tip: str | None, at: str | None, last: date, joined: Mapping[str, str]) -> Tips:
    """The emptyings that are planned. `tip`: the day of all that name none of their own; `last`: that of the plan; `joined`: number → the one it goes on under.

    CaskbookError for words that are no casks, a sheet that is none, and a day that is none, gone, or behind the plan.
    """
    day = None if tip is None else _day("--tip", tip, book.day, last)
    if tip is not None and not words:
        raise CaskbookError(f"--tip {tip[:20]}: of which casks? as caskbook plan TH-004501..004560 --tip {tip[:20]}")
    found = Tips()
    for cask, own in _typed(book, words, at, last):
        if own is None and day is None:
            raise CaskbookError(f"{cask}: tipped on which day? --tip monday, or a column date in a sheet")
        _take(found, book, joined.get(cask, cask), own or day or book.day)
    return found


def _take(tips: Tips, book: Book, cask: str, day: date) -> None:
    """Put down one emptying, or why there can be none. CaskbookError for a second day of a cask."""
    if tips.days.setdefault(cask, day) != day:
        raise CaskbookError(f"{cask} is to be tipped on {tips.days[cask]} and on {day}: expected one day")
    record = book.ledger.find(cask)
    if record is None or record.own is None:
        why = (
            f"cannot be read: caskbook check {cask}"
            if record is not None
            else "is not in the book" + book.ledger.absent(cask).partition("is not in the book")[2]
        )
        tips.refused.append((cask, why))
        del tips.days[cask]


def _typed(book: Book, words: Sequence[str], at: str | None, last: date) -> Iterator[tuple[str, date | None]]:
    """(cask, the day its sheet says) of all that was typed: what is named plainly first, then lists and sheets."""
    from caskbook.entry.casks import casks_listed
    from caskbook.entry.casks_of_sheet import rows_naming_casks

    texts = [word for word in words if word == STDIN or word.startswith("file:") or word.casefold().endswith(".csv")]
    plain = [word for word in words if word not in texts]
    yield from ((cask, None) for cask in (named(book, plain, at, with_gone=True, by_mark=True) if plain else []))
    numbers = numbers_of(book, at, with_gone=True)
    for word in texts:
        path = word.removeprefix("file:")
        where, text = "standard input" if word == STDIN else path, text_of(path)
        rows = rows_naming_casks(text, where)
        if rows is None:
            found = casks_listed(text, where, numbers)
            tell_names(numbers)
            yield from ((cask, None) for cask in known_by_mark(book, found, at))
        else:
            yield from _of_sheet(book, rows, where, at, last)


def _of_sheet(book: Book, rows: Sequence[Row], where: str, at: str | None, last: date) -> Iterator[tuple[str, date | None]]:
    """(cask, day) of each row of a sheet with the column cask and, where not all go on one day, date. CaskbookError with the row."""
    try:
        casks = named(book, [row.cells["cask"] for row in rows], at, with_gone=True, by_mark=True)
    except CaskbookError as error:
        raise CaskbookError(f"{where}: {error}") from None
    if len(casks) != len(rows):
        raise CaskbookError(f"{where}: {len(rows)} rows name {len(casks)} casks: expected one in each row")
    for cask, row in zip(casks, rows, strict=True):
        day = row.cells.get("date")
        yield cask, None if day is None else _day(f"{where}:{row.line}", day, book.day, last)


def _day(where: str, text: str, day: date, last: date) -> date:
    """The day of a tip. CaskbookError, beginning with `where`, for one that is none, gone, or behind the plan."""
    try:
        found = parse_coming_day(text, day)
    except DayError as error:
        raise CaskbookError(f"{where}: {error}") from None
    if not day <= found <= last:
        more = "; --weeks takes more" if found > last else "; enter what was done with caskbook enter empty"
        raise CaskbookError(f"{where}: {found} is not in the plan: expected a day from {day} to {last}{more}")
    return found
