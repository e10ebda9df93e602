"""Jobs laid into weeks, worked by hand; and that none is lost, whatever the jobs and the weeks."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.words.job_table import row_of
from caskbook.work.job import Job
from caskbook.work.schedule import scheduled
from caskbook.work.weeks import Week

MONDAY = date(2026, 11, 30)


def weeks(*hours: float | None) -> tuple[Week, ...]:
    """Weeks from MONDAY with so many hours each, of one cooper; None of nobody knows how many."""
    return tuple(
        Week(n + 1, MONDAY + timedelta(weeks=n), MONDAY + timedelta(weeks=n, days=6), None if each is None else 0 if each == 0 else 1, each)
        for n, each in enumerate(hours)
    )


def job(word: str, hours: float | None, rank: int, *, cask: str = "", due: date | None = None) -> Job:
    """A job of this rank, due in the past unless a day is given; on a cask of its own unless one is named."""
    return Job(cask or f"TH-{rank:06d}", "barrel", None, None, word, "r", "test", hours, due, rank, row_of(word).turn)


def laid(given: list[Job], within: tuple[Week, ...]) -> list[int | None]:
    return [one.week for one in scheduled(given, within)]


def test_weeks_fill_by_rank_and_what_has_no_room_goes_on_to_the_next() -> None:
    """4 h each into 10 h a week: two in the first, two in the second, the fifth nowhere; the first by rank goes first, wherever it is named."""
    jobs = [job("test", 4, rank) for rank in (5, 1, 2, 3, 4)]
    assert laid(jobs, weeks(10, 10)) == [None, 1, 1, 2, 2]


def test_a_short_job_of_low_rank_fills_what_a_long_one_left() -> None:
    assert laid([job("test", 6, 1), job("test", 6, 2), job("look", 4, 3)], weeks(10, 10)) == [1, 2, 1]


def test_a_week_filled_to_the_minute_is_not_over() -> None:
    """0.1 + 0.1 + 0.1 is a little more than 0.3 for a computer."""
    assert laid([job("test", 0.1, rank) for rank in range(4)], weeks(0.3, 0.3)) == [1, 1, 1, 2]


def test_no_job_before_the_week_in_which_it_becomes_due() -> None:
    sunday, monday = MONDAY + timedelta(days=6), MONDAY + timedelta(days=7)
    jobs = [job("test", 1, 1, due=monday), job("test", 1, 2, due=sunday), job("test", 1, 3, due=MONDAY - timedelta(days=2))]
    assert laid(jobs, weeks(10, 10)) == [2, 1, 1]
    assert laid([job("test", 1, 1, due=monday + timedelta(days=7))], weeks(10, 10)) == [None], "due behind the last week"


def test_without_any_hours_a_week_nothing_that_takes_time_fits() -> None:
    assert laid([job("test", 0.5, 1), job("look", None, 2)], weeks(0, 0)) == [None, 1]


def test_without_a_capacity_each_job_is_of_the_week_it_is_due_in() -> None:
    assert laid([job("test", 99, 1), job("test", 99, 2, due=MONDAY + timedelta(days=8))], weeks(None, None)) == [1, 2]


def test_jobs_without_hours_take_no_room() -> None:
    assert laid([job("nose", None, rank) for rank in range(5)] + [job("test", 10, 9)], weeks(10)) == [1] * 6


def test_the_bench_mends_and_chars_before_it_tests() -> None:
    """The test matters more, but waits for the char of its cask: 6 h of 8 are taken, so it goes into the second week. One of another cask does not wait."""
    jobs = [job("test", 3, 1, cask="TH-000001"), job("char", 6, 4, cask="TH-000001"), job("test", 2, 5)]
    assert laid(jobs, weeks(8, 8)) == [2, 1, 1]
    later = [job("look", 5, 1), job("test", 1, 2, cask="TH-000001"), job("char", 6, 4, cask="TH-000001")]
    assert laid(later, weeks(8, 8)) == [1, 2, 2], "the test had room in the first week, but the char has not"
    assert laid([job("examine", 3, 2, cask="TH-000001"), job("nose", 6, 3, cask="TH-000001")], weeks(8, 8)) == [2, 1]


def test_what_does_not_fit_holds_back_what_comes_after_it_at_the_bench() -> None:
    jobs = [job("examine", 5, 1), job("test", 1, 2, cask="TH-000009"), job("char", 9, 3, cask="TH-000009")]
    assert laid(jobs, weeks(10)) == [1, None, None]


def test_what_is_due_later_holds_nothing_back() -> None:
    """The examination lapses in the second week; the test that is due now does not wait for it."""
    jobs = [job("test", 1, 1, cask="TH-000001"), job("examine", 1, 2, cask="TH-000001", due=MONDAY + timedelta(days=9))]
    assert laid(jobs, weeks(8, 8)) == [1, 2]


def test_work_elsewhere_than_at_the_bench_is_in_no_order() -> None:
    jobs = [job("regauge", 6, 1, cask="TH-000001"), job("look", 6, 2, cask="TH-000001")]
    assert laid(jobs, weeks(8, 8)) == [1, 2] and row_of("regauge").turn == row_of("look").turn == 0


def test_a_job_longer_than_a_week_has_the_first_empty_one_to_itself() -> None:
    assert laid([job("test", 1, 1), job("char", 12, 2), job("test", 1, 3), job("test", 9.5, 4)], weeks(10, 10, 10)) == [1, 2, 1, 3]
    assert laid([job("test", 1, 1), job("char", 12, 2)], weeks(10)) == [None if n else 1 for n in range(2)], "no week is empty"
    assert laid([job("char", 12, 2)], weeks(10, 15)) == [2], "a longer week takes it"


JOBS = st.builds(
    lambda word, hours, rank, cask, days: job(word, hours, rank, cask=f"TH-{cask:06d}", due=None if days is None else MONDAY + timedelta(days=days)),
    st.sampled_from(["nose", "examine", "stave", "char", "test", "look", "regauge", "retire"]),
    st.none() | st.sampled_from([0.1, 0.25, 1.0, 3.0, 7.5, 12.0]), st.integers(0, 50), st.integers(1, 6), st.none() | st.integers(-20, 40),
)  # fmt: skip


@given(st.lists(JOBS, max_size=30), st.lists(st.sampled_from([0, 1, 4, 10]), min_size=1, max_size=5) | st.just([None, None]))
def test_no_job_is_lost_and_no_week_holds_more_than_it_has(jobs: list[Job], hours: list[Any]) -> None:
    within = weeks(*hours)
    out = scheduled(jobs, within)
    assert [(one.cask, one.job, one.hours, one.rank) for one in out] == [(one.cask, one.job, one.hours, one.rank) for one in jobs]
    for week in within:
        mine = [one for one in out if one.week == week.number]
        taken = sum(one.hours or 0 for one in mine)
        if week.capacity is not None and taken > week.capacity + 1e-6:
            timed = [one for one in mine if one.hours]
            assert len(timed) == 1 and week.capacity > 0 and (timed[0].hours or 0) > week.capacity, "one job alone, longer than the week"
    for one in out:
        if one.week is not None:
            assert one.due is None or one.due <= within[one.week - 1].last
            before = [other for other in out if other.cask == one.cask and 0 < other.turn < one.turn and (other.due or date.min) <= (one.due or date.min)]
            assert all(other.week is not None and other.week <= one.week for other in before)
        elif (one.due or date.min) <= within[-1].last and not one.turn:
            assert one.hours and all(week.capacity is not None for week in within), "what takes no time, or has no limit, always fits"


@pytest.mark.parametrize("word", ["treat", "nose", "examine", "stave", "shave", "char", "close", "drive", "test"])
def test_the_bench_has_an_order(word: str) -> None:
    order = ["treat", "nose", "examine", "stave", "shave", "char", "close", "drive", "test"]
    assert [other for other in order if row_of(other).turn < row_of(word).turn] == order[: order.index(word)]
