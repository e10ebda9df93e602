"""A warehouse of figures alone, with leakers planted: sizes, stores, seasons, gauges that err, temperatures and units misread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from caskbook.life.state import Filling
from caskbook.loss.figures import FillFigure
from caskbook.loss.fills import FillLoss, loss_of
from caskbook.loss.gauges import Amount, Gauge, factor_20, gauge_of
from caskbook.loss.records import FillRecord
from caskbook.model.house import House, Settings

SIZES = (("barrel", 200.0, 0.6), ("hogshead", 250.0, 0.25), ("butt", 500.0, 0.1), ("quarter-cask", 125.0, 0.05))
STORES = (("low", 0.018, -0.30, 9.0, 4.0), ("racks", 0.023, -0.10, 10.5, 7.0), ("loft", 0.036, 0.05, 15.0, 9.0))
BANDS = ("1st fill", "2nd fill", "3rd fill or later")
ERRORS = {"meter": 0.3, "weigh": 0.2, "dip": 0.8}
SETTINGS: Settings = House({"measuring_error": ERRORS, "in_drink_percent": 2, "temperate_stores": ["low", "racks"]}).on(date(2025, 1, 1))
UNSEEN_SLIPS = 0.001
"""Gauges in US gallons that nobody noticed when they were entered."""
SEASON = 0.5
"""How far the rate swings about its yearly mean, as a share of it."""


@dataclass(frozen=True, slots=True)
class Planted:
    """One fill as it was, and as the book has it. `times`: how many times what its peers lose it truly loses while it leaks (1: it
    does not); `slip`: whether a figure in the wrong unit stands in the book."""

    figure: FillFigure
    loss: FillLoss
    times: float
    slip: bool


@dataclass(frozen=True, slots=True)
class Entry:
    """What `gauge_of` reads of an entry."""

    id: str
    date: date
    temp_c: float | None


def warehouse(casks: int, seed: int, *, leakers: float = 0.02) -> list[Planted]:
    """So many fills, the same for the same seed."""
    chance = Random(seed)
    return [_fill(chance, n, leakers) for n in range(casks)]


def _fill(chance: Random, n: int, leakers: float) -> Planted:
    kind, litres, _ = chance.choices(SIZES, [size[2] for size in SIZES])[0]
    store, rate, drift, mean, swing = chance.choice(STORES)
    usual = rate * (litres / 200) ** (-1 / 3)
    own = usual * math.exp(chance.gauss(0, 0.12))
    leaks = chance.random() < leakers
    times = chance.uniform(3.0, 7.0) if leaks else 1.0
    start = date(2005, 1, 1) + timedelta(days=chance.randrange(3000))
    days = _gauge_days(chance)
    leaks_from = chance.uniform(0, 0.5) * days[-1] if leaks else math.inf
    leak = max(0.0, times * usual - own)
    truth = (litres * 0.97, 63.5, own, drift, leak, leaks_from)
    gauges, slip = _gauges(chance, start, [0, *days], truth, (mean, swing))
    filling = Filling(gauges[0].event, "malt", start, litres, 63.5, True, 1)
    record = FillRecord(filling, chance.choice(BANDS), litres, True, list(gauges), store=store)
    loss = loss_of(record, SETTINGS)
    return Planted(_figure(n, kind, litres, record, loss), loss, times, slip)


def _gauge_days(chance: Random) -> list[int]:
    """A first gauge after one to five years, then every one to four."""
    days = [int(chance.uniform(1.0, 5.0) * 365)]
    while chance.random() < 0.7 and days[-1] < 15 * 365:
        days.append(days[-1] + int(chance.uniform(1.0, 4.0) * 365))
    return days


def _kept(years: float, start: date, rate: float) -> float:
    """What is left after so many years, the rate swinging with the seasons about its mean."""
    phase = start.timetuple().tm_yday / 365 * 2 * math.pi
    swing = SEASON / (2 * math.pi) * (math.sin(2 * math.pi * years + phase) - math.sin(phase))
    return math.exp(math.log1p(-rate) * (years + swing))


def _gauges(chance: Random, start: date, days: list[int], truth: tuple[float, ...], warm: tuple[float, float]) -> tuple[list[Gauge], bool]:
    litres, abv, rate, drift, leak, leaks_from = truth
    taken, found, slipped = chance.uniform(0.01, 0.03), [], False
    for n, day in enumerate(days):
        years = day / 365.2425
        strength = abv + drift * years
        alcohol = litres * abv * (_kept(years, start, rate) * (1 - taken) if n else 1.0)
        leaked = max(0.0, day - leaks_from) / 365.2425
        there = alcohol / strength * math.exp(math.log1p(-min(leak, 0.95)) * leaked)
        gauge, slip = _gauge(chance, start + timedelta(days=day), there, strength, warm, first=n == 0)
        found.append(gauge)
        slipped |= slip
    return found, slipped


def _gauge(chance: Random, day: date, litres: float, abv: float, warm: tuple[float, float], *, first: bool) -> tuple[Gauge, bool]:
    """What stands in the book: the instrument's error, the season's temperature and how it was read, now and then a wrong unit."""
    method = "meter" if first else chance.choice(list(ERRORS))
    true_c = round(warm[0] + warm[1] * math.sin(2 * math.pi * (day.timetuple().tm_yday - 110) / 365) + chance.gauss(0, 1), 1)
    shown = litres / factor_20(round(abv, 1), true_c) * (1 + chance.gauss(0, ERRORS[method] / 100))
    read_c = true_c + chance.gauss(0, 0.5) if chance.random() > 0.03 else true_c + chance.choice((-8, 8))
    slip = not first and chance.random() < UNSEEN_SLIPS
    shown = shown / 3.785 if slip else shown
    strength = round(abv + chance.gauss(0, 0.1), 1)
    bare = chance.random() < 0.04
    amount = Amount(shown, method, False) if bare else Amount(round(shown, 1) * factor_20(strength, round(read_c, 1)), method, True)
    return gauge_of(Entry(f"g{day.isoformat()}", day, read_c), "fill" if first else "regauge", strength, amount, SETTINGS), slip


def _figure(n: int, kind: str, litres: float, record: FillRecord, loss: FillLoss) -> FillFigure:
    whole = loss.whole
    assert whole is not None or loss.doubtful
    return FillFigure(
        f"TH-{n:06d}", record.filling.event, kind, record.store, record.band, litres, whole.years if whole else 0.0,
        whole.steady if whole and not loss.doubtful else None, whole.sigma if whole else 0.0, whole.drift if whole else None,
    )  # fmt: skip
