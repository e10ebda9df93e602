"""The limits of a loss to the very figure, the least stretch, roundings, and what an error is made of."""

from __future__ import annotations

import math
from datetime import date
from decimal import Decimal

import pytest

from caskbook.loss.fills import in_drink_of
from caskbook.loss.gauges import Amount, Move, cents, relative_error
from caskbook.loss.intervals import interval
from caskbook.loss.peers import PeerTable, is_peer
from caskbook.model.house import House
from loss.filled import NO_WOOD, filled, gauged, lost
from loss.test_intervals import gauge
from loss.test_peers import figure, settings, table

START = date(2015, 1, 1)


@pytest.mark.parametrize(("days", "known"), [(29, False), (30, True), (31, True)])
def test_a_rate_a_year_needs_thirty_days(days: int, known: bool) -> None:
    one = interval(gauge(0, 200), gauge(days, 199), [])
    assert (one.per_year is not None, one.gauged > 0) == (known, known)


def test_the_rate_a_year_is_compound() -> None:
    one = interval(gauge(0, 100), gauge(round(2 * 365.2425), 81), [])
    assert one.per_year == pytest.approx(0.1, abs=2e-4)


def put_in(day: int, lpa: float) -> Move:
    return Move(gauge(day, 1).day, "e0000009", "top", lpa / 0.6, 60.0, lpa, 0.003)


def test_what_was_put_in_is_allowed_for() -> None:
    first, last = gauge(0, 100), gauge(1000, 110)
    start, end = first.lpa or 0.0, last.lpa or 0.0
    one = interval(first, last, [put_in(500, 20)])
    assert one.share == pytest.approx((start + 20 - end) / (start + 20))
    assert one.litres == Decimal("100.00") + cents(20 / 0.6) - Decimal("110.00")
    # What was put in half-way could go for half of the time only.
    assert one.kept is not None and start * one.kept + 20 * math.sqrt(one.kept) == pytest.approx(end)
    assert one.drift is None and interval(gauge(0, 100), gauge(1000, 90), []).drift is not None


def test_a_gain_within_the_error_is_none() -> None:
    one = interval(gauge(0, 100, error=0.01), gauge(1000, 102, error=0.01), [])
    more = interval(gauge(0, 100, error=0.01), gauge(1000, 103, error=0.01), [])
    assert one.flags == ("within-error",) and more.flags == ("gain",)


def test_the_wood_takes_no_more_than_was_lost_and_is_known_to_half_of_it() -> None:
    little = interval(gauge(0, 100), gauge(1000, 99.5), [], 0.02)
    assert (little.in_drink, little.steady) == (pytest.approx(0.005), pytest.approx(0.0))
    one = interval(gauge(0, 100), gauge(1000, 90), [], 0.02)
    assert one.sigma == pytest.approx(math.hypot(one.gauged, 0.01 / one.years))
    assert interval(gauge(0, 100, error=0.01), gauge(1000, 90, error=0.02), []).gauged * one.years == pytest.approx(math.hypot(0.01, 0.02))


def test_uncorrected_is_told_where_either_gauge_is() -> None:
    found = lost(filled(at_20=None), gauged("2019-01-01", 180))
    assert "uncorrected" in found.intervals[0].flags
    assert "uncorrected" not in lost(filled(), gauged("2019-01-01", 180)).intervals[0].flags
    assert "uncorrected" in lost(filled(), gauged("2019-01-01", 180, at_20=None)).intervals[0].flags


def test_an_error_is_made_of_method_strength_and_lacking_temperature() -> None:
    house = House({**NO_WOOD.raw, "measuring_error": {"dip": 0.8}}).on(START)
    strength = house.strength_error / 60
    assert relative_error(Amount(100.0, "dip", True), 60.0, house) == pytest.approx(math.hypot(0.008, strength))
    assert relative_error(Amount(100.0, "weigh", True), 60.0, house) == pytest.approx(math.sqrt(0.002**2 + 0.003**2 + strength**2))
    assert relative_error(Amount(100.0, "dip", False), 60.0, house) == pytest.approx(math.sqrt(0.008**2 + strength**2 + (house.uncorrected_error / 100) ** 2))


@pytest.mark.parametrize(("value", "shown"), [(0.125, "0.13"), (0.135, "0.14"), (0.145, "0.15"), (0.124, "0.12"), (2.675, "2.68")])
def test_hundredths_are_rounded_half_up(value: float, shown: str) -> None:
    assert cents(value) == Decimal(shown)


def test_in_drink_is_the_houses_and_only_of_a_filling_that_was_gauged() -> None:
    own = House({**NO_WOOD.raw, "in_drink_percent": 3})
    assert (in_drink_of(own.on(START)), in_drink_of(House({}).on(START))) == (0.03, 0.02)
    found = lost(filled(), gauged("2019-01-01", 180), gauged("2021-01-01", 170), house=own)
    assert [one.in_drink for one in found.intervals] == [0.03, 0.0] and found.in_drink_from == "house"


def test_the_houses_in_drink_comes_before_the_line_through_the_gauges() -> None:
    gauges = [filled(litres=200.0, abv=60.0), *(gauged(f"{2017 + n}-01-01", 190 * 0.98**n, 60.0) for n in range(5))]
    by_line = lost(*gauges, house=House({key: value for key, value in NO_WOOD.raw.items() if key != "in_drink_percent"}))
    assert by_line.in_drink_from == "gauges" and by_line.fitted_in_drink == pytest.approx(by_line.intervals[0].in_drink)
    own = lost(*gauges, house=House({**NO_WOOD.raw, "in_drink_percent": 3}))
    assert (own.in_drink_from, own.intervals[0].in_drink) == ("house", 0.03)


# Peers


def test_who_is_a_peer() -> None:
    assert [is_peer(figure(years=years)) for years in (0.99, 1.0, 1.01)] == [False, True, True]
    assert [is_peer(figure(steady=rate)) for rate in (None, 0.99, 1.0)] == [False, True, False]


def test_a_fill_is_no_peer_of_itself_and_fifteen_others_are_enough() -> None:
    fifteen = table([0.02] * 15)
    assert "house table" in fifteen.expected(figure(1), settings(loss_table={"barrel": 2.4})).source  # type: ignore[union-attr]
    sixteen = table([0.02] * 16)
    assert sixteen.expected(figure(1), settings(loss_table={"barrel": 2.4})).source == "15 peers (barrel, racks, 1st fill)"  # type: ignore[union-attr]


@pytest.mark.parametrize("other", [{"store": "loft"}, {"band": "2nd fill"}, {"type": "hogshead"}])
def test_peers_are_of_the_same_type_store_and_band(other: dict[str, str]) -> None:
    book = PeerTable([*(figure(n, 0.02) for n in range(16)), *(figure(n + 100, 0.08, **other) for n in range(60))])
    found = book.expected(figure(steady=None), settings())
    assert found is not None and (found.count, found.rate) == (16, pytest.approx(0.02))


def test_the_table_of_the_type_in_the_store_comes_before_that_of_the_type() -> None:
    rates = {"barrel": 2.0, "barrel/racks": 3.0}
    assert table([]).expected(figure(), settings(loss_table=rates)).rate == 0.03  # type: ignore[union-attr]
    assert table([]).expected(figure(store="loft"), settings(loss_table=rates)).rate == 0.02  # type: ignore[union-attr]


def test_a_store_that_the_house_does_not_call_temperate_is_none() -> None:
    assert table([]).expected(figure(store="loft"), settings(temperate_stores=["racks"])) is None
    assert table([]).expected(figure(store="loft"), settings()) is not None
