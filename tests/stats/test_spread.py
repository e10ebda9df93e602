"""Draws, bands, plain forecasts and scatter: held to another program's distributions, and to counts of which the scatter is known."""

from __future__ import annotations

import random

import pytest
from scipy import stats

from caskbook.stats.spread import Band, Scatter, band_of, binomial, by_last_mean, by_last_year, draws_of, poisson, poisson_quantile, scatter_of, seasons_of


@pytest.mark.parametrize("mean", [0.3, 4.2, 29.0, 31.0, 480.0, 2600.0])
@pytest.mark.parametrize("share", [0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975])
def test_poisson_quantiles(mean: float, share: float) -> None:
    assert abs(poisson_quantile(share, mean) - int(stats.poisson.ppf(share, mean))) <= (mean > 500)


@pytest.mark.parametrize("mean", [0.7, 12.0, 33.0, 900.0])
def test_poisson_draws_are_poisson(mean: float) -> None:
    chance = random.Random(7)
    drawn = [poisson(mean, chance) for _ in range(6000)]
    low, high = (int(stats.poisson.ppf(share, mean)) for share in (0.001, 0.999))
    cuts = sorted({int(stats.poisson.ppf(n / 12, mean)) for n in range(1, 12)} | {low, high})
    seen = [sum(before < count <= cut for count in drawn) for before, cut in zip([-1, *cuts], [*cuts, 10**9], strict=True)]
    below = [float(stats.poisson.cdf(cut, mean)) for cut in cuts]
    wanted = [6000 * (after - before) for before, after in zip([0.0, *below], [*below, 1.0], strict=True)]
    kept = [(one, mean_of) for one, mean_of in zip(seen, wanted, strict=True) if mean_of > 1]
    chi = sum((one - mean_of) ** 2 / mean_of for one, mean_of in kept)
    assert stats.chi2.sf(chi, len(kept) - 1) > 0.001
    assert poisson(0.0, chance) == 0


@pytest.mark.parametrize(("count", "share"), [(9, 0.3), (9, 0.8), (400, 0.02), (700, 0.4), (700, 0.93)])
def test_binomial_draws_are_binomial(count: int, share: float) -> None:
    chance = random.Random(11)
    drawn = sorted(binomial(count, share, chance) for _ in range(6000))
    for at in (0.05, 0.25, 0.5, 0.75, 0.95):
        edge = int(stats.binom.ppf(at, count, share))
        seen, wanted = sum(one <= edge for one in drawn) / 6000, float(stats.binom.cdf(edge, count, share))
        assert seen == pytest.approx(wanted, abs=4 * (wanted * (1 - wanted) / 6000) ** 0.5 + 0.008 * (count * share > 100))
    assert drawn[0] >= 0 and drawn[-1] <= count and binomial(5, 0.0, chance) == 0 and binomial(5, 1.0, chance) == 5


def test_drawn_months_are_negative_binomial() -> None:
    month, mean = 0.09, 25.0
    drawn = [course[0] for course in draws_of([mean], Scatter(month, 0.0, 1.0), 0.0, 8000, random.Random(3))]
    size = 1 / month
    for share in (0.1, 0.25, 0.5, 0.75, 0.9):
        wanted = stats.nbinom.ppf(share, size, size / (size + mean))
        assert abs(sorted(drawn)[int(share * 8000)] - wanted) <= 1


def test_the_level_moves_all_months_of_a_course_and_the_ends_of_the_curve_widen_it() -> None:
    def total(year: float, sampling: float, level: float = 1.0) -> list[int]:
        return sorted(sum(course) for course in draws_of([20.0] * 12, Scatter(0.0, year, level), sampling, 1500, random.Random(5)))

    alone, unlike, few = total(0, 0), total(0.04, 0), total(0, 0.04)
    assert alone[1350] - alone[150] == pytest.approx(2 * 1.2816 * 240**0.5, rel=0.08)
    assert unlike[1350] - unlike[150] == pytest.approx(2 * 1.2816 * (240 + 0.04 * 240**2) ** 0.5, rel=0.08) == few[1350] - few[150]
    assert total(0, 0, 1.5)[750] == pytest.approx(360, abs=4)


def test_a_band_leaves_as_much_out_below_as_above_and_parts_no_count() -> None:
    assert band_of(range(1, 1001), 80) == Band(500.5, 101, 900)
    assert band_of([0, 0, 0, 1], 50) == Band(0.0, 0, 0)
    assert band_of([3], 95) == Band(3.0, 3, 3) and Band(3.0, 3, 5).holds(5) and not Band(3.0, 3, 5).holds(6)


def test_last_year_s_month_with_the_spread_of_its_errors() -> None:
    chance = random.Random(2)
    counts = [chance.randrange(5, 30) for _ in range(60)]
    errors = [after - before for before, after in zip(counts, counts[12:], strict=False)]
    spread = (sum(error**2 for error in errors) / len(errors)) ** 0.5
    for ahead in (1, 12):
        middle = counts[48 + ahead - 1]
        low, high = stats.norm.interval(0.8, middle, spread)
        band = by_last_year(counts, ahead, 80)
        assert band.middle == middle and band.high == int(high // 1) and band.low == max(0, -int(-low // 1))
    two = by_last_year([50, *[60] * 11, 62, 56], 1, 80)  # Errors of 12 and -4, which are 8.94 in the mean square.
    assert (two.low, two.high) == (49, 71)
    with pytest.raises(ValueError, match="a year and a month"):
        by_last_year(counts[:12], 1, 80)


def test_the_mean_of_the_last_twelve_months_with_poisson_spread() -> None:
    band = by_last_mean([99] * 20 + [4, 8] * 6, 95)
    assert band == Band(6.0, *(int(one) for one in stats.poisson.interval(0.95, 6.0)))
    assert by_last_mean([0] * 12, 80) == Band(0.0, 0, 0)


def counts_of(years: int, mean: float, month: float, year: float, seed: int) -> list[int]:
    chance = random.Random(seed)
    return [
        poisson(mean * level * chance.gammavariate(1 / month, month), chance)
        for level in (chance.gammavariate(1 / year, year) for _ in range(years))
        for _ in range(12)
    ]


def test_scatter_finds_that_of_months_and_of_years_apart() -> None:
    found = [scatter_of(counts_of(10, 30.0, 0.05, 0.04, seed), [30.0] * 120) for seed in range(60)]
    assert sum(one.month for one in found) / 60 == pytest.approx(0.05, abs=0.012)
    assert sum(one.year for one in found) / 60 == pytest.approx((0.04 * 10 + 0.01 * 2) / 12, abs=0.008)
    plain = [scatter_of([poisson(30.0, random.Random(seed * 1000 + n)) for n in range(120)], [30.0] * 120) for seed in range(40)]
    assert sum(one.month for one in plain) / 40 < 0.006 and sum(one.year for one in plain) / 40 < 0.005


def test_half_of_the_difference_of_the_last_two_years_goes_on() -> None:
    steady = [30] * 96 + [60] * 24
    assert 1.2 < scatter_of(steady, [30.0] * 120).level < 1.5
    assert scatter_of([], []) == Scatter(0.0, 0.01, 1.0)


def test_months_of_the_year_are_told_apart_only_where_they_differ() -> None:
    chance = random.Random(9)
    rounds = [poisson(12.0 if n % 12 in (2, 8) else 0.0, chance) for n in range(120)]
    factors = seasons_of(rounds, [2.0] * 120, 24000)
    assert all((factor > 5) == (month in (2, 8)) for month, factor in enumerate(factors)) and max(factors[3:8]) < 0.2
    alike = seasons_of([poisson(12.0, chance) for _ in range(120)], [12.0] * 120, 24000)
    assert all(abs(factor - 1) < 0.12 for factor in alike)
    plain = [seasons_of([poisson(12.0, random.Random(seed * 500 + n)) for n in range(120)], [12.0] * 120, 24000) for seed in range(20)]
    assert sum(factors == (1.0,) * 12 for factors in plain) >= 7  # About as often as not, chance alone sets them no further apart.
    assert seasons_of(rounds[:30], [2.0] * 30, 24000) == (1.0,) * 12


def test_the_first_month_need_not_be_january() -> None:
    rounds = [20 if (24005 + n) % 12 == 2 else 1 for n in range(120)]
    factors = seasons_of(rounds, [2.6] * 120, 24005)
    assert max(range(12), key=factors.__getitem__) == 2
