"""`days`: what was done on some days, by job, store, person and day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, cast

from caskbook.cli.choosing import chosen, conditions, only
from caskbook.cli.common import one_of, say
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import read_answer
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.nearest_filter import Near, near_in
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.core.day_span import parse_span
from caskbook.core.days import DayError
from caskbook.core.finding import CaskbookError
from caskbook.ledger.parallel import no_collecting
from caskbook.model.entered import LATE_DAYS
from caskbook.stats.days import BY, FIRST_SCREEN, By, late_of, tables_of
from caskbook.stats.days_report import DaysReport
from caskbook.stats.days_written import Written, apart_of, entries_of

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index

_OWN = ("store", "berth")
"""Filters by where the cask lay on the day of the entry; the others are by what the cask is."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed."""

    span: str | None
    records: str | None
    as_of: str | None
    at: str | None
    form: str
    given: Mapping[str, Any]
    by: str | None
    explain: bool


class _Gathered(NamedTuple):
    """The entries of the days, those whose day cannot be read, casks told in part; the ledger, its day, and what filters likely meant."""

    root: Path
    until: date
    first: date
    last: date
    rows: Sequence[Written] = ()
    undated: int = 0
    in_part: int = 0
    near: Near = ()


def run(asked: Asked) -> int:
    """Print what was done. Always 0."""
    check_form(asked.form, explain=asked.explain)
    names: tuple[By, ...] = FIRST_SCREEN if asked.by is None else (cast(By, one_of("--by", asked.by, BY)),)
    with no_collecting():
        filters = chosen(asked.given, asked.records, asked.as_of, asked.at)
        found = _gathered(asked, filters)
        from caskbook.ledger.house_read import house_of  # Where the index is warm, it is the only file that is read.

        house = house_of(found.root, asked.at)
        if not found.rows and not say_no_casks(found.root, asked.at) and found.near:
            say_nothing_fits(filters, found.near)
        entries = entries_of(found.rows, house)
        report = DaysReport(
            found.first, found.last, found.until, tables_of(entries, names, LATE_DAYS), late_of(entries, LATE_DAYS), LATE_DAYS,
            apart_of(found.rows, found.undated, found.in_part), filters, only(filters), asked.explain,
        )  # fmt: skip
    _print(report, asked.form, judged_at(asked.records, asked.at))
    return 0


def _gathered(asked: Asked, filters: Mapping[str, Any]) -> _Gathered:
    """The entries out of the index, and what filters that no entry fits likely meant."""
    casks = conditions({name: words for name, words in filters.items() if name not in _OWN})
    own = conditions({name: words for name, words in filters.items() if name in _OWN})

    def read(index: Index, answer: Answer) -> _Gathered:
        first, last = _span(asked.span, answer.day)
        rows = list(index.entries((first, last), casks, own))
        undated = sum(1 for _ in index.entries(None, casks, own))
        return _Gathered(index.root, answer.day, first, last, rows, undated, len(answer.in_part), () if rows else near_in(index, filters))

    return read_answer(asked.records, asked.as_of, asked.at, read, lambda book: _Gathered(book.root, book.day, *_span(asked.span, book.day)))


def _span(text: str | None, day: date) -> tuple[date, date]:
    """The first and the last of the days asked for, those that lie ahead cut off; CaskbookError where they are none."""
    try:
        first, last = parse_span(text, day)
    except DayError as error:
        raise CaskbookError(f"days: {error}") from None
    if first > day:
        raise CaskbookError(f"days {text}: expected days up to {day}, the day of the report; what comes after it is not known")
    if last > day:
        say(f"days up to {day}, the day of the report: what comes after it is not known")
    return first, min(last, day)


def _print(report: DaysReport, form: str, judged: Revision | None) -> None:
    """The report goes out as text, JSON or CSV."""
    from caskbook.render import days, days_data

    put_out(
        form,
        lambda width: days.days_text(report, width=width),
        lambda form: days_data.days_csv(report) if form == "csv" else days_data.days_json(report, form),
        judged,
    )
