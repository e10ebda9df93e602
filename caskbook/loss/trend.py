"""A line through many gauges that one wrong one cannot tilt: Theil's slope, the median of the slopes of all pairs."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from statistics import NormalDist, median

MOST_POINTS = 60


def theil_sen(points: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """(slope, intercept) of y over x; None with fewer than two different x.

    Slope: median over all pairs of different x (Theil 1950, Sen 1968); intercept: median y less slope times median x. Of more
    than 60 points every n-th is taken, the last always: pairs grow with the square.
    """
    taken = _taken(points)
    slopes = _slopes(taken)
    if not slopes:
        return None
    slope = median(slopes)
    return slope, median(y for _, y in taken) - slope * median(x for x, _ in taken)


def theil_sen_bounds(points: Sequence[tuple[float, float]], share: float) -> tuple[float, float] | None:
    """(low, high): the slope lies between them with a chance of `share`, as 0.95; None with fewer than two different x.

    By the variance of Kendall's statistic, ties allowed for (Sen 1968): of all slopes in order, those so far from the middle one. Points as `theil_sen` takes them.
    """
    taken = _taken(points)
    slopes = sorted(_slopes(taken))
    if not slopes:
        return None
    tied = sum(_ties(n for n in Counter(value).values()) for value in zip(*taken, strict=True))
    deviation = math.sqrt(max(0.0, (_ties([len(taken)]) - tied) / 18.0))
    reach = NormalDist().inv_cdf(0.5 + share / 2) * deviation
    last = len(slopes) - 1
    low, high = max(0, round((len(slopes) - reach) / 2) - 1), min(last, round((len(slopes) + reach) / 2))
    return slopes[min(low, last)], slopes[high]


def _taken(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    step = -(-len(points) // MOST_POINTS)
    return list(points[::-1][::step]) if step > 1 else list(points)


def _slopes(points: Sequence[tuple[float, float]]) -> list[float]:
    return [(y2 - y1) / (x2 - x1) for n, (x1, y1) in enumerate(points) for x2, y2 in points[n + 1 :] if x2 != x1]


def _ties(counts: Iterable[int]) -> int:
    return sum(n * (n - 1) * (2 * n + 5) for n in counts)
