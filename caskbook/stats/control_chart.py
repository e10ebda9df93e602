"""A control chart of a share by month: its middle, the limits of each month, and which months lie outside."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal, NamedTuple

SIGMAS = 3.0
"""How far the limits lie from the middle: three standard deviations, as in Shewhart's charts."""
Mark = Literal["above", "below", "within", "small", "none"]


class Month(NamedTuple):
    """A month of the chart: `found` of so many, the limits of a month of this size, and where it lies. `mark`: "small" where it has too few to be told,
    "none" where it has none at all."""

    month: str
    found: int
    of: int
    lower: float | None
    upper: float | None
    mark: Mark

    @property
    def share(self) -> float | None:
        """`found` of `of`; None of none."""
        return self.found / self.of if self.of else None


class Chart(NamedTuple):
    """The months in order, none left out; `found` of so many in all of them, `least` of how many a month is told."""

    months: tuple[Month, ...]
    found: int
    of: int
    least: int

    @property
    def middle(self) -> float | None:
        """The share of all months together, the middle line; None of none."""
        return self.found / self.of if self.of else None


def p_chart(counts: Iterable[tuple[str, int, int]], least: int) -> Chart:
    """The chart of (month as 2026-05, found, of) in any order; months between without any have none of 0.

    Limits of a month of n: p ± 3 √(p(1-p)/n) around the share p of all, not below 0 or above 1. Source: W. A. Shewhart, Economic Control of Quality of
    Manufactured Product (1931); as in NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2. A month with fewer than `least` is not held
    against them.
    """
    known = {month: (found, of) for month, found, of in counts}
    found, of = sum(one for one, _ in known.values()), sum(one for _, one in known.values())
    middle = found / of if of else None
    months = tuple(_month(month, *known.get(month, (0, 0)), middle, least) for month in _all_months(known))
    return Chart(months, found, of, least)


def _month(month: str, found: int, of: int, middle: float | None, least: int) -> Month:
    if not of or middle is None:
        return Month(month, 0, 0, None, None, "none")
    reach = SIGMAS * math.sqrt(middle * (1 - middle) / of)
    lower, upper = max(0.0, middle - reach), min(1.0, middle + reach)
    share = found / of
    mark: Mark = "small" if of < least else "above" if share > upper else "below" if share < lower else "within"
    return Month(month, found, of, lower, upper, mark)


def _all_months(known: Iterable[str]) -> list[str]:
    """Every month from the first to the last."""
    names = sorted(known)
    if not names:
        return []
    first, last = (12 * int(name[:4]) + int(name[5:7]) - 1 for name in (names[0], names[-1]))
    return [f"{n // 12:04d}-{n % 12 + 1:02d}" for n in range(first, last + 1)]
