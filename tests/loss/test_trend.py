"""The line through many gauges."""

from __future__ import annotations

import pytest
from gauging.others import BOUND_SHARES, kept, points
from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.trend import MOST_POINTS, theil_sen

FIGURES = st.integers(-(10**6), 10**6).map(lambda value: value / 1000)


def test_an_outlier_does_not_tilt_it() -> None:
    line = theil_sen([(0, 0), (1, -0.02), (2, -0.04), (3, -9.0), (4, -0.08)])
    assert line is not None and line[0] == pytest.approx(-0.02)


def test_worked_by_hand() -> None:
    # slopes of (0,0) (1,2) (3,3): 2, 1, 0.5 → 1; medians x 1, y 2 → intercept 1
    assert theil_sen([(0, 0), (1, 2), (3, 3)]) == (1.0, 1.0)
    assert theil_sen([(1, 5), (1, 7)]) is None
    assert theil_sen([]) is None


def test_as_another_program_has_it() -> None:
    others = kept("lines")
    for some, slope, intercept in zip(points(), others[::2], others[1::2], strict=True):
        assert theil_sen(some) == (pytest.approx(slope, rel=1e-9, abs=1e-12), pytest.approx(intercept, rel=1e-9, abs=1e-9))


def test_its_interval_is_as_another_program_has_it() -> None:
    """Sen (1968): the ranks of the slopes of all pairs, by Kendall's variance; ten points or more, where that variance is fit to be used."""
    from caskbook.loss.trend import theil_sen_bounds

    others = iter(kept("bounds"))
    for some in points():
        for share in BOUND_SHARES if len(some) >= 10 else ():
            assert theil_sen_bounds(some, share) == (pytest.approx(next(others), rel=1e-9, abs=1e-12), pytest.approx(next(others), rel=1e-9, abs=1e-12))


@given(st.lists(st.tuples(FIGURES, FIGURES), min_size=2, max_size=20, unique_by=lambda point: point[0]), st.sampled_from([0.5, 2.0, 4.0]))
def test_the_slope_follows_the_unit(points: list[tuple[float, float]], factor: float) -> None:
    line, scaled = theil_sen(points), theil_sen([(x, y * factor) for x, y in points])
    assert line is not None and scaled is not None
    assert scaled[0] == pytest.approx(line[0] * factor)


def test_a_thousand_points_cost_no_more_than_some_and_the_last_counts() -> None:
    line = theil_sen([(float(n), -0.02 * n) for n in range(10 * MOST_POINTS)])
    assert line is not None and line[0] == pytest.approx(-0.02)
