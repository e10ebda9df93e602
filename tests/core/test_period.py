"""A period of a report: how it is typed, and how it cuts what lasted."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.core.days import DayError
from caskbook.core.period import Period, parse_period, whole_time

TODAY = date(2026, 11, 25)  # It is a Wednesday.


def day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


@pytest.mark.parametrize(
    ("since", "until", "first", "last"),
    [
        (None, None, None, None),
        ("2025", "2025", "2025-01-01", "2025-12-31"),
        ("2025-07", "2025-12", "2025-07-01", "2025-12-31"),
        ("2025-07-03", None, "2025-07-03", None),
        (None, "2024-02", None, "2024-02-29"),
        ("2025-07-03", "2025-07-03", "2025-07-03", "2025-07-03"),
        ("2026", "2026", "2026-01-01", "2026-11-25"),
        ("2026-11", "today", "2026-11-01", "2026-11-25"),
        ("monday", "yesterday", "2026-11-23", "2026-11-24"),
        ("-7", None, "2026-11-18", None),
    ],
)
def test_each_side_is_a_day_a_month_or_a_year(since: str | None, until: str | None, first: str | None, last: str | None) -> None:
    assert parse_period(since, until, TODAY) == Period(day(first), day(last), TODAY)


@pytest.mark.parametrize(
    ("since", "until", "said"),
    [
        ("2025", "2024", "--from 2025-01-01 --to 2024-12-31: the first day lies after the last one"),
        ("2026-11-26", None, "--from 2026-11-26: expected a day up to 2026-11-25, the day of the report"),
        ("2027", None, "--from 2027: expected a day up to 2026-11-25"),
        (None, "2026-11-26", "--to 2026-11-26: expected a day up to"),
        (None, "2026-12", "--to 2026-12: expected a day up to"),
        ("soon", None, "--from: 'soon' is no day"),
        (None, "2025-13", "--to: '2025-13' is no day, month or year"),
        ("", None, "--from: '' is no day"),
        ("2025..2026", None, "--from: '2025..2026' is no day"),
    ],
)
def test_what_is_no_period_is_told_with_its_option(since: str | None, until: str | None, said: str) -> None:
    with pytest.raises(DayError) as told:
        parse_period(since, until, TODAY)
    assert str(told.value).startswith(said) and "\n" not in str(told.value)


YEAR = Period(date(2025, 1, 1), date(2025, 12, 31), TODAY)


@pytest.mark.parametrize(("on", "holds"), [("2024-12-31", False), ("2025-01-01", True), ("2025-12-31", True), ("2026-01-01", False)])
def test_both_ends_are_in_it(on: str, holds: bool) -> None:
    assert YEAR.holds(date.fromisoformat(on)) is holds


@pytest.mark.parametrize(
    ("start", "end", "days", "meets"),
    [
        ("2024-01-01", "2024-12-31", 0, False),
        ("2024-01-01", "2025-01-01", 0, True),
        ("2024-01-01", "2025-01-02", 1, True),
        ("2024-01-01", None, 365, True),
        ("2025-12-31", None, 1, True),
        ("2025-12-31", "2026-03-01", 1, True),
        ("2026-01-01", None, 0, False),
        ("2025-03-01", "2025-03-11", 10, True),
        ("2025-03-01", "2025-03-01", 0, True),
    ],
)
def test_what_lasted_is_cut_at_both_ends_and_each_day_counts_once(start: str, end: str | None, days: int, meets: bool) -> None:
    begins, ends = date.fromisoformat(start), day(end)
    since, until = YEAR.part_of(begins, ends)
    assert ((until - since).days, YEAR.meets(begins, ends)) == (days, meets)


def test_periods_that_follow_on_one_another_add_up_to_the_whole_time() -> None:
    """The day of the report is not over, and counts in none."""
    spans = [(date(2020, 5, 5), None), (date(2024, 12, 31), date(2025, 1, 1)), (date(2026, 11, 25), None)]
    parts = [Period(None, date(2024, 12, 31), TODAY), YEAR, Period(date(2026, 1, 1), None, TODAY)]

    def days_in(period: Period) -> int:
        return sum((until - since).days for since, until in (period.part_of(*span) for span in spans))

    assert sum(map(days_in, parts)) == days_in(whole_time(TODAY)) == (TODAY - date(2020, 5, 5)).days + 1
    assert days_in(Period(TODAY, TODAY, TODAY)) == 0


def test_in_words_and_as_data() -> None:
    assert whole_time(TODAY).words() == "up to 2026-11-25" and not whole_time(TODAY).asked
    assert YEAR.words() == "from 2025-01-01 to 2025-12-31, as the book has it on 2026-11-25"
    assert Period(date(2026, 1, 1), None, TODAY).words() == "from 2026-01-01 to 2026-11-25, as the book has it on 2026-11-25"
    assert Period(None, date(2024, 12, 31), TODAY).words() == "up to 2024-12-31, as the book has it on 2026-11-25"
    assert YEAR.data() == {"from": "2025-01-01", "to": "2025-12-31"} and whole_time(TODAY).data() == {"from": None, "to": None}


def test_the_last_day_of_the_calendar_ends_a_period_too() -> None:
    last = date(9999, 12, 31)
    assert parse_period("9999", "9999", last).part_of(date(9999, 1, 1), None) == (date(9999, 1, 1), last)
