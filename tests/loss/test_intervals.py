"""Rates between gauges: by hand, with what was drawn and topped, their errors, and laws that hold for any figures."""

from __future__ import annotations

import math
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from statistics import stdev

import pytest
from casks import HOUSE, ev, life_on
from hypothesis import assume, given
from hypothesis import strategies as st

from caskbook.core.days import DAYS_PER_YEAR
from caskbook.loss import fill_losses
from caskbook.loss.gauges import Gauge, Move
from caskbook.loss.intervals import GAIN, NO_FIGURE, UNCORRECTED, WITHIN, excess_of, interval
from caskbook.model.house import House
from loss.filled import NO_WOOD, emptied, filled, gauged, lost

DAY = date(2010, 1, 1)


def gauge(days: int, litres: float, abv: float = 60.0, error: float = 0.003) -> Gauge:
    return Gauge(DAY + timedelta(days), f"g{days:07d}", "regauge", "meter", litres, abv, litres * abv / 100, error, True)


def move(days: int, litres: float, abv: float = 60.0) -> Move:
    return Move(DAY + timedelta(days), f"m{days:07d}", "draw", litres, abv, litres * abv / 100, 0.003)


def test_the_rate_is_that_of_the_formula() -> None:
    """126.67 L of alcohol on 2015-04-02, 111.93 on 2023-05-16: own arithmetic from r = 1 - (LPA2/LPA1)^(1/years)."""
    found = lost(filled("2015-04-02", 199.48, 63.5), emptied("2023-05-16", 182.0, 61.5)).whole
    assert found is not None and found.share is not None
    years = (date(2023, 5, 16) - date(2015, 4, 2)).days / 365.2425
    assert found.years == years
    assert found.per_year == pytest.approx(1 - (182.0 * 0.615 / (199.48 * 0.635)) ** (1 / years), rel=1e-12)
    assert found.lost == Decimal("126.67") - Decimal("111.93")
    assert found.litres == Decimal("17.48")
    assert found.share == pytest.approx(14.7398 / 126.6698, rel=1e-4)
    assert found.steady == found.per_year


def test_what_the_wood_took_is_told_apart() -> None:
    house = House({**NO_WOOD.raw, "in_drink_percent": 2})
    found = lost(filled("2015-01-01", 200, 63.5), gauged("2020-01-01", 180, 62.5), house=house).whole
    assert found is not None
    years = (date(2020, 1, 1) - date(2015, 1, 1)).days / DAYS_PER_YEAR
    assert found.steady == pytest.approx(1 - (112.5 / (127 * 0.98)) ** (1 / years))
    assert found.per_year == pytest.approx(1 - (112.5 / 127) ** (1 / years))
    assert found.in_drink == 0.02


def test_the_wood_cannot_have_taken_more_than_went() -> None:
    house = House({**NO_WOOD.raw, "in_drink_percent": 5})
    found = lost(filled("2015-01-01", 200, 63.5), gauged("2015-09-01", 198, 63.5), house=house).whole
    assert found is not None and found.share is not None
    assert found.in_drink == pytest.approx(found.share) and found.steady == pytest.approx(0.0, abs=1e-9)


def test_two_percent_is_taken_where_the_house_names_none_and_later_intervals_have_none() -> None:
    found = lost(filled(), gauged("2020-01-01", 185), gauged("2022-01-01", 180), house=HOUSE)
    assert [one.in_drink for one in found.intervals] == [0.02, 0.0]


def test_a_spirit_that_came_in_its_cask_has_been_taken_long_ago() -> None:
    full = ev("2015-01-01", "receive", verdict="accept", contents="spirit", spirit="malt", litres=190.0, abv=63.0, at_20=True)
    (found,) = fill_losses(life_on("2026-11-25", full, gauged("2020-01-01", 175), house=HOUSE))
    assert found.whole is not None and found.whole.in_drink == 0.0


def test_draws_and_tops_are_allowed_for() -> None:
    """At 3 % a year for four years, 40 L drawn after two of them: by hand."""
    kept = 0.97**2
    there = 100.0 * kept
    drawn = interval(gauge(0, 100), gauge(1461, (there - 40) * kept), [move(730, -40)])
    years = 1461 / DAYS_PER_YEAR
    assert drawn.per_year == pytest.approx(1 - (kept**2) ** (1 / years), abs=2e-5)
    topped = interval(gauge(0, 100), gauge(1461, (there + 40) * kept), [move(730, 40)])
    assert topped.per_year == pytest.approx(1 - (kept**2) ** (1 / years), abs=2e-5)
    assert topped.share == pytest.approx((100 + 40 - (there + 40) * kept) / 140)


def test_nothing_lost_but_what_was_drawn() -> None:
    found = interval(gauge(0, 100), gauge(1000, 60), [move(500, -40)])
    assert found.per_year == pytest.approx(0.0, abs=1e-12)
    assert found.share == pytest.approx(0.0, abs=1e-12)
    assert found.lost == Decimal("0.00")


def test_samples_are_carried_at_the_last_strength() -> None:
    found = lost(filled(), ev("2016-01-01", "sample", ml=500), gauged("2018-01-01", 190, 63.5)).whole
    assert found is not None
    assert found.lost == Decimal("127.00") - Decimal("0.32") - Decimal("120.65")
    assert found.moves[0].counted == Decimal("-0.32")  # 0.5 L at 63.5 % is 0.3175 L


def test_the_error_of_a_rate_is_that_of_many_trials() -> None:
    """Gauges that err by 0.5 % each, ten thousand times: the spread of the rates is half the ± told."""
    chance = Random(7)
    told = interval(gauge(0, 100, error=0.005), gauge(1826, 88, error=0.005), [])
    rates = []
    for _ in range(10_000):
        first, last = 100 * (1 + chance.gauss(0, 0.005)), 88 * (1 + chance.gauss(0, 0.005))
        rates.append(1 - (last / first) ** (1 / told.years))
    assert told.plus_minus == pytest.approx(2 * stdev(rates), rel=0.03)


def test_under_thirty_days_there_is_no_yearly_rate() -> None:
    short = interval(gauge(0, 100), gauge(29, 99), [])
    assert (short.per_year, short.steady, short.plus_minus, short.drift) == (None, None, None, None)
    assert short.lost == Decimal("0.60")
    assert interval(gauge(0, 100), gauge(30, 99), []).per_year is not None


def test_a_gain_beyond_the_error_and_one_within_it() -> None:
    assert interval(gauge(0, 100), gauge(400, 103), []).flags == (GAIN,)
    assert interval(gauge(0, 100), gauge(400, 100.5), []).flags == (WITHIN,)
    assert interval(gauge(0, 100), gauge(400, 99), []).flags == ()


def test_what_cannot_be_told_is_none_and_flagged() -> None:
    blind = Gauge(DAY + timedelta(400), "g", "regauge", "dip", None, 60.0, None, 0.01, False)
    found = interval(gauge(0, 100), blind, [])
    assert (found.lost, found.share, found.per_year) == (None, None, None)
    assert found.flags == (NO_FIGURE, UNCORRECTED)
    unknown = Move(DAY, "m", "top", 5.0, None, None, 0.01)
    assert interval(gauge(0, 100), gauge(400, 99), [unknown]).flags == (NO_FIGURE,)


AMOUNTS = st.floats(5.0, 600.0)
DAYS = st.integers(0, 9000)
MOVES = st.lists(st.tuples(st.floats(0, 1), st.floats(-3.0, 20.0)), max_size=4)


@given(AMOUNTS, AMOUNTS, DAYS, MOVES)
def test_never_a_negative_share_without_a_flag(one: float, other: float, days: int, moved: list[tuple[float, float]]) -> None:
    moves = [move(int(part * days), litres) for part, litres in moved]
    found = interval(gauge(0, one), gauge(days, other), moves, 0.02)
    assert found.share is not None
    assert (found.share < 0) == bool({GAIN, WITHIN} & set(found.flags))
    assert found.steady is None or found.per_year is None or found.steady <= found.per_year + 1e-9
    assert found.in_drink >= 0 and (found.share < 0 or found.in_drink <= found.share + 1e-12)
    for figure in (found.per_year, found.steady, found.plus_minus):
        assert figure is None or math.isfinite(figure)


@given(AMOUNTS, AMOUNTS, st.integers(30, 9000), MOVES, st.sampled_from([0.264172, 0.219969, 1000.0, 0.5]))
def test_rates_do_not_depend_on_the_unit(one: float, other: float, days: int, moved: list[tuple[float, float]], unit: float) -> None:
    def rated(factor: float) -> tuple[float, float]:
        moves = [move(int(part * days), litres * factor) for part, litres in moved]
        found = interval(gauge(0, one * factor), gauge(days, other * factor), moves)
        assert found.share is not None and found.per_year is not None
        return found.share, found.per_year

    assert rated(unit) == pytest.approx(rated(1.0), rel=1e-6, abs=1e-9)


@given(st.floats(50.0, 600.0), st.floats(0.001, 0.3), st.integers(60, 9000), st.floats(0.1, 0.9), st.floats(-0.3, 0.3))
def test_a_known_rate_is_found_again(litres: float, rate: float, days: int, when: float, moved: float) -> None:
    """A cask that loses at one rate all the time, with something drawn or topped on the way."""
    at = int(when * days)
    before = litres * (1 - rate) ** (at / DAYS_PER_YEAR)
    there = before + moved * litres
    assume(there > 0.2 * litres and before > 0.2 * litres)
    end = there * (1 - rate) ** ((days - at) / DAYS_PER_YEAR)
    found = interval(gauge(0, litres), gauge(days, end), [move(at, moved * litres)])
    assert found.per_year == pytest.approx(rate, abs=1e-7)


@given(AMOUNTS, AMOUNTS, DAYS)
def test_excess_is_above_one_only_beyond_the_error(one: float, other: float, days: int) -> None:
    times = excess_of(gauge(0, one), gauge(days, other), [])
    assert (times > 0) == (other > one)
