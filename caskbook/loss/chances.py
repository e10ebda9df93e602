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


@lru_cache(maxsize=4096)
def score_limit(false_alarms: float, years_a_look: float, hypotheses: int) -> float:
    """The standard score above which a fill is told, so that of 1000 sound casks `false_alarms` a year are told wrongly.

    `years_a_look`: years between two gauges, on the average of the fill: who looks more often must look for more. `hypotheses`: how many courses of a loss are
    tried at a look; their chances are added (Bonferroni), which allows fewer false alarms than asked for, never more.
    """
    chance = false_alarms / _PER * years_a_look / hypotheses
    return _NORMAL.inv_cdf(1.0 - min(0.5, max(chance, 1e-15)))


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
