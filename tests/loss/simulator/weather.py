"""Stores and their seasons: how fast spirit goes, how warm it is, and how one summer differs from the next."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from random import Random

FIRST, LAST = date(2006, 1, 1), date(2026, 6, 30)
"""The days of the world."""
YEAR = 365.2425
HOTTEST = 205
"""Day of the year on which a store is warmest: heat is late in a building."""
BASE_RATES = (0.01, 0.02, 0.04, 0.08, 0.15, 0.35)
"""Share of the alcohol that goes in a year from a cask of 200 L, by store."""


@dataclass(frozen=True, slots=True)
class Store:
    """A store. `hazard`: yearly rate of a 200 L cask in logarithms; `drift`: % vol a year; `worn`: years of mean weather since the
    first day of the world, for every day; `warm`: °C of the liquor, for every day; `unrest`: their standard deviation, °C."""

    prefix: str
    name: str
    rate: float
    drift: float
    worn: tuple[float, ...]
    warm: tuple[float, ...]
    unrest: float

    @property
    def hazard(self) -> float:
        """Yearly rate in logarithms of what is kept."""
        return -math.log1p(-self.rate)

    def weather(self, start: date, end: date) -> float:
        """How many years of mean weather these days were worth."""
        return self.worn[(end - FIRST).days] - self.worn[(start - FIRST).days]

    def temperature(self, day: date) -> float:
        """°C of the liquor on a day."""
        return self.warm[(day - FIRST).days]


def stores(chance: Random, rates: tuple[float, ...]) -> tuple[Store, ...]:
    """One store for every base rate, with the season and the summers that this seed draws."""
    return tuple(_store(chance, n, rate) for n, rate in enumerate(rates, 1))


def _store(chance: Random, n: int, base: float) -> Store:
    swing, mean_c = chance.uniform(0.2, 0.7), 8.0 + 4.0 * math.log2(1 + 100 * base / 2)
    swing_c = chance.uniform(3.0, 9.0)
    drift = chance.uniform(-0.35, 0.05) if base < 0.03 else chance.uniform(-0.1, 0.6)
    summers = {year: chance.gauss(0, 1) for year in range(FIRST.year, LAST.year + 1)}
    worn, warm, total = [], [], 0.0
    for ordinal in range(FIRST.toordinal(), LAST.toordinal() + 1):
        day = date.fromordinal(ordinal)
        season = math.cos(2 * math.pi * (day.timetuple().tm_yday - HOTTEST) / YEAR)
        heat = summers[day.year] * max(0.0, season)
        worn.append(total)
        warm.append(min(36.0, mean_c + swing_c * season + 1.5 * heat))
        total += (1.0 + swing * season) * math.exp(0.12 * heat) / YEAR
    return Store(f"S{n}", f"store of {100 * base:g} %", base, drift, tuple(worn), tuple(warm), math.hypot(swing_c / math.sqrt(2), 1.0))
