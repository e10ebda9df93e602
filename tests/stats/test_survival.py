"""Survival with delayed entry: cases by hand, published data, and laws that hold for any spans."""

from __future__ import annotations

import math

import hypothesis.strategies as st
import pytest
from hypothesis import given
from stats.channing import MEN, WOMEN

from caskbook.stats.survival import (
    RiskSet,
    Span,
    Subject,
    chi_square_tail,
    kaplan_meier,
    log_log_band,
    log_rank,
    median_of,
    survival_at,
    well_held,
)

HAND = [Subject(0, 3, "x"), Subject(0, 5), Subject(2, 6, "x"), Subject(4, 8, "x"), Subject(5, 9), Subject(7, 10, "x")]


def test_six_spans_by_hand() -> None:
    steps = kaplan_meier(HAND)
    assert [(step.time, step.at_risk, step.ends) for step in steps] == [(3, 3, 1), (6, 3, 1), (8, 3, 1), (10, 1, 1)]
    assert [step.survival for step in steps] == pytest.approx([2 / 3, 4 / 9, 8 / 27, 0])
    assert [survival_at(steps, time) for time in (0, 2.9, 3, 9)] == pytest.approx([1, 1, 2 / 3, 8 / 27])


def test_given_alive_at_an_end_that_end_is_past_and_no_end_after_the_last_counts() -> None:
    assert [(step.time, step.survival) for step in kaplan_meier(HAND, since=3, until=8)] == [(6, pytest.approx(2 / 3)), (8, pytest.approx(4 / 9))]


def test_greenwood_on_the_log_log_scale_by_hand() -> None:
    """S = 2/3 after 1 of 3: Greenwood's sum is 1/(3·2), the half width 1.96·√(1/6)/ln(3/2) on the scale of ln(-ln S)."""
    width = 1.959963984540054 * math.sqrt(1 / 6) / math.log(1.5)
    assert kaplan_meier(HAND)[0].band == pytest.approx(((2 / 3) ** math.exp(width), (2 / 3) ** math.exp(-width)))
    assert kaplan_meier(HAND)[-1].band is None and log_log_band(1.0, 0.0) is None


def test_who_enters_at_an_end_is_not_at_risk_for_it_and_who_leaves_at_it_is() -> None:
    risk = RiskSet([Subject(None, 3), Subject(3, 5), Subject(2, 3, "x"), Subject(4, 4)])
    assert (risk.at(0), risk.at(3), risk.after(3), risk.at(4), risk.at(5)) == (1, 2, 1, 1, 1)


def test_channing_house_men_are_those_published() -> None:
    assert (len(MEN), sum(bool(one.kind) for one in MEN), len(WOMEN), sum(bool(one.kind) for one in WOMEN)) == (97, 46, 365, 130)


def test_an_early_risk_set_of_two_sets_the_whole_curve_to_nothing() -> None:
    steps = kaplan_meier(MEN)
    assert [(step.time, step.at_risk, step.survival) for step in steps[:2]] == [(777, 2, 0.5), (781, 1, 0.0)]
    assert {step.survival for step in steps[1:]} == {0.0}


def test_channing_house_men_given_alive_at_68_years() -> None:
    """S(75, 80, 85, 90 years) given alive at 68 (816 months), as Klein and Moeschberger 4.6 condition these data (from memory); of the data of Hyde 1980."""
    steps = kaplan_meier(MEN, since=816)
    assert [round(survival_at(steps, months), 4) for months in (900, 960, 1020, 1080)] == [0.8045, 0.6378, 0.4544, 0.2227]


def test_where_ten_are_at_risk_the_curve_begins_and_ends() -> None:
    assert well_held(MEN, 10) == Span(836, 1085)
    steps = kaplan_meier(MEN, since=836, until=1085)
    assert min(step.at_risk for step in steps) >= 10 and 0 < steps[-1].survival < 1
    assert RiskSet(MEN).after(835) < 10 <= RiskSet(MEN).after(836)
    assert median_of(steps) == (1009, 945, 1033)
    assert well_held(MEN, 98) is None


def test_of_two_stretches_that_with_more_ends_is_kept() -> None:
    early, late = [Subject(None, 1 + n, "x") for n in range(5)], [Subject(20, 21 + n, "x") for n in range(7)]
    assert well_held([*early, *late], 3) == Span(20, 25)
    assert well_held([*early, *late[:4]], 3) == Span(None, 3)


def test_a_stretch_without_an_end_is_none() -> None:
    assert well_held([Subject(None, 5)] * 30, 10) is None


def test_a_median_that_is_not_reached() -> None:
    assert median_of(kaplan_meier([Subject(None, 1, "x"), *[Subject(None, 2)] * 9])) == (None, 1, None)
    assert median_of(kaplan_meier([Subject(None, 1, "x"), Subject(None, 2)])).time == 1


def test_ends_by_kind_by_hand() -> None:
    """Ten from the beginning: 2 by a at 1, 1 by b at 2, 3 censored at 3, 2 by b at 4: S(3) = 7/10, and b has 1/10 + 7/10 · 2/4."""
    steps = kaplan_meier([Subject(None, 1, "a", 2), Subject(None, 2, "b"), Subject(None, 3, "", 3), Subject(None, 4, "b", 2), Subject(None, 9, "", 2)])
    assert [step.survival for step in steps] == pytest.approx([0.8, 0.7, 0.35])
    assert steps[-1].incidence == pytest.approx({"a": 0.2, "b": 0.45})


def test_the_log_rank_of_two_groups_by_hand() -> None:
    """a ends at 1 and 3, b at 2 and 4: expected of a 1/2 + 1/3 + 1/2, variance 1/4 + 2/9 + 1/4."""
    found = log_rank({"a": [Subject(None, 1, "x"), Subject(None, 3, "x")], "b": [Subject(None, 2, "x"), Subject(None, 4, "x")]})
    assert found is not None
    assert (found.expected["a"], found.observed, found.freedom) == (pytest.approx(4 / 3), {"a": 2, "b": 2}, 1)
    assert found.chi_square == pytest.approx((2 - 4 / 3) ** 2 / (1 / 4 + 2 / 9 + 1 / 4))
    assert found.p == pytest.approx(math.erfc(math.sqrt(found.chi_square / 2)))


def test_groups_that_share_no_age_and_one_alone_are_not_compared() -> None:
    assert log_rank({"a": [Subject(None, 1, "x")]}) is None and log_rank({}) is None
    assert log_rank({"a": [Subject(None, 1, "x")], "b": [Subject(5, 6, "x")]}) is None


def test_the_tail_of_chi_square_at_points_that_are_in_every_table() -> None:
    for value, freedom in ((3.841, 1), (5.991, 2), (7.815, 3), (18.307, 10)):
        assert chi_square_tail(value, freedom) == pytest.approx(0.05, abs=2e-5)
    assert chi_square_tail(0.0, 3) == 1.0


spans = st.lists(
    st.tuples(st.none() | st.integers(0, 20), st.integers(1, 30), st.sampled_from(["", "a", "b"]), st.integers(1, 3)).map(
        lambda one: Subject(one[0], one[1] + (one[0] or 0), one[2], one[3])
    ),
    max_size=40,
)


@given(spans)
def test_shares_of_all_kinds_and_what_goes_on_are_one_and_bands_hold_the_curve(subjects: list[Subject]) -> None:
    held = well_held(subjects, 3)
    for steps in (kaplan_meier(subjects), kaplan_meier(subjects, since=held.since, until=held.until) if held else []):
        for step in steps:
            assert sum(step.incidence.values()) + step.survival == pytest.approx(1)
            assert step.band is None or 0 <= step.band[0] <= step.survival + 1e-12 and step.survival - 1e-12 <= step.band[1] <= 1
    for step in kaplan_meier(subjects, since=held.since, until=held.until) if held else []:
        assert step.at_risk >= 3


@given(spans)
def test_one_of_a_weight_is_as_many_alike(subjects: list[Subject]) -> None:
    single = [one._replace(weight=1) for one in subjects for _ in range(one.weight)]
    assert kaplan_meier(subjects) == kaplan_meier(single)
