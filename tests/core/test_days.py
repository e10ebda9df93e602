"""ISO days, years and months known only about, spans in years, and days as they are typed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.core.days import (
    DayError,
    add_days,
    add_years,
    parse_coming_day,
    parse_day,
    parse_input_day,
    parse_when,
    today_in,
    whole_years,
    years_between,
    zone_at,
)

WEDNESDAY = date(2026, 11, 25)
DAYS = st.dates()


def test_leap_days() -> None:
    # ISO 8601: 2024-02-29 exists, 2023-02-29 does not; 1900 was no leap year and 2000 was.
    assert parse_day("2024-02-29") == date(2024, 2, 29)
    assert parse_day("2000-02-29") == date(2000, 2, 29)
    for none in ("2023-02-29", "1900-02-29"):
        with pytest.raises(DayError, match="28 days"):
            parse_day(none)


@pytest.mark.parametrize(
    "text",
    [
        "2024-2-29",
        "20240229",
        "2024-02-29 ",
        " 2024-02-29",
        "2024-02-29T00:00",
        "0000-01-01",
        "2024-13-01",
        "2024-00-10",
    ]
    + ["2024-04-31", "２０２４-02-29", "29-02-2024", "", "2024-W09-4", "2024-060", "2024-02-29\n"],
)
def test_no_day(text: str) -> None:
    with pytest.raises(DayError) as refused:
        parse_day(text)
    assert "\n" not in str(refused.value)


@given(DAYS)
def test_every_day_is_read_back(day: date) -> None:
    assert parse_day(day.isoformat()) == day
    when = parse_when(day.isoformat())
    assert (when.first, when.last, when.day, when.approximate) == (day, day, day, False)
    assert parse_when(day) == when


@given(st.text(max_size=24) | st.from_regex(r"[0-9]{4}-[0-9]{2}(-[0-9]{2})?", fullmatch=True))
def test_any_text_is_a_day_or_one_line(text: str) -> None:
    for parse in (parse_day, parse_when, lambda typed: parse_input_day(typed, WEDNESDAY)):
        try:
            parse(text)
        except DayError as refused:
            assert "\n" not in str(refused)


@given(st.none() | st.booleans() | st.integers() | st.floats() | st.lists(st.integers()) | st.datetimes() | st.binary())
def test_any_value_is_a_time_or_one_line(value: object) -> None:
    try:
        when = parse_when(value)
    except DayError as refused:
        assert "\n" not in str(refused)
    else:
        assert isinstance(value, int)
        assert when.first.year == when.last.year == value


def test_about() -> None:
    for typed in (2011, "2011"):
        year = parse_when(typed)
        assert (year.day, year.first, year.last) == (date(2011, 7, 1), date(2011, 1, 1), date(2011, 12, 31))
        assert year.approximate
        assert year.text == "2011"
    month = parse_when("2016-02")
    assert (month.day, month.first, month.last) == (date(2016, 2, 15), date(2016, 2, 1), date(2016, 2, 29))
    assert month.approximate
    assert parse_when("9999").last == date.max


@pytest.mark.parametrize("value", [True, 11, 20150312, 2011.0, "2015-13", "2015-0", "0000", "0000-05", "11", None])
def test_not_about(value: object) -> None:
    with pytest.raises(DayError):
        parse_when(value)


def test_years_between() -> None:
    # Days counted by the calendar: 2011-07-01 to 2015-03-15 is 1353 days, 2015-04-02 to 2019-06-11 is 1531.
    assert round(years_between(date(2011, 7, 1), date(2015, 3, 15)), 3) == 3.704
    assert round(years_between(date(2015, 4, 2), date(2019, 6, 11)), 3) == 4.192
    assert round(years_between(date(2023, 5, 21), WEDNESDAY), 3) == 3.515
    assert years_between(date(2000, 1, 1), date(2400, 1, 1)) == 400.0


def test_add_years_on_a_leap_day() -> None:
    leap = date(2020, 2, 29)
    assert add_years(leap, 1) == date(2021, 3, 1)
    assert add_years(leap, 4) == date(2024, 2, 29)
    assert add_years(leap, 80) == date(2100, 3, 1)
    assert whole_years(leap, date(2023, 2, 28)) == 2
    assert whole_years(leap, date(2023, 3, 1)) == 3
    assert whole_years(leap, date(2024, 2, 28)) == 3
    assert whole_years(leap, date(2024, 2, 29)) == 4


@given(DAYS, DAYS)
def test_whole_years_is_the_most_that_fit(start: date, day: date) -> None:
    years = whole_years(start, day)
    if start.year + years >= 1:
        assert add_years(start, years) <= day
    if start.year + years + 1 <= 9999:
        assert add_years(start, years + 1) > day


@given(DAYS, st.integers(-20_000, 20_000), st.integers(-20_000, 20_000))
def test_more_years_never_come_earlier(day: date, fewer: int, more: int) -> None:
    fewer, more = sorted((fewer, more))
    assert add_years(day, fewer) <= add_years(day, more)


@given(DAYS, st.integers())
def test_days_never_overflow(day: date, count: int) -> None:
    moved = add_days(day, count)
    assert moved == date.min or moved == date.max or (moved - day).days == count


def test_today_differs_by_zone() -> None:
    now = datetime(2026, 11, 25, 23, 30, tzinfo=UTC)
    assert today_in("Europe/London", now) == date(2026, 11, 25)
    assert today_in("Europe/Paris", now) == date(2026, 11, 26)
    assert today_in("America/New_York", datetime(2026, 11, 25, 4, 59, tzinfo=UTC)) == date(2026, 11, 24)
    assert today_in("Europe/London", now.astimezone(timezone(timedelta(hours=9)))) == date(2026, 11, 25)


@pytest.mark.parametrize("name", ["", "Nowhere/Place", "../../etc/passwd", "/etc/passwd", "America", "a\x00b", "é", "x" * 5000])
def test_no_such_zone(name: str) -> None:
    with pytest.raises(DayError) as refused:
        today_in(name, datetime(2026, 11, 25, tzinfo=UTC))
    assert "\n" not in str(refused.value)


def test_clock_without_zone_or_beyond_the_calendar() -> None:
    with pytest.raises(DayError):
        today_in("Europe/London", datetime(2026, 11, 25))
    with pytest.raises(DayError):
        today_in("Asia/Tokyo", datetime(9999, 12, 31, 23, tzinfo=UTC))


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-11-02", "2026-11-02"),
        ("today", "2026-11-25"),
        (" Yesterday ", "2026-11-24"),
        ("-0", "2026-11-25"),
        ("-2", "2026-11-23"),
        ("-30", "2026-10-26"),
        ("wed", "2026-11-25"),
        ("Tuesday", "2026-11-24"),
        ("thu", "2026-11-19"),
        ("sunday", "2026-11-22"),
    ],
)
def test_days_as_typed(text: str, day: str) -> None:
    assert parse_input_day(text, WEDNESDAY) == date.fromisoformat(day)


@pytest.mark.parametrize("text", ["tomorrow", "+1", "t", "s", "-", "--2", "-99999", "2", "25.11.2026", "11/25/2026", "wedn3sday"])
def test_not_days_as_typed(text: str) -> None:
    with pytest.raises(DayError):
        parse_input_day(text, WEDNESDAY)


@given(DAYS, st.sampled_from(["today", "yesterday", "fri", "-9999", "-1", "mon"]))
def test_typed_days_never_lie_ahead(today: date, text: str) -> None:
    try:
        assert parse_input_day(text, today) <= today
    except DayError:
        assert today.year < 29


@pytest.mark.parametrize(
    ("text", "day"),
    [("today", "2026-11-25"), ("Tomorrow", "2026-11-26"), ("wed", "2026-11-25"), ("monday", "2026-11-30"), ("tu", "2026-12-01"), ("+0", "2026-11-25"),
     ("+10", "2026-12-05"), ("2026-12-07", "2026-12-07"), ("2020-01-01", "2020-01-01")],
)  # fmt: skip
def test_days_to_come_as_typed(text: str, day: str) -> None:
    assert parse_coming_day(text, WEDNESDAY) == date.fromisoformat(day)


@pytest.mark.parametrize("text", ["", "yesterday", "-2", "t", "7.12.", "2026-13-01", "+12345", "+\u0661", "next week"])
def test_not_days_to_come(text: str) -> None:
    with pytest.raises(DayError) as told:
        parse_coming_day(text, WEDNESDAY)
    assert "\n" not in str(told.value)


@given(st.dates(), st.sampled_from(["today", "tomorrow", "monday", "su", "+0", "+9999"]))
def test_typed_days_to_come_lie_ahead(day: date, text: str) -> None:
    assert parse_coming_day(text, day) >= day


def test_a_number_too_long_to_write_is_no_year() -> None:
    with pytest.raises(DayError, match="no day, month or year"):
        parse_when(10**5000)


def test_of_zones_the_one_whose_day_has_begun_is_in_force() -> None:
    zones = "2000-01-01=Europe/London,2027-06-01=Pacific/Pago_Pago,2027-09-01=Nowhere"
    for moment, name, day in (
        (datetime(1999, 12, 31, tzinfo=UTC), "UTC", date(1999, 12, 31)), (datetime(2026, 11, 29, 9, tzinfo=UTC), "Europe/London", date(2026, 11, 29)),
        (datetime(2027, 6, 1, 10, 59, tzinfo=UTC), "Europe/London", date(2027, 6, 1)), (datetime(2027, 6, 1, 11, tzinfo=UTC), "Pacific/Pago_Pago", date(2027, 6, 1)),
        (datetime(2027, 7, 1, 9, tzinfo=UTC), "Pacific/Pago_Pago", date(2027, 6, 30)),
    ):  # fmt: skip
        assert str(zone_at(zones, moment)) == name and today_in(zones, moment) == day, moment
    with pytest.raises(DayError, match="'Nowhere' is no time zone"):
        today_in(zones, datetime(2027, 9, 1, tzinfo=UTC))
