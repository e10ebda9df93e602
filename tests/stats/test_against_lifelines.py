"""Curves, bands, medians, ends by kind and tests of groups, held to another program's on published and on random spans."""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
import pandas as pd
import pytest
from lifelines import AalenJohansenFitter, KaplanMeierFitter
from lifelines.statistics import multivariate_logrank_test
from lifelines.utils import median_survival_times
from scipy.stats import chi2
from stats.channing import MEN, WOMEN

from caskbook.stats.survival import Subject, chi_square_tail, kaplan_meier, log_rank, median_of, survival_at

pytestmark = [pytest.mark.thorough, pytest.mark.filterwarnings("ignore")]


def spans(seed: int, count: int = 300) -> list[Subject]:
    """Random spans with ties, some watched from the beginning, half of the others from later on, in two kinds of end."""
    chance = random.Random(seed)
    found = []
    for _ in range(count):
        entry = chance.choice((None, chance.randrange(0, 15)))
        last = (entry or 0) + 1 + int(chance.expovariate(0.08))
        found.append(Subject(entry, float(last), chance.choice(("", "a", "a", "b"))))
    return found


def fitted(subjects: Sequence[Subject]) -> KaplanMeierFitter:
    kept = [one for one in subjects if one.watched]
    entries = [-1.0 if one.entry is None else one.entry for one in kept]
    return KaplanMeierFitter().fit([one.exit for one in kept], [bool(one.kind) for one in kept], entry=entries)


def given_alive(subjects: Sequence[Subject], since: float) -> list[Subject]:
    return [one._replace(entry=max(since, one.entry or since)) for one in subjects if one.exit > since]


@pytest.mark.parametrize("subjects", [given_alive(MEN, 836), given_alive(WOMEN, 830), spans(1), spans(2), spans(3)])
def test_the_curve_its_band_and_its_median(subjects: Sequence[Subject]) -> None:
    steps, other = kaplan_meier(subjects), fitted(subjects)
    band = other.confidence_interval_
    for step in steps:
        assert step.survival == pytest.approx(float(other.predict(step.time)), abs=1e-12)
        row = other.event_table.loc[step.time]
        assert step.at_risk == int(row["at_risk"] - row["entrance"])  # Its table counts who enters at the very time, its curve does not.
        if step.band is not None:
            assert step.band == pytest.approx(tuple(band.loc[step.time]), abs=1e-9)
    median, limits = median_of(steps), median_survival_times(band).iloc[0]
    assert median.time == other.median_survival_time_
    assert [np.inf if one is None else one for one in median[1:]] == list(limits)


def test_channing_house_given_alive_at_68_years() -> None:
    other = fitted(given_alive(MEN, 816))
    steps = kaplan_meier(MEN, since=816)
    for months in (900, 960, 1020, 1080):
        assert survival_at(steps, months) == pytest.approx(float(other.predict(months)), abs=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_ends_by_kind(seed: int) -> None:
    """Entries lie between ends: with both at one time that program takes those that enter for at risk already."""
    subjects = [one if one.entry is None else one._replace(entry=one.entry + 0.5) for one in spans(seed)]
    steps = kaplan_meier(subjects)
    for number, kind in ((1, "a"), (2, "b")):
        codes = [{"": 0, "a": 1, "b": 2}[one.kind] for one in subjects]
        other = AalenJohansenFitter(jitter_level=0, calculate_variance=False)
        other._check_for_duplicates = lambda **_: False  # Ties are counted as ties here, and not pulled apart by chance.
        other.fit([one.exit for one in subjects], codes, event_of_interest=number, entry=[-1.0 if one.entry is None else one.entry for one in subjects])
        found = other.cumulative_density_.iloc[:, 0]
        for step in steps:
            assert step.incidence.get(kind, 0.0) == pytest.approx(float(found[found.index <= step.time].iloc[-1]), abs=1e-9)


@pytest.mark.parametrize("groups", [2, 3, 5])
def test_the_log_rank_test_without_delayed_entry(groups: int) -> None:
    subjects = [one._replace(entry=None) for one in spans(groups)]
    named = {str(n): subjects[n::groups] for n in range(groups)}
    rows = pd.DataFrame([(one.exit, name, bool(one.kind)) for name, found in named.items() for one in found], columns=["time", "group", "end"])
    other = multivariate_logrank_test(rows["time"], rows["group"], rows["end"])
    mine = log_rank(named)
    assert mine is not None
    assert (mine.chi_square, mine.p) == pytest.approx((other.test_statistic, other.p_value), rel=1e-9)


def test_channing_house_men_and_women_by_sums_of_their_own() -> None:
    """With delayed entry: O - E and its variance of two groups, summed over the ends as Mantel 1966 writes them."""
    surplus = variance = 0.0
    both = [*MEN, *WOMEN]
    for time in sorted({one.exit for one in both if one.kind and one.watched}):
        n, n_men = (sum(one.watched and one.entry < time <= one.exit for one in found) for found in (both, MEN))
        d, d_men = (sum(one.watched and one.exit == time and bool(one.kind) for one in found) for found in (both, MEN))
        surplus += d_men - d * n_men / n
        variance += d * n_men / n * (1 - n_men / n) * (n - d) / (n - 1) if n > 1 else 0
    mine = log_rank({"men": MEN, "women": WOMEN})
    assert mine is not None
    assert mine.chi_square == pytest.approx(surplus**2 / variance)
    assert mine.p == pytest.approx(chi2.sf(mine.chi_square, 1))


def test_the_tail_of_chi_square() -> None:
    for value in (0.001, 0.3, 1, 5, 20, 80, 300):
        for freedom in range(1, 15):
            assert chi_square_tail(value, freedom) == pytest.approx(chi2.sf(value, freedom), rel=1e-9, abs=1e-300)
