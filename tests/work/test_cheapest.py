"""Which casks to take: against every choice there is."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from caskbook.work.cheapest import Cost, cheapest_casks, cheapest_litres

COST = st.tuples(st.integers(0, 3), st.integers(0, 1), st.integers(0, 3))
LITRES = st.sampled_from([1.0, 2.0, 2.5, 5.0])
CASKS = st.lists(st.tuples(COST, LITRES), max_size=7)


def total(costs: list[Cost]) -> Cost:
    return sum(one[0] for one in costs), sum(one[1] for one in costs), sum(one[2] for one in costs)


def least(casks: list[tuple[Cost, float]], enough: float, *, by_litres: bool) -> Cost | None:
    """The least cost of all choices that are enough; None where none is."""
    ways = [way for size in range(len(casks) + 1) for way in combinations(casks, size)]
    return min((total([one[0] for one in way]) for way in ways if (sum(one[1] for one in way) if by_litres else len(way)) >= enough), default=None)


@given(CASKS, st.integers(1, 8))
def test_no_choice_of_so_many_casks_costs_less(casks: list[tuple[Cost, float]], want: int) -> None:
    places = cheapest_casks([cost for cost, _ in casks], want)
    assert places == sorted(set(places)) and len(places) == min(want, len(casks))
    best = least(casks, want, by_litres=False)
    assert best is None or total([casks[at][0] for at in places]) == best


@given(CASKS, st.floats(0.5, 20).map(lambda litres: round(litres * 2) / 2))
def test_no_choice_of_so_many_litres_costs_less(casks: list[tuple[Cost, float]], want: float) -> None:
    places = cheapest_litres([cost for cost, _ in casks], [litres for _, litres in casks], want)
    assert places == sorted(set(places))
    best = least(casks, want, by_litres=True)
    if best is None:
        assert places == list(range(len(casks)))
    else:
        assert sum(casks[at][1] for at in places) >= want and total([casks[at][0] for at in places]) == best


def test_what_stands_first_is_taken_where_it_is_all_one() -> None:
    assert cheapest_casks([(1, 0, 5), (1, 0, 5), (0, 0, 0), (1, 0, 5)], 2) == [0, 2]
    assert cheapest_litres([(1, 0, 5)] * 4, [200.0] * 4, 390.0) == [0, 1]


def test_one_large_cask_goes_before_many_small_ones_with_as_many_jobs_in_sum() -> None:
    """A butt of 500 L with two jobs against barrels of 200 L with one: 500 L are two jobs, not three."""
    assert cheapest_litres([(2, 0, 0), (1, 0, 0), (1, 0, 0), (1, 0, 0)], [500.0, 200.0, 200.0, 200.0], 500.0) == [0]


def test_a_job_without_hours_is_dearer_than_any_with() -> None:
    assert cheapest_casks([(1, 1, 0), (1, 0, 90_000)], 1) == [1] and cheapest_casks([(2, 0, 1), (1, 1, 0)], 1) == [1]
