"""Intervals for counted things: a share of so many, and events in so many years. Closed forms and bisection with `math` alone."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

Z_95 = 1.959963984540054
"""The normal quantile of 0.975: 95 % lie within so many standard deviations of both sides."""
_TAIL = 0.025
_TINY, _CLOSE, _MOST_TERMS = 1e-300, 1e-16, 100_000


class Interval(NamedTuple):
    """Both ends, in the unit of the figure that they are about."""

    lower: float
    upper: float


def wilson(found: int, of: int, z: float = Z_95) -> Interval | None:
    """The score interval of the share `found / of` (0 to 1): (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n); None of nothing.

    Source: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209. ValueError for more found than there are.
    """
    if not 0 <= found <= of:
        raise ValueError(f"{found} of {of}: no share")
    if not of:
        return None
    share, extra = found / of, z * z / of
    middle, reach = share + extra / 2, z * math.sqrt(share * (1 - share) / of + extra / of / 4)
    lower, upper = (middle - reach) / (1 + extra), (middle + reach) / (1 + extra)
    return Interval(0.0 if found == 0 else lower, 1.0 if found == of else upper)


@lru_cache(maxsize=4096)
def poisson_exact(events: int) -> Interval:
    """The exact 95 % limits of the number to be expected where `events` were counted: below the lower one so many or more, above the upper one so
    many or fewer would come in less than 2.5 %; the lower one of none is 0.

    Source: F. Garwood, Biometrika 28 (1936) 437: half the chi-square quantiles 0.025 of 2n and 0.975 of 2n + 2 degrees of freedom. Worked out here by
    bisection on the distribution itself. ValueError for a count below 0.
    """
    if events < 0:
        raise ValueError(f"{events} events: no count")
    reach = 5.0 * math.sqrt(events + 1.0) + 10.0
    upper = _bisected(lambda mean: 1.0 - gamma_share(events + 1.0, mean) > _TAIL, float(events), events + reach)
    if events == 0:
        return Interval(0.0, upper)
    return Interval(_bisected(lambda mean: gamma_share(float(events), mean) < _TAIL, max(0.0, events - reach), float(events)), upper)


def rate_exact(events: int, years: float, per: float = 1000.0) -> Interval | None:
    """The exact 95 % limits of events per `per` years, where `events` were counted in so many years (`poisson_exact`); None in no time."""
    if years <= 0:
        return None
    lower, upper = poisson_exact(events)
    return Interval(per * lower / years, per * upper / years)


def gamma_share(shape: float, value: float) -> float:
    """The regularised lower incomplete gamma function P(a, x): the chance of `shape` or more events where `value` are expected, of a whole shape.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 6.5.29 (the series, below a + 1) and 6.5.31 (the continued fraction, above).
    """
    if value <= 0.0:
        return 0.0
    scale = math.exp(shape * math.log(value) - value - math.lgamma(shape))
    return scale * _series(shape, value) if value < shape + 1.0 else 1.0 - scale * _fraction(shape, value)


def _series(shape: float, value: float) -> float:
    term = total = 1.0 / shape
    for n in range(1, _MOST_TERMS):
        term *= value / (shape + n)
        total += term
        if term < total * _CLOSE:
            break
    return total


def _fraction(shape: float, value: float) -> float:
    """The continued fraction, evaluated from the front (Lentz's method)."""
    b = value + 1.0 - shape
    c, d = 1.0 / _TINY, 1.0 / b
    found = d
    for n in range(1, _MOST_TERMS):
        a = -n * (n - shape)
        b += 2.0
        d, c = 1.0 / (_kept(a * d + b)), _kept(b + a / c)
        step = d * c
        found *= step
        if abs(step - 1.0) < _CLOSE * 10:
            break
    return found


def _kept(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def _bisected(before: Callable[[float], bool], low: float, high: float) -> float:
    """Where a condition that holds at first stops to hold, between both; to the last digit."""
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if before(middle) else (low, middle)
    return (low + high) / 2
