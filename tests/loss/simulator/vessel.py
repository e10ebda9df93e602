"""A cask as a vessel: its true inside, what a rod would show at so many litres, and how it loses spirit by nature."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache
from random import Random

LEVELS, SLICES = 240, 48
SIZE_POWER = -0.38
"""A larger cask loses less; with thicker staves a little less still than its wall to its contents would say."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A type of cask: nominal litres, head by bung diameter, length by bung diameter, its own way beside its size, how common."""

    name: str
    litres: float
    waist: float
    long: float
    way: float
    share: float


KINDS = (
    Kind("barrel", 200.0, 0.84, 1.36, 1.0, 0.5), Kind("hogshead", 250.0, 0.86, 1.24, 1.05, 0.3),
    Kind("butt", 500.0, 0.80, 1.36, 0.95, 0.2),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Vessel:
    """One cask. `bung_mm`: inside diameter; `own`: its natural rate by that of its like; `thirst`: share of a fill that the wood
    takes at first, within about `soak_days`; `tare_kg`: its weight when empty and wet."""

    kind: Kind
    litres: float
    bung_mm: float
    own: float
    thirst: float
    soak_days: float
    tare_kg: float

    @property
    def natural(self) -> float:
        """How the loss of its type and size compares with that of a 200 L cask in the same store."""
        return float(self.kind.way * (self.kind.litres / 200.0) ** SIZE_POWER)

    def wet_mm(self, litres: float) -> float:
        """How high the liquor stands at the bung, lying, mm."""
        shares = _shares(self.kind.waist)
        share = min(1.0, max(0.0, litres / self.litres))
        n = min(LEVELS, max(1, bisect_left(shares, share)))
        low, high = shares[n - 1], shares[n]
        part = 0.0 if high <= low else (share - low) / (high - low)
        return self.bung_mm * (n - 1 + part) / LEVELS

    def litres_per_mm(self, litres: float) -> float:
        """How many litres one millimetre of the rod is worth there."""
        step = 0.01 * self.litres
        low, high = max(0.0, litres - step), min(self.litres, litres + step)
        return (high - low) / max(1e-9, self.wet_mm(high) - self.wet_mm(low))


def vessel(chance: Random, spread: float) -> Vessel:
    """A cask by chance; `spread`: how far casks that are alike differ in their natural rate, as a share of it
    (standard deviation; the mean is theirs, and more lie far above it than far below)."""
    kind = chance.choices(KINDS, [one.share for one in KINDS])[0]
    litres = kind.litres * (1 + chance.gauss(0, 0.015))
    bung = (litres * 1e6 / (kind.long * _bulk(kind.waist))) ** (1 / 3)
    wide = math.log1p(spread**2)
    own = math.exp(chance.gauss(0, math.sqrt(wide)) - wide / 2)
    return Vessel(kind, litres, bung, own, chance.uniform(0.01, 0.03), chance.uniform(8, 90), 0.24 * litres * (1 + chance.gauss(0, 0.06)))


def _radius(waist: float, x: float) -> float:
    """By the bung's, x from the bung (0) to the head (1): staves bend as a parabola."""
    return 1.0 - (1.0 - waist) * x * x


def _bulk(waist: float) -> float:
    """Volume by bung diameter cubed for a length of one bung diameter."""
    middles = [(n + 0.5) / SLICES for n in range(SLICES)]
    return math.pi / 4 * sum(_radius(waist, x) ** 2 for x in middles) / SLICES


@lru_cache(maxsize=32)
def _shares(waist: float) -> tuple[float, ...]:
    """The share of the whole that is wet at every level, from empty to full."""
    radii = [_radius(waist, (n + 0.5) / SLICES) for n in range(SLICES)]
    areas = [sum(_segment(r, 2 * level / LEVELS - (1 - r)) for r in radii) for level in range(LEVELS + 1)]
    return tuple(area / areas[-1] for area in areas)


def _segment(radius: float, height: float) -> float:
    """Area of a circle below a level so high above its lowest point."""
    height = min(2 * radius, max(0.0, height))
    off = radius - height
    return radius * radius * math.acos(max(-1.0, min(1.0, off / radius))) - off * math.sqrt(max(0.0, radius * radius - off * off))
