"""Curves by month: by hand, their steps, and held to another program's product limit with delayed entry and censoring."""

from __future__ import annotations

import random

import pytest

from caskbook.stats.hazards import Stretch, Watched, counts_by_age, curve_of, expected_by_month


def test_at_risk_and_ended_by_hand() -> None:
    stretches = [Stretch(0, 2, "t", 3), Stretch(1, 4, "g", 2), Stretch(-5, None, "-", 1), Stretch(3, 9, "t", 1)]
    risk, ended = counts_by_age(stretches, "t", Watched(0, 5))
    # Three are watched at ages 0 to 2, two at 0 to 3, one of before comes in at 5 and is seen to 10, one is cut off in month 5.
    assert risk == [6, 6, 6, 2, 0, 1, 1, 1, 1, 1, 1]
    assert ended == [0, 0, 3, 0, 0, 0, 0, 0, 0, 0, 0]


def test_an_end_after_the_months_watched_is_none_and_one_before_them_neither() -> None:
    assert curve_of([Stretch(0, 6, "t", 5)], "t", Watched(0, 5)).ends == 0
    assert counts_by_age([Stretch(0, 6, "t", 5)], "t", Watched(7, 9)) == ([], [])
    assert curve_of([], "t", Watched(0, 5)).rate(3) == 0.0


def test_steps_have_ends_enough_and_the_rest_joins_the_last() -> None:
    stretches = [Stretch(0, age, "t", 4) for age in range(7)] + [Stretch(0, 9, "c", 1)]
    curve = curve_of(stretches, "t", Watched(0, 20), in_a_step=10)
    assert curve.rates[:3] == (curve.rates[0],) * 3 and curve.rates[3:] == (curve.rates[3],) * 7
    assert curve.rates[0] == 12 / (29 + 25 + 21) and curve.at_risk[0] == 75.0
    assert curve.rate(100) == curve.rates[-1]


def test_what_ends_all_at_one_age_is_not_smeared_over_those_before_it() -> None:
    curve = curve_of([Stretch(0, 24, "t", 30), Stretch(0, 30, "t", 2), Stretch(0, 40, "c", 8)], "t", Watched(0, 60))
    assert curve.rates[:24] == (0.0,) * 24 and curve.rates[24] == 32 / (40 + sum([10] * 6 + [8] * 10))
    late = curve_of([Stretch(0, 24, "t", 30), Stretch(0, 40, "c", 8)], "t", Watched(0, 60))
    assert late.rates[24] == 30 / 38 and late.rates[25:] == (0.0,) * 16


def random_stretches(seed: int) -> list[Stretch]:
    chance = random.Random(seed)
    found = []
    for _ in range(400):
        start, length = chance.randrange(-40, 60), 1 + int(chance.expovariate(0.05))
        found.append(Stretch(start, chance.choice((start + length, start + length, None)), chance.choice("ttg"), chance.choice((1, 1, 2))))
    return [one if one.end is not None else one._replace(how="-") for one in found]


@pytest.mark.thorough
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_curve_is_the_product_limit_of_another_program(seed: int) -> None:
    from lifelines import KaplanMeierFitter

    watched, stretches = Watched(0, 70), random_stretches(seed)
    curve = curve_of(stretches, "t", watched, in_a_step=1)
    times, ends, entries, weights = [], [], [], []
    for start, end, how, many in stretches:
        first, last = max(0, -start), min(watched.last, watched.last if end is None else end) - start
        if last >= first:
            times.append(last + 1)  # An end at an age in months is one at the end of that month.
            ends.append(how == "t" and end is not None and end <= watched.last)
            entries.append(first)
            weights.append(many)
    rows = [n for n, many in enumerate(weights) for _ in range(many)]
    other = KaplanMeierFitter().fit([times[n] for n in rows], [ends[n] for n in rows], entry=[entries[n] for n in rows])
    assert sum(weights) > 300
    risk, ended = counts_by_age(stretches, "t", watched)
    plain = 1.0
    for age, (there, count) in enumerate(zip(risk, ended, strict=True)):
        plain *= 1 - (count / there if there else 0.0)
        assert plain == pytest.approx(float(other.predict(age + 1)), abs=1e-9), age
    assert curve.ends == sum(ended)


def test_a_curve_without_smoothing_is_the_product_limit() -> None:
    stretches, watched = random_stretches(4), Watched(0, 70)
    risk, ended = counts_by_age(stretches, "t", watched)
    curve = curve_of(stretches, "t", watched, in_a_step=1)
    expected = 1.0
    for age, share in enumerate(curve.survival()):
        if ended[age]:
            assert curve.rates[age] <= ended[age] / risk[age] + 1e-12
        expected *= 1 - curve.rates[age]
        assert share == pytest.approx(expected)


def test_what_a_curve_expects_of_the_months_it_is_of_adds_up_to_their_ends() -> None:
    stretches, watched = random_stretches(5), Watched(0, 70)
    for step in (1, 10, 50):
        curve = curve_of(stretches, "t", watched, step)
        assert sum(expected_by_month(stretches, curve, watched)) == pytest.approx(curve.ends)
