"""Intervals against published figures, against scipy over a grid, and laws for any counts."""

from __future__ import annotations

import math

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings
from laws import many
from scipy.stats import binomtest, chi2, gamma

from caskbook.stats.intervals import gamma_share, poisson_exact, rate_exact, wilson

# Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3 (from memory, to four digits).
PUBLISHED_SHARES = ((81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718))
# Exact Poisson limits, as after Garwood, Biometrika 28 (1936) 437 (from memory, to three digits).
PUBLISHED_COUNTS = ((10, 4.795, 18.390), (0, 0.0, 3.689), (1, 0.025, 5.572), (5, 1.623, 11.668))


@pytest.mark.parametrize(("found", "of", "lower", "upper"), PUBLISHED_SHARES)
def test_published_shares(found: int, of: int, lower: float, upper: float) -> None:
    interval = wilson(found, of)
    assert interval is not None and (interval.lower, interval.upper) == (pytest.approx(lower, abs=5e-5), pytest.approx(upper, abs=5e-5))


@pytest.mark.parametrize(("events", "lower", "upper"), PUBLISHED_COUNTS)
def test_published_counts(events: int, lower: float, upper: float) -> None:
    assert poisson_exact(events) == (pytest.approx(lower, abs=5e-4), pytest.approx(upper, abs=5e-4))


def test_shares_as_scipy_has_them() -> None:
    for of in (1, 2, 5, 20, 263, 4000):
        for found in {0, 1, of // 3, of // 2, of - 1, of}:
            theirs = binomtest(found, of).proportion_ci(method="wilson")
            assert wilson(found, of) == (pytest.approx(theirs.low, abs=1e-12), pytest.approx(theirs.high, abs=1e-12))


@pytest.mark.parametrize("events", [0, 1, 2, 3, 7, 10, 29, 30, 31, 100, 999, 5000, 20_000])
def test_counts_as_scipy_has_them(events: int) -> None:
    low, high = chi2.ppf(0.025, 2 * events) / 2 if events else 0.0, chi2.ppf(0.975, 2 * events + 2) / 2
    assert poisson_exact(events) == (pytest.approx(low, rel=1e-10), pytest.approx(high, rel=1e-10))


@given(st.integers(0, 3000))
@settings(max_examples=many(60))
def test_any_count_as_scipy_has_it(events: int) -> None:
    lower, upper = poisson_exact(events)
    assert lower == pytest.approx(chi2.ppf(0.025, 2 * events) / 2 if events else 0.0, rel=1e-9)
    assert upper == pytest.approx(chi2.ppf(0.975, 2 * events + 2) / 2, rel=1e-9)
    assert lower <= events < upper


@given(st.integers(1, 500), st.floats(1e-3, 2000))
@settings(max_examples=many(150))
def test_the_incomplete_gamma_as_scipy_has_it(shape: int, value: float) -> None:
    assert gamma_share(float(shape), value) == pytest.approx(gamma.cdf(value, shape), rel=1e-9, abs=1e-13)


@given(st.integers(0, 10**6), st.integers(0, 10**6))
@settings(max_examples=many(150))
def test_a_share_lies_within_its_interval_and_the_other_share_mirrors_it(one: int, other: int) -> None:
    found, of = min(one, other), max(one, other)
    interval = wilson(found, of)
    if not of:
        assert interval is None
        return
    mirrored = wilson(of - found, of)
    assert interval is not None and mirrored is not None
    assert 0 <= interval.lower <= found / of <= interval.upper <= 1
    assert interval.lower == pytest.approx(1 - mirrored.upper, abs=1e-9)


def test_a_rate_is_the_count_over_the_years_and_there_is_none_in_no_time() -> None:
    assert rate_exact(10, 500) == (pytest.approx(9.590777, abs=1e-5), pytest.approx(36.780712, abs=1e-5))
    assert rate_exact(0, 0.0) is None and rate_exact(3, -1.0) is None
    found = rate_exact(0, 100)
    assert found is not None and found.lower == 0 and found.upper == pytest.approx(1000 * -math.log(0.025) / 100)


def test_what_is_no_count_is_refused() -> None:
    with pytest.raises(ValueError, match="21 of 20"):
        wilson(21, 20)
    with pytest.raises(ValueError, match="-1 events"):
        poisson_exact(-1)
