"""`report outlook`: the work of the next months, as far as it follows from the stock, the rules and the curves of the book."""

from __future__ import annotations

import calendar
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import chosen, conditions, only, passing
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import read_answer
from caskbook.cli.judged_at import judged_at, put_out
from caskbook.cli.nearest_filter import Near, near_in
from caskbook.cli.remarks import say_no_casks, say_nothing_fits
from caskbook.core.finding import CaskbookError
from caskbook.stats.outlook import BANDS, MOST_MONTHS, Around, Outlook, Terms, outlook_of
from caskbook.stats.outlook_book import OutlookBook, read_lines
from caskbook.stats.outlook_hours import hours_wanted
from caskbook.stats.outlook_report import OutlookReport
from caskbook.stats.stock import Limit

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.model.house import House

_TODAY = ("store", "berth", "spirit")
"""Filters by what a cask is today: where it lies and what it holds; its past cannot be told by them."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was typed: the options by their names, `filters` by columns of the table `cask`."""

    months: int
    band: int
    seed: int
    form: str
    filters: Mapping[str, Any] = field(default_factory=dict)
    explain: bool = False


@dataclass(frozen=True, slots=True)
class _Gathered:
    """The lines of the casks asked about and of all, with how many each are and how many say nothing, and on how many retirement is proposed."""

    root: Path
    day: date
    own: tuple[Mapping[str, int], int, int]
    every: tuple[Mapping[str, int], int, int]
    proposed: tuple[int, int] = (0, 0)
    near: Near = ()


def run_outlook(records: str | None, as_of: str | None, at: str | None, wanted: Wanted) -> int:
    """Print the outlook of the months after the day. Always 0."""
    _refuse(wanted)
    filters = chosen(wanted.filters, records, as_of, at)
    found = _gathered(records, as_of, at, filters)
    if not sum(found.own[1:]) and not say_no_casks(found.root, at) and filters:
        say_nothing_fits(filters, found.near)
    from caskbook.ledger.house_read import house_of

    report = _report(found, house_of(found.root, at), wanted, filters, {name: text for name, text in (("as-of", as_of), ("at", at)) if text})
    from caskbook.render import outlook, outlook_data

    put_out(
        wanted.form,
        lambda width: outlook.outlook_text(report, width=width),
        lambda form: outlook_data.outlook_csv(report) if form == "csv" else outlook_data.outlook_json(report, form),
        judged_at(records, at),
    )
    return 0


def _refuse(wanted: Wanted) -> None:
    """CaskbookError for an option out of its range, and for what an explanation has no place in."""
    check_form(wanted.form, explain=wanted.explain)
    one_of("--band", str(wanted.band), tuple(map(str, BANDS)))
    if not 1 <= wanted.months <= MOST_MONTHS:
        raise CaskbookError(f"--months {wanted.months}: expected 1 to {MOST_MONTHS}")


def _gathered(records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any]) -> _Gathered:
    """The lines out of the index, which keeps them, and what filters that no cask fits likely meant."""

    def read(index: Index, answer: Answer) -> _Gathered:
        every = index.turns(())
        own = index.turns(conditions(filters)) if filters else every
        return _Gathered(index.root, answer.day, own, every, _proposed(index, filters), () if sum(own[1:]) else near_in(index, filters))

    return read_answer(records, as_of, at, read, lambda book: _Gathered(book.root, book.day, ({}, 0, 0), ({}, 0, 0)), beside=True)


def _proposed(index: Index, filters: Mapping[str, Any]) -> tuple[int, int]:
    """On how many casks retirement is proposed, and on how many it will be once they are emptied."""
    from caskbook.index.listing import Filter

    verdicts = index.counts(Filter(("retire",), casks=passing(index, filters) if filters else None)).verdicts
    return verdicts["due"] + verdicts["blocked"], verdicts["at-emptying"]


def _report(found: _Gathered, house: House, wanted: Wanted, filters: Mapping[str, Any], times: Mapping[str, str]) -> OutlookReport:
    """What is told: the casks asked about by the curves of all."""
    last, part = whole_months(found.day)
    every, own = read_lines(found.every[0], last, found.every[1]), read_lines(found.own[0], last, found.own[1])
    today = any(filters.get(name) for name in _TODAY)
    if today:
        own.came = []  # Nobody knows where those will lie that come in.
    limit_of = limits_on(house, found.day)
    shares = [sum(one.many for one in book.full) for book in (own, every)]
    around = Around(every, today, shares[0] / shares[1] if shares[1] else 0.0) if filters else None
    outlook = outlook_of(own, Terms(limit_of, wanted.months, wanted.seed), part, around)
    return OutlookReport(
        found.day, outlook, wanted.band, found.own[2], found.every[1], hours_wanted(outlook, lambda job, kind: house.on(found.day, kind).job_hours.get(job)),
        found.proposed, {kind: limit_of(kind) for kind in _types(own, outlook)}, filters, only(filters), times, wanted.explain, today,
    )  # fmt: skip


def _types(book: OutlookBook, outlook: Outlook) -> Sequence[str]:
    return sorted({*outlook.by_type, *(one.kind.type for one in (*book.full, *book.empty))})


def whole_months(day: date) -> tuple[int, float]:
    """(the last whole month up to a day, counted from January of the year 0; what part of the next one is still to come, 1 where the day ends a month)."""
    month, days = day.year * 12 + day.month - 1, calendar.monthrange(day.year, day.month)[1]
    return (month, 1.0) if day.day == days else (month - 1, (days - day.day) / days)


def limits_on(house: House, day: date) -> Any:
    """Type → from how many fills since char the house chars it again on a day; None where it does not."""

    @cache
    def limit_of(kind: str) -> Limit | None:
        rule = house.on(day, kind).due.rechar
        return None if rule.off or kind in rule.off_types else Limit(rule.due_at, rule.after_rechar_due_at)

    return limit_of
