"""Days as registers write them: read where they can be one day only, asked about everywhere else."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.exchange.register_days import ORDERS, DayRules, UnclearDayError, read_day, read_when

DMY, MDY, YMD = (DayRules(order) for order in ORDERS)
NONE = DayRules()
DAYS = st.dates(date(1600, 1, 1), date(2999, 12, 31))


@pytest.mark.parametrize(
    ("text", "rules", "day"),
    [
        ("2015-04-03", NONE, "2015-04-03"), ("2015-04-03 00:00:00", NONE, "2015-04-03"), ("2015-04-03T14:30Z", NONE, "2015-04-03"),
        ("2015/4/3", NONE, "2015-04-03"), ("03/04/2015", DMY, "2015-04-03"), ("03/04/2015", MDY, "2015-03-04"), ("3. 4. 2015", DMY, "2015-04-03"),
        ("3-4-2015", DMY, "2015-04-03"), ("12 Mar 2015", NONE, "2015-03-12"), ("12th March, 2015", NONE, "2015-03-12"), ("Mar 12, 2015", NONE, "2015-03-12"),
        ("12-Sept-2015", NONE, "2015-09-12"), ("03/04/15", DayRules("day-month-year", 1950), "2015-04-03"), ("03/04/50", DayRules("day-month-year", 1950), "1950-04-03"),
        ("03/04/49", DayRules("day-month-year", 1950), "2049-04-03"), ("15-04-03", DayRules("year-month-day", 1950), "2015-04-03"),
        ("42075", DayRules(serials=1900), "2015-03-12"), ("42075.6", DayRules(serials=1900), "2015-03-12"), ("40613", DayRules(serials=1904), "2015-03-12"),
        ("61", DayRules(serials=1900), "1900-03-01"), ("29/02/2016", DMY, "2016-02-29"),
    ],
)  # fmt: skip
def test_a_day_that_can_be_one_only(text: str, rules: DayRules, day: str) -> None:
    assert read_day(text, rules) == date.fromisoformat(day)


@pytest.mark.parametrize(
    ("text", "rules", "code"),
    [
        ("03/04/2015", NONE, "day-or-month-first"), ("13/04/2015", NONE, "day-or-month-first"), ("03/04/15", DMY, "two-digit-year"), ("12 Mar 15", NONE, "two-digit-year"),
        ("42075", DMY, "spreadsheet-day"), ("60", DayRules(serials=1900), "no-day"), ("0", DayRules(serials=1904), "no-day"), ("99999", DayRules(serials=1900), "no-day"),
        ("31/02/2016", DMY, "no-day"), ("29/02/2015", DMY, "no-day"), ("03/25/2015", DMY, "no-day"), ("25/03/2015", MDY, "no-day"), ("2015-13-01", NONE, "no-day"),
        ("2015", NONE, "no-whole-day"), ("2015-03", NONE, "no-whole-day"), ("03/2015", DMY, "no-whole-day"), ("March 2015", NONE, "no-whole-day"),
        ("yesterday", DMY, "no-day"), ("spring", NONE, "no-day"), ("12 Foo 2015", NONE, "no-day"), ("3/4/015", DMY, "no-day"), ("0015-03-04", NONE, "no-day"),
        ("12 Mar 12 2015", NONE, "no-day"), ("٣/٤/٢٠١٥", DMY, "no-day"), ("1/2/3/2015", DMY, "no-day"), ("300/4/2015", DMY, "no-day"),
    ],
)  # fmt: skip
def test_a_day_that_could_be_another_is_asked_about(text: str, rules: DayRules, code: str) -> None:
    with pytest.raises(UnclearDayError) as told:
        read_day(text, rules)
    assert told.value.code == code and told.value.remedy and "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("text", "found"), [("2015", 2015), ("2015-03", "2015-03"), ("3/2015", "2015-03"), ("March 2015", "2015-03"), ("1/3/2015", date(2015, 3, 1))]
)
def test_a_year_or_a_month_is_kept_as_such(text: str, found: object) -> None:
    assert read_when(text, DMY) == found


@given(DAYS, st.sampled_from("/-. "), st.sampled_from(list(ORDERS)))
def test_any_day_is_read_back_in_the_order_that_is_said(day: date, mark: str, order: str) -> None:
    parts = {"day": f"{day:%d}", "month": f"{day:%m}", "year": f"{day.year:04d}"}
    text = mark.join(parts[one] for one in order.split("-"))
    assert read_day(text, DayRules(order)) == day


@given(DAYS, DAYS)
def test_without_an_order_no_two_days_are_ever_taken_for_one(day: date, other: date) -> None:
    """Whatever is read without any word of the map is written in one way that no other day is written in."""
    texts = (f"{day:%d/%m/}{day.year:04d}", f"{day:%m/%d/}{day.year:04d}")
    for text in texts:
        with pytest.raises(UnclearDayError):
            read_day(text, NONE)
    assert (read_day(day.isoformat(), NONE) == read_day(other.isoformat(), NONE)) == (day == other)


@given(st.integers(3000, 73_050))
def test_spreadsheets_count_alike_from_their_beginnings(count: int) -> None:
    day = read_day(str(count), DayRules(serials=1900))
    assert day == date(1900, 3, 1) + timedelta(days=count - 61)
    if not 1600 <= count - 1462 <= 2999:  # These are years.
        assert read_day(str(count - 1462), DayRules(serials=1904)) == day


@given(st.text(max_size=30))
def test_any_text_is_a_day_or_a_line_why_not(text: str) -> None:
    for rules in (NONE, DMY, DayRules("month-day-year", 1950, 1904)):
        try:
            assert isinstance(read_when(text, rules), date | int | str)
        except UnclearDayError as error:
            assert "\n" not in str(error)
