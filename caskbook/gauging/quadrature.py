"""Gauss-Legendre quadrature on 0 to 1, for integrands that are smooth there."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

POINTS = 48


def integral(f: Callable[[float], float]) -> float:
    """The integral of f from 0 to 1."""
    return math.fsum(weight * f(x) for x, weight in nodes(POINTS))


@cache
def nodes(count: int) -> tuple[tuple[float, float], ...]:
    """Places and weights on 0 to 1: the roots of the Legendre polynomial by Newton's method from a close first guess."""
    pairs = []
    for k in range(count):
        x = math.cos(math.pi * (k + 0.75) / (count + 0.5))
        for _ in range(8):
            value, slope = _legendre(count, x)
            x -= value / slope
        slope = _legendre(count, x)[1]
        pairs.append(((1.0 + x) / 2.0, 1.0 / ((1.0 - x * x) * slope * slope)))
    return tuple(pairs)


def _legendre(degree: int, x: float) -> tuple[float, float]:
    """The Legendre polynomial and its derivative at x, inside -1 to 1."""
    before, value = 1.0, x
    for n in range(2, degree + 1):
        before, value = value, ((2 * n - 1) * x * value - (n - 1) * before) / n
    return value, degree * (x * value - before) / (x * x - 1.0)
