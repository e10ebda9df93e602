"""Chances: how far above its peers a sound cask may lie before the house is told, from the false alarms that it allows."""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

_NORMAL = NormalDist()
_PER = 1000.0
"""The house speaks of a thousand casks."""
MOST_SCORE = 38.0
"""Beyond this a chance is less than any float: figures further out are told as this."""


@lru_cache(maxsize=8192)
def score_limit(false_alarms: float, years: float) -> float:
    """The standard score above which a fill is told, so that of 1000 sound casks `false_alarms` a year are told wrongly by a look that speaks for `years`."""
    chance = false_alarms / _PER * years
    return _NORMAL.inv_cdf(1.0 - min(0.5, max(chance, 1e-15)))


def limit_of(false_alarms: float, years: float, looks: int, share: float, *, from_first: bool) -> float:
    """The limit for one course of a loss at the last of so many looks in `years`.

    Gauges err anew at each look, so that a look may use only what the time since the last one allows: who looks more often must see more. A cask's own
    rate among its peers is drawn once: all the time it has lain speaks for it. `share`: how far the score's variance is of that kind. Half of what is
    allowed goes to the loss that runs from the first gauge on (`from_first`), the other half to all other courses tried, in equal parts.
    """
    others = 2 * looks - 2
    part = 1.0 if not others else 0.5 if from_first else 0.5 / others
    return score_limit(false_alarms * part, years * (share + (1.0 - share) / looks))


def as_normal(score: float, freedom: float) -> float:
    """A score of Student's t with `freedom` degrees of freedom as the normal score of the same chance (Wallace 1959), within 0.04
    from 3 degrees on as far as a score of 6."""
    if math.isinf(freedom) or score <= 0:
        return min(score, MOST_SCORE)
    scale = (8.0 * freedom + 1.0) / (8.0 * freedom + 3.0)
    return min(MOST_SCORE, scale * math.sqrt(freedom * math.log1p(score * score / freedom)))


def run_length_years(false_alarms: float) -> float:
    """After how many years, in the mean, one sound cask is told wrongly: the in-control run length."""
    return _PER / false_alarms
