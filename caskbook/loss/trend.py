"""A line through many gauges that one wrong one cannot tilt: Theil's slope, the median of the slopes of all pairs."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

MOST_POINTS = 60


def theil_sen(points: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """(slope, intercept) of y over x; None with fewer than two different x.

    Slope: median over all pairs of different x (Theil 1950, Sen 1968); intercept: median y less slope times median x. Of more
    than 60 points every n-th is taken, the last always: pairs grow with the square.
    """
    step = -(-len(points) // MOST_POINTS)
    taken = list(points[::-1][::step]) if step > 1 else list(points)
    slopes = [(y2 - y1) / (x2 - x1) for n, (x1, y1) in enumerate(taken) for x2, y2 in taken[n + 1 :] if x2 != x1]
    if not slopes:
        return None
    slope = median(slopes)
    return slope, median(y for _, y in taken) - slope * median(x for x, _ in taken)
