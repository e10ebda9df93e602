"""Which jobs of a day have a place on its sheet, and in which order they stand there."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.model.house import House
from caskbook.work.job import Job
from caskbook.work.morning import Held, Morning, morning_of
from caskbook.work.plan import Asked, WorkPlan
from caskbook.work.schedule import scheduled
from caskbook.work.weeks import one_day

DAY = date(2026, 11, 25)
STORES = {"W3": "warehouse 3", "W1": "warehouse 1"}


def job(cask: int, berth: str | None, rank: int, word: str = "look", turn: int = 0, hours: float | None = 0.5) -> Job:
    store = STORES.get((berth or "").split("/")[0])
    return Job(f"TH-{cask:06}", "barrel", berth, store, word, "look", "must", hours, None, rank, turn)


def plan(*jobs: Job, hours: float | None = None) -> WorkPlan:
    day = one_day(DAY, House().on(DAY), 1 if hours else None, hours)
    return WorkPlan(DAY, Asked(1), (day,), scheduled(jobs, (day,)), (), (), {}, (), 0, (), len(jobs), 0, STORES)


def casks(morning: Morning) -> list[list[str]]:
    return [[one.cask[-1] for one in page] for page in morning.pages]


def test_jobs_stand_as_one_walks_whatever_their_rank() -> None:
    """By store in the house's order, W1/2 before W1/10, a berth of no store behind, none at all last."""
    jobs = [job(1, None, 1), job(2, "X9", 2), job(3, "W1/10/1", 3), job(4, "W1/2/1", 4), job(5, "W3/1/1", 5)]
    assert casks(morning_of(plan(*jobs), (), 24, 1)) == [["5", "4", "3", "2", "1"]]


def test_on_one_cask_the_jobs_stand_in_the_order_of_the_bench() -> None:
    jobs = [job(1, "W1/1", 1, "test", 9), job(1, "W1/1", 2, "shave", 5), job(1, "W1/1", 3, "char", 6)]
    assert [one.job for one in morning_of(plan(*jobs), (), 24, 1).jobs] == ["shave", "char", "test"]


def test_what_has_no_line_is_what_matters_least_and_not_what_lies_last() -> None:
    jobs = [job(1, "W1/1", 3), job(2, "W1/2", 1), job(3, "W1/3", 2)]
    found = morning_of(plan(*jobs), (), 2, 1)
    assert casks(found) == [["2", "3"]] and [one.cask[-1] for one in found.over_page] == ["1"] and found.left_over == found.over_page


def test_what_goes_before_a_job_at_the_bench_has_its_line_first() -> None:
    """The test matters most; before it the cask is charred, which by itself would come last."""
    jobs = [job(1, "W1/1", 1, "test", 9), job(2, "W1/2", 2), job(1, "W1/1", 3, "char", 6)]
    found = morning_of(plan(*jobs), (), 2, 1)
    assert [one.job for one in found.jobs] == ["char", "test"] and [one.cask[-1] for one in found.over_page] == ["2"]


def test_more_pages_take_more_and_the_way_goes_on_from_one_to_the_next() -> None:
    jobs = [job(at, f"W1/{10 - at}", at) for at in range(1, 8)]
    found = morning_of(plan(*jobs), (), 3, 2)
    assert casks(found) == [["6", "5", "4"], ["3", "2", "1"]] and [one.cask[-1] for one in found.over_page] == ["7"]


def test_the_hours_of_the_day_go_first_to_what_matters_most() -> None:
    found = morning_of(plan(*(job(at, f"W1/{at}", at) for at in range(1, 5)), job(9, "W1/9", 9, hours=None), hours=1.0), (), 24, 1)
    assert casks(found) == [["1", "2", "9"]] and [one.cask[-1] for one in found.over_hours] == ["3", "4"] and not found.over_page


def test_an_empty_day_has_a_page_and_held_casks_stand_as_one_walks() -> None:
    held = [Held(f"TH-{at}", "barrel", berth, STORES.get(berth[:2]), "held") for at, berth in ((1, "W1/10"), (2, "W1/9"), (3, "W3/1"))]
    found = morning_of(plan(), held, 24, 1)
    assert found.pages == ((),) and [one.cask for one in found.held] == ["TH-3", "TH-2", "TH-1"]


@pytest.mark.parametrize(("settings", "asked", "capacity"), [
    ({"coopers": 2, "hours_a_week": 30}, (None, None), 12.0), ({"coopers": 2, "hours_a_week": 30}, (1, None), 6.0), ({"coopers": 2, "hours_a_week": 30}, (None, 8.0), 16.0),
    ({"hours_a_week": 30}, (None, None), None), ({"coopers": 2}, (None, None), None), ({}, (1, 7.5), 7.5),
])  # fmt: skip
def test_a_day_has_a_fifth_of_the_week_unless_it_is_said(settings: dict[str, int], asked: tuple[int | None, float | None], capacity: float | None) -> None:
    found = one_day(DAY, House(settings).on(DAY), *asked)
    assert (found.first, found.last, found.capacity) == (DAY, DAY, capacity)


jobs_of_a_day = st.lists(
    st.tuples(st.integers(1, 6), st.sampled_from(["W1/1", "W1/2", "W3/1", "X1", None]), st.integers(0, 4), st.sampled_from([0.25, 1.0, None])), max_size=14
)


@given(jobs_of_a_day, st.integers(1, 5), st.integers(1, 3), st.sampled_from([None, 1.0, 3.0]))
def test_no_job_is_lost_or_stands_twice(rows: list[tuple[int, str | None, int, float | None]], each: int, pages: int, hours: float | None) -> None:
    """Each is on a page, over the hours or over the lines, once; a page is never over-full; what a job on the sheet waits for is on the sheet."""
    made = [replace(job(cask, berth, rank, turn=turn, hours=length), due=DAY) for rank, (cask, berth, turn, length) in enumerate(rows)]
    found = morning_of(plan(*made, hours=hours), (), each, pages)
    assert Counter(one.rank for one in (*found.jobs, *found.over_hours, *found.over_page)) == Counter(range(len(made)))
    assert len(found.pages) <= pages and all(len(page) <= each for page in found.pages)
    ranks = {one.rank for one in found.jobs}
    for one in found.jobs:
        before = {other.rank for other in made if other.cask == one.cask and 0 < other.turn < one.turn}
        assert before <= ranks
    if hours is not None and all(one.hours is None or one.hours <= hours for one in made):
        assert sum(one.hours or 0 for one in found.jobs) <= hours
