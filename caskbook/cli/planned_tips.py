"""Planned emptyings as they are typed: casks, lists and sheets, each with the day on which it is to be tipped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from caskbook.cli.common import Book
from caskbook.cli.numbers import STDIN, known_by_mark, named, numbers_of, tell_names, text_of
from caskbook.core.days import DayError, parse_coming_day
from caskbook.core.finding import CaskbookError

_COLUMNS = frozenset(("cask", "date", "note"))


@dataclass
class Tips:
    """`days`: cask → the day it is to be emptied on, as asked; `refused`: casks that are not in the book, or cannot be read, and why."""

    days: dict[str, date] = field(default_factory=dict)
    refused: list[tuple[str, str]] = field(default_factory=list)


def read_tips(book: Book, words: Sequence[str], tip: str | None, at: str | None, last: date, joined: Mapping[str, str]) -> Tips:
    """The emptyings that are planned. `tip`: the day of all that name none of their own; `last`: that of the plan; `joined`: number → the one it goes on under.

    CaskbookError for words that are no casks, a sheet that is none, and a day that is none, gone, or behind the plan.
    """
    if tip is not None and not words:
        raise CaskbookError(f"--tip {tip[:20]}: of which casks? as caskbook plan TH-004501..004560 --tip {tip[:20]}")
    day = None if tip is None else _day("--tip", tip, book.day, last)
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
            "its file cannot be read: caskbook check"
            if record is not None
            else "is not in the book" + book.ledger.absent(cask).partition("is not in the book")[2]
        )
        tips.refused.append((cask, why))
        del tips.days[cask]


def _typed(book: Book, words: Sequence[str], at: str | None, last: date) -> Iterable[tuple[str, date | None]]:
    """(cask, the day its sheet says) of all that was typed, in order; sheets behind what is named plainly."""
    sheets = [word for word in words if word.casefold().endswith(".csv")]
    plain = [word for word in words if word not in sheets and word != STDIN]
    numbers = numbers_of(book, at, with_gone=True)
    yield from ((cask, None) for cask in (named(book, plain, at, with_gone=True, by_mark=True) if plain else []))
    for word in [*sheets, *([STDIN] if STDIN in words else [])]:
        where, text = "standard input" if word == STDIN else word.removeprefix("file:"), text_of(word.removeprefix("file:"))
        if word != STDIN or _is_sheet(text):
            yield from _of_sheet(book, text, where, at, last)
        else:
            from caskbook.entry.casks import casks_listed

            found = casks_listed(text, where, numbers)
            tell_names(numbers)
            yield from ((cask, None) for cask in known_by_mark(book, found, at))


def _is_sheet(text: str) -> bool:
    """Whether a text begins with a heading of several columns, one of them `cask`."""
    first = text.split("\n", 1)[0].strip().casefold()
    return any("cask" in [cell.strip(' "') for cell in first.split(mark)] and mark in first for mark in ",;\t")


def _of_sheet(book: Book, text: str, where: str, at: str | None, last: date) -> Iterable[tuple[str, date | None]]:
    """(cask, day) of each row of a sheet with the columns cask and, where not all go on one day, date. CaskbookError with the row."""
    from caskbook.entry.sheet import rows_of_csv

    rows = rows_of_csv(text, where)
    for row in rows:
        if "cask" not in row.cells:
            raise CaskbookError(f"{where}:{row.line}: no cask: expected the columns cask and, where not all are tipped on one day, date")
        strange = next((name for name in row.cells if name not in _COLUMNS), None)
        if strange is not None:
            raise CaskbookError(f"{where}:{row.line}: column {strange[:30]} is not read here: expected cask and date; take it out")
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
