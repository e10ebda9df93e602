"""What can be said of a loss where there is nothing to compare it with: that it is too much by itself, in a cool store or anywhere."""

from __future__ import annotations

import math

from caskbook.core.days import years_between
from caskbook.loss.expected import is_temperate
from caskbook.loss.fill_summary import FillSummary
from caskbook.loss.intervals import COVERAGE
from caskbook.loss.model import log_rate
from caskbook.loss.points import Point
from caskbook.model.house import Settings

LARGE_LITRES = 200.0
HALF = math.log(2.0)
TIMES_TABLE = 2.5
"""So many times the house's own rate is too much, where too few peers are known: common practice, no source."""
HOTTEST = 0.35
"""A year's share beyond which no air takes it, from a small cask in the hottest store: from memory."""


def bare_excess(summary: FillSummary, settings: Settings, table: float | None = None) -> str | None:
    """Why a fill lost too much whatever its peers may lose, in words; None where that cannot be said.

    More than half is gone, faster than the air takes it anywhere; or more than `act_percent` a year over all gauges, from 200 L or more in a temperate
    store; either by more than the error of the gauges (two standard deviations) and of the wood's part.
    """
    first, last = summary.points[0], summary.points[-1]
    pairs = [(first, last), *zip(summary.points, summary.points[1:], strict=False)]
    for one, other in pairs:
        lost = _least_lost(summary, one, other)
        if lost > HALF and lost > log_rate(HOTTEST) * years_between(one.day, other.day):
            return f"more than half of it went from {one.day} to {other.day}: that is too much, whatever its peers lose"
    years = years_between(first.day, last.day)
    limit = settings.due.loss.act_percent
    large = summary.figure.litres >= LARGE_LITRES and is_temperate(summary.figure.store, settings)
    share = max(limit / 100 if large else 0.0, TIMES_TABLE * (table or 0.0))
    if not share or share >= 1.0 or years < 1.0 or _least_lost(summary, first, last) <= log_rate(share) * years:
        return None
    if large and share <= limit / 100:
        return f"house acts above {limit:g} % a year for {LARGE_LITRES:g} L or more in a temperate store, where nothing better is known"
    return f"that is over {TIMES_TABLE:g} times what the house's table has, {100 * (table or 0.0):.3g} % a year, and too few peers are known"


def _least_lost(summary: FillSummary, one: Point, other: Point) -> float:
    """The logarithm of what was lost between two gauges at the least, errors and the wood's part left out."""
    wood = summary.in_drink if one is summary.points[0] else 0.0
    walk = sum(point.walk for point in summary.points if one.day < point.day <= other.day)
    error = math.sqrt(one.error**2 + other.error**2 + walk + (wood / 2) ** 2)
    return other.fallen - one.fallen - wood - COVERAGE * error
