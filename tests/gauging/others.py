"""Figures that other people's programs compute, kept in `others.json` so that the usual run need not load those programs.

`python -m pytest -m slow tests/gauging/test_others.py` computes them again and compares; with `--golden` it writes them anew.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

from caskbook.gauging.volume import SHAPES, Dimensions

FILE = Path(__file__).with_name("others.json")

WATER_C = range(1, 41)
ETHANOL_C = range(-20, 41, 5)
MIXTURES = [(percent / 100, t) for percent in range(5, 61, 5) for t in (0, 10, 20, 30, 40)]
DIPS = [(shape, ratio, wet) for shape in SHAPES for ratio in (0.3, 0.85, 0.9999) for wet in (2.0, 40.0, 150.0, 300.0)]
_AIR = 101325


def points(count: int = 200) -> list[list[tuple[float, float]]]:
    """Sets of points, the same each time, for the line through them."""
    chance = Random(3)
    return [[(round(chance.uniform(0, 20), 2), chance.gauss(0, 1)) for _ in range(chance.randrange(3, 25))] for _ in range(count)]


def _coolprop() -> Callable[..., Any]:
    from CoolProp.CoolProp import PropsSI

    found: Callable[..., Any] = PropsSI
    return found


def water() -> list[float]:
    """kg/m³ at WATER_C and air's pressure."""
    props = _coolprop()
    return [props("D", "T", 273.15 + t, "P", _AIR, "Water") for t in WATER_C]


def ethanol() -> list[float]:
    """kg/m³ at ETHANOL_C and air's pressure."""
    props = _coolprop()
    return [props("D", "T", 273.15 + t, "P", _AIR, "Ethanol") for t in ETHANOL_C]


def mixtures() -> list[float]:
    """kg/m³ at each (mass fraction of alcohol, °C) of MIXTURES."""
    props = _coolprop()
    return [props("D", "T", 273.15 + t, "P", _AIR, f"INCOMP::MEA[{share}]") for share, t in MIXTURES]


def ullages() -> list[float]:
    """Litres in a lying cask of 660 mm at the bung and 840 mm long for each (shape, head by bung, wet mm) of DIPS."""
    from scipy.integrate import quad

    return [_lying(quad, Dimensions(660, 660 * ratio, 840, shape), wet) for shape, ratio, wet in DIPS]


def _lying(quad: Callable[..., Any], cask: Dimensions, wet: float) -> float:
    """Adaptive quadrature over the surfaces from the bottom up, told where the head begins."""
    level, wide, narrow = 330.0 - wet, 330.0, cask.head_mm / 2

    def radius(x: float) -> float:
        u = x / 420.0
        return {
            "spheroid": math.sqrt(wide**2 + (narrow**2 - wide**2) * u**2),
            "parabolic": wide + (narrow - wide) * u**2,
            "paraboloid": math.sqrt(wide**2 + (narrow**2 - wide**2) * u),
            "cone": wide + (narrow - wide) * u,
        }[cask.shape]

    def slice_area(x: float) -> float:
        r = radius(x)
        return 0.0 if r <= level else r * r * math.acos(level / r) - level * math.sqrt(r * r - level * level)

    share = min(1.0, (wide - level) / max(wide - narrow, 1e-12))
    squares = min(1.0, (wide**2 - level**2) / max(wide**2 - narrow**2, 1e-12))
    end = {"spheroid": math.sqrt(squares), "parabolic": math.sqrt(share), "paraboloid": squares, "cone": share}[cask.shape]
    return float(2 * quad(slice_area, 0.0, 420.0 * end, epsabs=1e-6, epsrel=1e-12, limit=200)[0]) / 1e6


def lines() -> list[float]:
    """Slope and intercept of the line through each of `points`, one after the other."""
    from scipy.stats import theilslopes

    found: list[float] = []
    for some in points():
        line = theilslopes([y for _, y in some], [x for x, _ in some])
        found += [float(line.slope), float(line.intercept)]
    return found


BOUND_SHARES = (0.5, 0.9, 0.95, 0.99)


def bounds() -> list[float]:
    """Lowest and highest slope of each of `points` that has ten or more, for each of BOUND_SHARES, one after the other."""
    from scipy.stats import theilslopes

    found: list[float] = []
    for some in points():
        for share in BOUND_SHARES if len(some) >= 10 else ():
            line = theilslopes([y for _, y in some], [x for x, _ in some], alpha=share)
            found += [float(line.low_slope), float(line.high_slope)]
    return found


SOURCES: dict[str, tuple[Callable[[], list[float]], str]] = {
    "water": (water, "IAPWS-95 as CoolProp computes it"),
    "ethanol": (ethanol, "CoolProp's equation of state for pure ethanol, its own uncertainty about 0.2 %"),
    "mixtures": (mixtures, "Melinder's ethanol-water data in CoolProp"),
    "ullages": (ullages, "scipy.integrate.quad"),
    "lines": (lines, "scipy.stats.theilslopes"),
    "bounds": (bounds, "scipy.stats.theilslopes"),
}


def kept(name: str) -> list[float]:
    """The kept figures of one source."""
    found: list[float] = json.loads(FILE.read_text(encoding="utf-8"))[name]["values"]
    return found
