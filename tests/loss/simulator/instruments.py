"""What stands in the book of what is in the cask: instruments that err, in part by litres and in part by shares, and people who slip."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from random import Random
from typing import Any

from loss.simulator.vessel import Vessel
from loss.simulator.weather import Store

SLIPS_IN = 0.002
"""Share of the gauges that are in the book with a slip that nobody noticed when they were entered."""
DENSITY = ((0.0, 0.9982), (30.0, 0.9622), (40.0, 0.9481), (50.0, 0.9301), (60.0, 0.9091), (70.0, 0.8856), (80.0, 0.8593), (100.0, 0.7892))
"""kg a litre at 20 °C by % vol, from printed tables."""


@dataclass(frozen=True, slots=True)
class Tools:
    """The instruments of one house: standard deviations. A meter has a floor in litres and a share; a scale kg and a share; a dip
    errs by millimetres and is read to so many; a thermometer in °C; strength in % vol."""

    meter_l: float
    meter_share: float
    scale_kg: float
    scale_share: float
    dip_mm: float
    rod_mm: float
    warm_c: float
    strength: float


@dataclass(frozen=True, slots=True)
class Content:
    """What truly is in a cask: litres at 20 °C, % vol."""

    litres: float
    abv: float


@dataclass(frozen=True, slots=True)
class Reading:
    """The fields of an entry; `sigma`: litres of alcohol, the true standard deviation of what it says (without a
    temperature, how far the store's swings; that all gauges of it lie low alike is no error between them); `slip`: which, if any."""

    fields: dict[str, Any]
    sigma: float
    slip: str | None


def tools(chance: Random) -> Tools:
    """The instruments of a house by chance."""
    return Tools(
        chance.uniform(0.2, 0.5), chance.uniform(0.001, 0.003), chance.uniform(0.3, 0.6), chance.uniform(0.0005, 0.0015),
        chance.uniform(1.0, 3.0), chance.choice((1.0, 5.0)), chance.uniform(0.4, 1.0), chance.uniform(0.08, 0.15),
    )  # fmt: skip


def swelling(abv: float) -> float:
    """Share by which the litres grow with each °C, at 20 °C."""
    return 0.00089 + 0.000006 * (abv - 63.5)


def grown(abv: float, temp_c: float) -> float:
    """Litres at a temperature by the litres at 20 °C: warm liquor swells more with each °C."""
    off = temp_c - 20.0
    return 1.0 + off * (swelling(abv) + 0.000002 * off)


def density(abv: float) -> float:
    """kg a litre at 20 °C."""
    for (low, heavy), (high, light) in zip(DENSITY, DENSITY[1:], strict=False):
        if abv <= high:
            return heavy + (light - heavy) * (abv - low) / (high - low)
    return DENSITY[-1][1]


@dataclass(frozen=True, slots=True)
class Gauger:
    """Somebody of a house who gauges one cask: `by_rod`, whether its inside is in the book, so that a dip is written as the rod shows."""

    chance: Random
    tools: Tools
    vessel: Vessel
    by_rod: bool

    def read(self, content: Content, store: Store, day: date, method: str, *, warm: bool, exact: bool = False) -> Reading:
        """A gauge by the method; `warm`: with its temperature; `exact`: no slip (the entry is made twice, as at a filling)."""
        chance, tools = self.chance, self.tools
        slip = _which(chance) if not exact and chance.random() < SLIPS_IN else None
        true_c = store.temperature(day) + chance.gauss(0, 1.0)
        if slip == "neighbour":
            content = Content(min(0.99 * self.vessel.litres, content.litres * chance.uniform(0.55, 1.5)), content.abv + chance.gauss(0, 1.5))
        fields, sigma = self._amount(method, content, content.litres * grown(content.abv, true_c))
        fields["abv"] = round(min(79.0, max(20.5, content.abv + chance.gauss(0, tools.strength))), 1)
        if warm and "gross_kg" not in fields:
            fields["temp_c"] = float(round(min(39.0, max(-5.0, true_c + chance.gauss(0, tools.warm_c)))))
        share = 0.0 if "gross_kg" in fields else (tools.warm_c if warm else store.unrest) * swelling(content.abv)
        spread = math.hypot(sigma, content.litres * share, content.litres * tools.strength / max(20.0, content.abv))
        return Reading(_slipped(chance, fields, slip), spread * content.abv / 100, slip)

    def _amount(self, method: str, content: Content, shown: float) -> tuple[dict[str, Any], float]:
        """The fields of the amount, and its standard deviation in litres."""
        chance, tools = self.chance, self.tools
        if method == "dip":
            step, worth = tools.rod_mm, self.vessel.litres_per_mm(shown)
            wet = self.vessel.wet_mm(shown) + chance.gauss(0, tools.dip_mm)
            wet = step * round(min(self.vessel.bung_mm, max(0.0, wet)) / step)
            sigma = worth * math.hypot(tools.dip_mm, step / math.sqrt(12))
            if self.by_rod:
                return {"wet_mm": wet, "method": "dip"}, sigma
            return {"litres": round(max(0.0, shown + worth * (wet - self.vessel.wet_mm(shown))), 1), "method": "dip"}, sigma
        if method == "weigh":
            rho = density(content.abv)
            kilos = content.litres * rho
            sigma = math.hypot(tools.scale_kg, tools.scale_share * (kilos + self.vessel.tare_kg))
            gross = round((kilos + self.vessel.tare_kg + chance.gauss(0, sigma)) * 2) / 2
            if self.by_rod:
                return {"gross_kg": gross, "method": "weigh"}, sigma / rho
            return {"litres": round(max(0.0, shown + (gross - kilos - self.vessel.tare_kg) / rho), 1), "method": "weigh"}, sigma / rho
        sigma = math.hypot(tools.meter_l, tools.meter_share * shown)
        return {"litres": round(max(0.0, shown + chance.gauss(0, sigma)), 1), "method": "meter"}, sigma


def _which(chance: Random) -> str:
    return chance.choice(("unit", "digits", "point", "fahrenheit", "no temperature", "neighbour"))


def _slipped(chance: Random, fields: dict[str, Any], slip: str | None) -> dict[str, Any]:
    """The entry as the slip left it; of a slip that this entry cannot have, another one."""
    if slip is None or slip == "neighbour":
        return fields
    measure = next(name for name in ("litres", "wet_mm", "gross_kg") if name in fields)
    if slip in ("fahrenheit", "no temperature"):
        warm = fields.pop("temp_c", None)
        hot = None if warm is None else float(round(32 + 1.8 * warm))
        if slip == "fahrenheit" and hot is not None and hot <= 40:
            fields["temp_c"] = hot
        return fields
    if slip == "unit":
        unit = {"litres": chance.choice((3.785, 4.546)), "wet_mm": 25.4, "gross_kg": 1 / 2.2046}[measure]
        return {**fields, measure: round(fields[measure] / unit, 1)}
    if slip == "point":
        return {**fields, measure: round(fields[measure] / 10, 2)}
    return {**fields, measure: _swapped(chance, fields[measure])}


def _swapped(chance: Random, value: float) -> float:
    """Two neighbouring digits before the point change places, where that changes anything."""
    whole, _, part = f"{value:g}".partition(".")
    places = [n for n in range(len(whole) - 1) if whole[n] != whole[n + 1] and not (n == 0 and whole[1] == "0")]
    if not places:
        return value
    n = chance.choice(places)
    turned = whole[:n] + whole[n + 1] + whole[n] + whole[n + 2 :]
    return float(f"{turned}.{part or 0}")
