"""Fitting a head and jointing staves: the head circle from the cooper's six-step compass, and the bevel of stave edges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from caskbook.gauging.domain import DomainError, plain, within
from caskbook.gauging.roots import root

StepIn = Literal["croze", "wall"]
MOST_MM = 5000.0


@dataclass(frozen=True, slots=True)
class HeadCircle:
    """The circle a head is cut to, in mm."""

    radius_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Bevels:
    """The circle the staves close to, and for each stave the angle of both its edges off square, in degrees."""

    radius_mm: float
    angles_deg: tuple[float, ...]


def head_circle(step_mm: float, step_in: StepIn = "croze", groove_mm: float | None = None, allowance_mm: float = 0.0) -> HeadCircle:
    """The head circle, all in mm, from a compass that steps exactly six times round: its setting is the radius of the
    circle it walks on (Euclid IV.15). Walked in the bottom of the croze that is the head's radius; walked on the wall,
    the depth of the groove is added. `allowance_mm`, the shade over (or, negative, under), is added to the radius.
    """
    radius = within(step_mm, 10.0, MOST_MM, "compass step", "mm")
    if step_in == "wall":
        if groove_mm is None:
            raise DomainError("a step taken on the wall needs the depth of the groove")
        radius += within(groove_mm, 0.0, 50.0, "groove depth", "mm")
    elif step_in != "croze":
        raise DomainError(f"step {step_in!r} is neither croze nor wall")
    radius += within(allowance_mm, -20.0, 20.0, "allowance", "mm")
    return HeadCircle(radius, 2.0 * radius)


def equal_bevel_deg(staves: int) -> float:
    """The angle off square, in degrees, of every edge of `staves` equal staves: 180 / N."""
    return 180.0 / within(staves, 3, 500, "number of staves")


def bevels(widths_mm: Sequence[float]) -> Bevels:
    """The bevels of staves of these widths (mm, straight across one face, all at the same girth and the same face).

    The widths are chords of one circle: its radius R solves the sum of asin(w / 2R) = pi, and a stave's edges stand off
    square by its own asin(w / 2R), so that every joint lies along a radius. Bevels add up to 180° whatever the widths.
    """
    within(len(widths_mm), 3, 500, "number of staves")
    widths = [within(w, 1.0, MOST_MM, "stave width", "mm") for w in widths_mm]
    girth, widest = math.fsum(widths), max(widths)
    if _half_turns(widths, widest / 2.0) < math.pi:
        raise DomainError(f"stave {plain(widest)} mm is too wide: the others cannot close a round with it")
    low, high = max(widest / 2.0, girth / (2.0 * math.pi)), girth / 4.0
    radius = root(lambda r: _half_turns(widths, r) - math.pi, low, max(low, high))
    return Bevels(radius, tuple(math.degrees(_half_angle(w, radius)) for w in widths))


def _half_turns(widths: Sequence[float], radius: float) -> float:
    return math.fsum(_half_angle(w, radius) for w in widths)


def _half_angle(width: float, radius: float) -> float:
    return math.asin(min(1.0, width / (2.0 * radius)))
