"""Chances against an independent library: quantiles of the normal, and Student's t as a normal score."""

from __future__ import annotations

import math
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.chances import MOST_SCORE, as_normal, limit_of, run_length_years, score_limit


def stats() -> ModuleType:
    """The independent library, loaded when it is asked: it takes longer to load than these tests to run."""
    from scipy import stats as found

    return found


@pytest.mark.thorough
@pytest.mark.parametrize(("false_alarms", "years"), [(0.5, 1.0), (0.5, 3.0), (2.0, 0.5), (100.0, 4.0), (0.01, 0.05)])
def test_the_limit_is_that_of_scipy(false_alarms: float, years: float) -> None:
    assert score_limit(false_alarms, years) == pytest.approx(stats().norm.isf(false_alarms / 1000 * years), abs=1e-6)


@pytest.mark.thorough
def test_looks_that_err_anew_share_what_the_years_allow() -> None:
    """Ten looks in ten years, nothing of the score of the cask's own rate: each look has the tenth, and one course of nineteen the half or a thirty-sixth."""
    assert limit_of(0.5, 10.0, 10, 0.0, from_first=True) == pytest.approx(stats().norm.isf(0.0005 / 2), abs=1e-6)
    assert limit_of(0.5, 10.0, 10, 0.0, from_first=False) == pytest.approx(stats().norm.isf(0.0005 / 2 / 18), abs=1e-6)
    assert limit_of(0.5, 10.0, 10, 1.0, from_first=True) == pytest.approx(stats().norm.isf(0.005 / 2), abs=1e-6)
    assert limit_of(0.5, 4.0, 1, 0.3, from_first=True) == pytest.approx(stats().norm.isf(0.002), abs=1e-6)


@given(st.floats(0.01, 50), st.floats(0.1, 40), st.integers(1, 47), st.floats(0, 1))
def test_no_limit_lies_below_that_of_the_loss_from_the_first_gauge(false_alarms: float, years: float, looks: int, share: float) -> None:
    least = limit_of(false_alarms, years, looks, 1.0, from_first=True)
    assert limit_of(false_alarms, years, looks, share, from_first=True) >= least
    assert looks == 1 or limit_of(false_alarms, years, looks, share, from_first=False) >= least


@pytest.mark.thorough
@pytest.mark.parametrize(("looks", "years"), [(1, 3.0), (5, 5.0), (10, 10.0), (20, 10.0)])
def test_sound_looks_are_told_as_seldom_as_the_house_allows(looks: int, years: float) -> None:
    """Scores drawn anew at each look, of every course by itself: of a million looks no more are above than the chance that the years allow."""
    courses = [limit_of(5.0, years, looks, 0.0, from_first=True), *[limit_of(5.0, years, looks, 0.0, from_first=False)] * (2 * looks - 2)]
    a_look = sum(stats().norm.sf(limit) for limit in courses)
    assert a_look * looks == pytest.approx(5.0 / 1000 * years, rel=1e-6)


@pytest.mark.thorough
@pytest.mark.parametrize("freedom", [3, 5, 14, 40, 200])
@pytest.mark.parametrize("score", [0.5, 1.0, 2.0, 3.0, 4.5, 6.0])
def test_students_t_as_a_normal_score(score: float, freedom: int) -> None:
    exact = stats().norm.isf(stats().t.sf(score, freedom))
    assert as_normal(score, freedom) == pytest.approx(exact, abs=0.04)


@given(st.floats(0, 1e6), st.floats(1, 1e6))
def test_few_peers_never_make_a_score_higher(score: float, freedom: float) -> None:
    found = as_normal(score, freedom)
    assert 0 <= found <= min(score, MOST_SCORE) + 1e-9
    assert found <= as_normal(score, freedom * 2) + 1e-9


def test_without_doubt_of_the_spread_a_score_stays() -> None:
    assert as_normal(3.3, math.inf) == 3.3 and as_normal(-2.0, 4.0) == -2.0


def test_the_run_length() -> None:
    """0.5 false alarms per 1000 casks a year: one cask is told wrongly once in 2000 years."""
    assert run_length_years(0.5) == 2000.0
