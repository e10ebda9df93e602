"""The ± of a loss is what many trials of the same gauges scatter by: two standard deviations, whatever was put in or taken out between."""

from __future__ import annotations

import math
from datetime import date, timedelta
from random import Random
from statistics import stdev

import pytest

from caskbook.core.days import DAYS_PER_YEAR
from caskbook.loss.gauges import Gauge, Move
from caskbook.loss.intervals import interval
from caskbook.model.house import House
from loss.filled import filled, gauged, lost

DAY, DAYS = date(2010, 1, 1), 1826
TRIALS = 1200
"""Their standard deviation is known to 2 %."""
MOVES = {"nothing": (), "a draw": ((0.5, -40.0),), "most drawn": ((0.5, -80.0),), "drawn early": ((0.1, -60.0),), "drawn late": ((0.9, -60.0),),
         "topped": ((0.5, 15.0),), "more put in than was there": ((0.5, 150.0),), "drawn and topped": ((0.3, -50.0), (0.6, 40.0))}  # fmt: skip


def _gauge(days: int, lpa: float, error: float) -> Gauge:
    return Gauge(DAY + timedelta(days), f"g{days:07d}", "regauge", "meter", lpa / 0.6, 60.0, lpa, error, True)


def _move(days: int, lpa: float, error: float) -> Move:
    return Move(DAY + timedelta(days), f"m{days:07d}", "draw", lpa / 0.6, 60.0, lpa, error)


def _left(rate: float, moves: tuple[tuple[float, float], ...]) -> float:
    """What is there at the end, of 100 at the start, lost at one rate all the time."""
    keeps = 1.0 - rate
    years = DAYS / DAYS_PER_YEAR
    return 100.0 * math.pow(keeps, years) + sum(lpa * math.pow(keeps, (1 - f) * years) for f, lpa in moves)


@pytest.mark.parametrize("name", MOVES)
@pytest.mark.parametrize(
    ("rate", "errors"),
    [
        (0.02, (0.003, 0.010, 0.003)),
        pytest.param(0.01, (0.003, 0.003, 0.003), marks=pytest.mark.thorough),
        pytest.param(0.04, (0.002, 0.002, 0.015), marks=pytest.mark.thorough),
    ],
)
def test_of_a_rate_between_two_gauges(name: str, rate: float, errors: tuple[float, float, float]) -> None:
    """Each gauge and each move errs by chance; the ± told is that of the figures without error, within a tenth."""
    chance, moves, end = Random(f"{name} {rate}"), MOVES[name], _left(rate, MOVES[name])

    def erring(value: float, error: float) -> float:
        return value * (1 + chance.gauss(0, error))

    first, last, moved = errors
    told = interval(_gauge(0, 100.0, first), _gauge(DAYS, end, last), [_move(int(f * DAYS), lpa, moved) for f, lpa in moves])
    rates = []
    for _ in range(TRIALS):
        off = [_move(int(f * DAYS), erring(lpa, moved), moved) for f, lpa in moves]
        rates.append(interval(_gauge(0, erring(100.0, first), first), _gauge(DAYS, erring(end, last), last), off).per_year or 0.0)
    assert told.per_year == pytest.approx(rate, abs=1e-4)
    assert told.plus_minus == pytest.approx(2 * stdev(rates), rel=0.1)


def test_what_the_wood_took_counts_as_half_known() -> None:
    """A share of 2 % with a standard deviation of 1 % beside gauges of 0.3 %."""
    chance, years = Random(5), DAYS / DAYS_PER_YEAR
    end = 98.0 * math.pow(0.98, years)
    told = interval(_gauge(0, 100.0, 0.003), _gauge(DAYS, end, 0.003), [], 0.02)
    rates = []
    for _ in range(TRIALS):
        start = 100.0 * (1 + chance.gauss(0, 0.003)) * (1 - chance.gauss(0.02, 0.01))
        rates.append(1 - math.pow(end * (1 + chance.gauss(0, 0.003)) / start, 1 / years))
    assert told.steady == pytest.approx(0.02, abs=1e-9)
    assert told.steady_plus_minus == pytest.approx(2 * stdev(rates), rel=0.07)


@pytest.mark.parametrize(("method", "percent"), [("meter", 0.4), ("weigh", 0.2), ("dip", 1.5)])
def test_of_entries_as_they_are_written(method: str, percent: float) -> None:
    """Litres, strength and temperature are written with the errors that the house states; what comes of the file scatters by the ±."""
    house = House({"crew": [{"initials": "ab"}], "in_drink_percent": 0, "measuring_error": {"meter": 0.4, "weigh": 0.2, "dip": percent}, "strength_error": 0.2})
    chance = Random(method)

    def trial(errs: float) -> tuple[float, float]:
        def near(value: float, sigma: float) -> float:
            return round(value + errs * chance.gauss(0, sigma), 2)

        full = filled("2015-01-01", near(200, 0.8), near(63.5, 0.2), temp_c=12.0)
        later = gauged("2019-01-01", near(180, 1.8 * percent), near(62.0, 0.2), method, temp_c=18.0)
        whole = lost(full, later, house=house).whole
        assert whole is not None and whole.per_year is not None and whole.plus_minus is not None
        return whole.per_year, whole.plus_minus

    rates = [trial(1.0)[0] for _ in range(300)]
    assert trial(0.0)[1] == pytest.approx(2 * stdev(rates), rel=0.15)
