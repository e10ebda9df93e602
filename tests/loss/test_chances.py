"""Chances against an independent library: quantiles of the normal, and Student's t as a normal score."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from caskbook.loss.chances import MOST_SCORE, as_normal, run_length_years, score_limit


@pytest.mark.parametrize(("false_alarms", "years", "courses"), [(0.5, 1.0, 1), (0.5, 3.0, 3), (2.0, 0.5, 20), (100.0, 4.0, 1), (0.01, 0.05, 40)])
def test_the_limit_is_that_of_scipy(false_alarms: float, years: float, courses: int) -> None:
    assert score_limit(false_alarms, years, courses) == pytest.approx(stats.norm.isf(false_alarms / 1000 * years / courses), abs=1e-6)


@pytest.mark.parametrize("freedom", [3, 5, 14, 40, 200])
@pytest.mark.parametrize("score", [0.5, 1.0, 2.0, 3.0, 4.5, 6.0])
def test_students_t_as_a_normal_score(score: float, freedom: int) -> None:
    exact = stats.norm.isf(stats.t.sf(score, freedom))
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
