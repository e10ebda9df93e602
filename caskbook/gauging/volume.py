"""The cask as a vessel: capacity of the four gauger's shapes, and what it holds at a dip, lying or standing, integrated
exactly from the same shape and scaled to a measured capacity where there is one."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, get_args

from caskbook.gauging.domain import DomainError, plain, within
from caskbook.gauging.quadrature import integral
from caskbook.gauging.roots import root
from caskbook.gauging.units.constants import MM3_PER_LITRE

Shape = Literal["spheroid", "parabolic", "paraboloid", "cone"]
"""First to fourth variety of the gauging books: middle frustum of a spheroid; of a parabolic spindle (parabolic staves);
two frusta of a paraboloid; two frusta of a cone."""
SHAPES: tuple[Shape, ...] = get_args(Shape)
Stance = Literal["lying", "standing"]
STANCES: tuple[Stance, ...] = get_args(Stance)
SMALLEST_MM, LARGEST_MM = 10.0, 5000.0


@dataclass(frozen=True, slots=True)
class Dimensions:
    """Inside measures of a cask in mm: across at the bung, across at the heads, between the heads."""

    bung_mm: float
    head_mm: float
    length_mm: float
    shape: Shape = "spheroid"

    def __post_init__(self) -> None:
        within(self.bung_mm, SMALLEST_MM, LARGEST_MM, "bung diameter", "mm")
        within(self.head_mm, SMALLEST_MM, LARGEST_MM, "head diameter", "mm")
        within(self.length_mm, SMALLEST_MM, LARGEST_MM, "length", "mm")
        if self.head_mm > self.bung_mm:
            raise DomainError(f"head {plain(self.head_mm)} mm is wider than bung {plain(self.bung_mm)} mm")
        if self.shape not in SHAPES:
            raise DomainError(f"shape {self.shape!r} is none of {', '.join(SHAPES)}")


@dataclass(frozen=True, slots=True)
class Dip:
    """What a dip says: the liquid and the empty space in litres, the liquid's share, and the dip both ways in mm."""

    litres: float
    litres_space: float
    fraction: float
    wet_mm: float
    dry_mm: float
    capacity_l: float


def capacity_l(cask: Dimensions) -> float:
    """Litres to the brim, by the closed formula of the shape with D at the bung, d at the head and L between the heads:
    spheroid pi L (2D² + d²)/12, parabolic pi L (8D² + 4Dd + 3d²)/60, paraboloid pi L (D² + d²)/8, cone
    pi L (D² + Dd + d²)/12."""
    wide, narrow = cask.bung_mm, cask.head_mm
    squares = {
        "spheroid": (2.0 * wide**2 + narrow**2) / 12.0,
        "parabolic": (8.0 * wide**2 + 4.0 * wide * narrow + 3.0 * narrow**2) / 60.0,
        "paraboloid": (wide**2 + narrow**2) / 8.0,
        "cone": (wide**2 + wide * narrow + narrow**2) / 12.0,
    }
    return math.pi * cask.length_mm * squares[cask.shape] / MM3_PER_LITRE


def depth_mm(cask: Dimensions, stance: Stance) -> float:
    """The depth of the full cask where it is dipped: the bung diameter lying, the length standing."""
    if stance not in STANCES:
        raise DomainError(f"stance {stance!r} is none of {', '.join(STANCES)}")
    return cask.bung_mm if stance == "lying" else cask.length_mm


def fraction_at(cask: Dimensions, wet_mm: float, stance: Stance = "lying") -> float:
    """Share of the capacity, 0 to 1, that is liquid when it stands `wet_mm` deep at the deepest place."""
    depth = depth_mm(cask, stance)
    within(wet_mm, 0.0, depth, "wet dip", "mm")
    lower_half = _lying_share if stance == "lying" else _standing_share
    if wet_mm <= depth / 2.0:
        return lower_half(cask, wet_mm)
    return 1.0 - lower_half(cask, depth - wet_mm)


def wet_mm_at(cask: Dimensions, fraction: float, stance: Stance = "lying") -> float:
    """The wet dip in mm at which the cask holds this share, 0 to 1, of its capacity."""
    within(fraction, 0.0, 1.0, "share of the capacity")
    return root(lambda wet: fraction_at(cask, wet, stance) - fraction, 0.0, depth_mm(cask, stance), 1e-12)


def at_dip(
    cask: Dimensions,
    *,
    wet_mm: float | None = None,
    dry_mm: float | None = None,
    stance: Stance = "lying",
    measured_l: float | None = None,
) -> Dip:
    """What the cask holds at a wet dip, or at a dry dip (brim to liquid), in mm: exactly one of the two.

    `measured_l` is the capacity found by measurement, in litres; it scales the shape's figures and takes its place.
    """
    if (wet_mm is None) == (dry_mm is None):
        raise DomainError("a dip is either wet or dry: give one of them")
    depth = depth_mm(cask, stance)
    if wet_mm is None:
        assert dry_mm is not None
        wet_mm = depth - within(dry_mm, 0.0, depth, "dry dip", "mm")
    return _dip(cask, wet_mm, stance, full_l(cask, measured_l))


def dip_table(cask: Dimensions, stance: Stance = "lying", measured_l: float | None = None, step_mm: float = 1.0) -> tuple[Dip, ...]:
    """The cask's own table: a Dip for every `step_mm` of wet dip from empty, and one for full."""
    depth, full = depth_mm(cask, stance), full_l(cask, measured_l)
    within(step_mm, 0.1, depth, "step", "mm")
    steps = [step_mm * n for n in range(math.ceil(depth / step_mm - 1e-9))]
    return tuple(_dip(cask, wet, stance, full) for wet in [*steps, depth])


def full_l(cask: Dimensions, measured_l: float | None = None) -> float:
    """The capacity in litres that counts: the measured one, else the shape's."""
    if measured_l is None:
        return capacity_l(cask)
    return within(measured_l, 0.001, 100_000.0, "measured capacity", "L")


def r138_class_b_l(nominal_l: float) -> float:
    """Largest permissible error, ± litres, of a cask not of metal (class B) of this nominal capacity: 1 %, but not less
    than 0.15 L (OIML R 138:2007, 5.1.3)."""
    return max(0.15, within(nominal_l, 0.001, 100_000.0, "nominal capacity", "L") * 0.01)


def _dip(cask: Dimensions, wet_mm: float, stance: Stance, full: float) -> Dip:
    share = fraction_at(cask, wet_mm, stance)
    return Dip(full * share, full * (1.0 - share), share, wet_mm, depth_mm(cask, stance) - wet_mm, full)


def _standing_share(cask: Dimensions, wet_mm: float) -> float:
    """Share below a level in the lower half of the standing cask. From the bung, u being the share of the way to a head,
    the squared radius is a polynomial in u, and so is its integral."""
    wide, narrow = cask.bung_mm / 2.0, cask.head_mm / 2.0
    gap, squares = wide - narrow, wide**2 - narrow**2
    to_bung: dict[str, Callable[[float], float]] = {
        "spheroid": lambda u: wide**2 * u - squares * u**3 / 3.0,
        "parabolic": lambda u: wide**2 * u - 2.0 * wide * gap * u**3 / 3.0 + gap**2 * u**5 / 5.0,
        "paraboloid": lambda u: wide**2 * u - squares * u**2 / 2.0,
        "cone": lambda u: wide**2 * u - wide * gap * u**2 + gap**2 * u**3 / 3.0,
    }
    half = to_bung[cask.shape]
    u = 1.0 - 2.0 * wet_mm / cask.length_mm
    return max(0.0, (half(1.0) - half(u)) / (2.0 * half(1.0)))


def _lying_share(cask: Dimensions, wet_mm: float) -> float:
    """Share below a level in the lower half of the lying cask: segments of circles, integrated from the bung to where
    the liquid ends, at the head or before it.

    With u = end (1 - s²) the integrand is smooth in s, although a segment goes as depth^1.5 where the liquid ends.
    """
    wide, narrow = cask.bung_mm / 2.0, cask.head_mm / 2.0
    below_axis = wide - wet_mm
    end = _wet_end(cask.shape, wide, narrow, below_axis)

    def slice_at(s: float) -> float:
        radius = _radius_at(cask.shape, wide, narrow, end * (1.0 - s * s))
        return _segment(radius, below_axis) * s

    wet = cask.length_mm * 2.0 * end * integral(slice_at)
    return wet / (capacity_l(cask) * MM3_PER_LITRE)


def _radius_at(shape: Shape, wide: float, narrow: float, u: float) -> float:
    """Radius at the share u of the way from the bung to a head."""
    if shape == "spheroid":
        return math.sqrt(wide**2 - (wide**2 - narrow**2) * u * u)
    if shape == "parabolic":
        return wide - (wide - narrow) * u * u
    if shape == "paraboloid":
        return math.sqrt(wide**2 - (wide**2 - narrow**2) * u)
    return wide - (wide - narrow) * u


def _wet_end(shape: Shape, wide: float, narrow: float, below_axis: float) -> float:
    """The share of the way from the bung to a head at which a level this far below the axis meets the wall; 1 where it
    meets the head."""
    if below_axis <= narrow:
        return 1.0
    if shape in ("spheroid", "paraboloid"):
        share = (wide**2 - below_axis**2) / (wide**2 - narrow**2)
    else:
        share = (wide - below_axis) / (wide - narrow)
    return math.sqrt(share) if shape in ("spheroid", "parabolic") else share


def _segment(radius: float, below_axis: float) -> float:
    """Area of the part of a circle that lies deeper than `below_axis` under its centre."""
    if below_axis >= radius:
        return 0.0
    half_chord = math.sqrt((radius - below_axis) * (radius + below_axis))
    return radius**2 * math.atan2(half_chord, below_axis) - below_axis * half_chord
