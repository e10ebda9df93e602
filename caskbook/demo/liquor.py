"""The spirit in a cask: how it goes into the wood, is lost to the air or by a leak, and what a gauge shows of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from caskbook.demo.dice import Dice
from caskbook.demo.house import Climate
from caskbook.gauging.volume20 import volume_factor

YEAR = 365.2425
# This is the mean daily share of the yearly swing by month: coldest in January and February, warmest in July and August.
_MONTHS = (-0.95, -0.95, -0.6, -0.1, 0.4, 0.8, 1.0, 0.95, 0.55, 0.05, -0.45, -0.8)

# This is (V / 200 L) ** (-1/3) of the nominal sizes: wood surface to volume, so small casks lose more.
_BY_SIZE = {125: 1.1696, 200: 1.0, 225: 0.9615, 250: 0.9283, 350: 0.8298, 500: 0.7368, 550: 0.7138}


@dataclass(slots=True)
class Liquor:
    """One filling, reckoned from `start`; litres at 20 °C.

    `rate`: share of the alcohol lost a year; `drift`: % vol a year; `leak`: further share of the volume lost a year,
    strength untouched; `drunk`: share of the volume that went into the wood.
    """

    spirit: str
    start: int
    oak_since: int | None
    litres: float
    abv: float
    rate: float
    drift: float
    drunk: float
    leak: float = 0.0

    def at(self, day: int) -> tuple[float, float]:
        """(litres at 20 °C, % vol) on a day."""
        if day <= self.start:
            return self.litres, self.abv
        years = (day - self.start) / YEAR
        abv = self.abv + self.drift * years
        alcohol = self.litres * self.abv * (1.0 - self.drunk) * kept(self.rate, years)
        return alcohol / abv * kept(self.leak, years), abv

    def change(self, day: int, litres: float, abv: float) -> None:
        """So much was topped up, or drawn (negative); from here it is reckoned anew, the wood being full."""
        there, strength = self.at(day)
        self.abv = (there * strength + litres * abv) / (there + litres)
        self.litres, self.start, self.drunk = there + litres, day, 0.0


def kept(rate: float, years: float) -> float:
    """(1 - rate) ** years, with the fraction of a year taken as a line."""
    whole = int(years)
    share = 1.0
    for _ in range(whole):
        share *= 1.0 - rate
    return share * (1.0 - rate * (years - whole))


def rate_for(climate: Climate, capacity: int, dice: Dice) -> float:
    """The yearly share a sound cask loses: by store and size, each cask a little different, a few thirsty by nature."""
    if dice.chance(0.005):
        return usual_rate(climate, capacity) * dice.real(1.3, 1.8)
    return usual_rate(climate, capacity) * max(0.6, dice.bell(1.0, 0.11))


def usual_rate(climate: Climate, capacity: int) -> float:
    """The yearly share that casks of this size lose in this store."""
    return climate.rate * _BY_SIZE[capacity]


def season_temp(climate: Climate, month: int, dice: Dice) -> float:
    """Temperature of the liquor in a store, °C to a tenth."""
    return round(climate.mean_c + climate.swing_c * _MONTHS[month - 1] + dice.bell(0.0, 1.0), 1)


def measured(litres_20: float, abv: float, temp_c: float | None) -> float:
    """What the litres at 20 °C measure at a temperature; None: they are given at 20 °C."""
    if temp_c is None or temp_c == 20.0:
        return litres_20
    whole = int(temp_c // 1)
    part = temp_c - whole
    strength = int(abv + 0.5)
    return litres_20 * ((1.0 - part) * _factor(strength, whole) + part * _factor(strength, whole + 1))


@lru_cache(maxsize=4096)
def _factor(abv: int, temp_c: int) -> float:
    # The figure is rounded far below what a gauge shows, and far above what two machines' arithmetic could differ by.
    return round(volume_factor(abv, 20.0, temp_c), 8)
