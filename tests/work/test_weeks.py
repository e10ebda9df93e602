"""The weeks of a plan and their hours; how long a job takes, and where that comes from."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.model.house import House
from caskbook.work.hours import Hours, Source
from caskbook.work.weeks import week_of, weeks_from

SUNDAY, MONDAY = date(2026, 11, 29), date(2026, 11, 30)


@pytest.mark.parametrize(("day", "first"), [(SUNDAY, MONDAY), (MONDAY, MONDAY), (date(2026, 12, 1), date(2026, 12, 7))])
def test_weeks_begin_on_the_monday_on_or_after_the_day(day: date, first: date) -> None:
    found = weeks_from(day, 3, House().on)
    assert [week.number for week in found] == [1, 2, 3] and found[0].first == first
    assert all(week.first.weekday() == 0 and (week.last - week.first).days == 6 and week.capacity is None for week in found)
    assert (found[1].first - found[0].last).days == 1


def test_what_is_due_before_the_first_week_is_of_it_and_behind_the_last_of_none() -> None:
    found = weeks_from(date(2026, 12, 1), 2, House().on)
    assert [week_of(day, found) for day in (None, date(2020, 1, 1), date(2026, 12, 13), date(2026, 12, 14), date(2026, 12, 20), date(2026, 12, 21))] == [
        1,
        1,
        1,
        2,
        2,
        None,
    ]


def test_each_week_has_the_settings_of_its_monday_and_options_go_before_them() -> None:
    house = House({"coopers": 2, "hours_a_week": [{"since": "2026-01-01", "value": 37.5}, {"since": "2026-12-08", "value": 30}]})
    assert [week.capacity for week in weeks_from(SUNDAY, 3, house.on)] == [75, 75, 60]
    assert [week.capacity for week in weeks_from(SUNDAY, 2, house.on, coopers=1)] == [37.5, 37.5]
    assert [week.capacity for week in weeks_from(SUNDAY, 2, house.on, hours=10)] == [20, 20]
    assert [week.capacity for week in weeks_from(SUNDAY, 1, house.on, coopers=0)] == [0]
    assert [week.capacity for week in weeks_from(SUNDAY, 1, House({"coopers": 2}).on)] == [None]


@pytest.mark.parametrize(
    ("first", "days", "capacity"), [("2026-12-01", 4, 60), ("2026-12-02", 3, 45), ("2026-12-04", 1, 15), ("2026-12-05", 0, 0), ("2026-12-06", 0, 0)]
)
def test_a_week_that_begins_late_has_the_hours_of_its_working_days_left(first: str, days: int, capacity: float) -> None:
    begun, whole = weeks_from(MONDAY, 2, House({"coopers": 2, "hours_a_week": 37.5}).on, begin=date.fromisoformat(first))
    assert (begun.first.isoformat(), begun.last, begun.working_days, begun.capacity) == (first, date(2026, 12, 6), days, pytest.approx(capacity))
    assert (whole.number, whole.first, whole.working_days, whole.capacity) == (2, date(2026, 12, 7), 5, 75)


def hours(house: dict[str, object], minutes: dict[tuple[str, str], list[float]] | None = None) -> Hours:
    made = House(house)
    return Hours(lambda kind: made.on(MONDAY, kind), lambda: minutes or {})


def test_the_house_says_before_the_book_and_the_type_before_the_house() -> None:
    minutes = {("test", "barrel"): [60.0] * 9}
    asked = hours({"job_hours": {"test": 0.3}, "types": {"butt": {"job_hours": {"test": 0.5}}}}, minutes)
    assert (asked.of("test", "barrel"), asked.of("test", "butt"), asked.of("test", "hogshead")) == (0.3, 0.5, 0.3)
    assert asked.sources() == [Source("test", None, 0.3), Source("test", "butt", 0.5)]
    assert {one.where for one in asked.sources()} == {"house.yaml"}


def test_a_dated_setting_holds_from_its_day() -> None:
    assert hours({"job_hours": [{"since": "2026-12-01", "value": {"test": 1}}]}).of("test", "barrel") is None
    assert hours({"job_hours": [{"since": "2026-11-30", "value": {"test": 1}}]}).of("test", "barrel") == 1


def test_else_the_median_of_five_entries_of_the_type_else_of_all_types() -> None:
    """Of barrels 12, 18, 24, 30, 60 min: 24 min are 0.4 h. Of butts four entries are too few, so all nine count: 30 min."""
    asked = hours({}, {("test", "barrel"): [60.0, 12.0, 18.0, 30.0, 24.0], ("test", "butt"): [90.0, 80.0, 70.0, 75.0], ("char", "barrel"): [30.0] * 4})
    assert asked.of("test", "barrel") == pytest.approx(0.4) and asked.of("test", "butt") == pytest.approx(1.0)
    assert asked.of("char", "barrel") is None and asked.of("nose", "butt") is None
    assert [(one.job, one.type, one.where) for one in asked.sources()] == [
        ("test", None, "median of 9 entries, all types"), ("test", "barrel", "median of 5 entries"),
        ("char", None, "neither in house.yaml nor in enough entries"), ("nose", None, "neither in house.yaml nor in enough entries"),
    ]  # fmt: skip


def test_minutes_are_not_asked_for_where_the_house_says_all() -> None:
    def never() -> dict[tuple[str, str], list[float]]:
        raise AssertionError("asked")

    made = House({"job_hours": {"test": 0.3}})
    assert Hours(lambda kind: made.on(MONDAY, kind), never).of("test", "barrel") == 0.3
