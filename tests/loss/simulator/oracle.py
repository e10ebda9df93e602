"""A judge of one page that knows the world: the mean loss of its like, every season, every instrument, how far casks differ.

It does not know the cask: its own rate, its thirst, a leak, the errors of its gauges. What it reaches shows that the floors can be
reached at all, and how far from them chance alone leaves room. It takes no slip for a loss: it is told which gauges are slips.
"""

from __future__ import annotations

import math
from random import Random

from loss.simulator.habits import HABITS, Habit
from loss.simulator.house import world
from loss.simulator.scoring import Table, Tally
from loss.simulator.story import FillTruth, story
from loss.simulator.watching import Watched

ACT, WATCH = 3.4, 3.1
"""Standard deviations."""
THIRST, THIRST_SPREAD = 0.02, 0.0058
"""What the wood takes at first: mean and standard deviation of 1 to 3 %."""

LEAST = 0.5
"""Litres of alcohol below which a cask is empty."""


def oracle_score(casks_per_habit: int, seed: int, habits: tuple[Habit, ...] = HABITS) -> Table:
    """As `scoring.score`, by the judge that knows the world."""
    table: Table = {}
    for habit in habits:
        chance = Random(f"{seed} {habit.name}")
        house = world(chance, habit)
        for told in [story(chance, house, n) for n in range(casks_per_habit)]:
            fills = [_watched(chance, fill, house.spread) for fill in told.fills]
            table.setdefault((habit.name, told.fills[0].store.rate), Tally()).count(fills)
    return table


def _watched(chance: Random, fill: FillTruth, spread: float) -> Watched:
    """The fill with the level on each day of a gauge, by the worst of all stretches that end there."""
    wide = math.log1p(spread**2)
    gauges = [gauge for gauge in fill.gauges if gauge.slip is None]
    errors = [gauge.sigma / max(LEAST, gauge.there) for gauge in gauges]
    lost = [_lost(fill, n, chance.gauss(0, error)) for n, error in enumerate(errors)]
    found = Watched(fill)
    for n, gauge in enumerate(gauges[1:], 1):
        level = "usual"
        for sigmas, word in ((WATCH, "watch"), (ACT, "act")):
            most = math.exp(sigmas * math.sqrt(wide) - wide / 2) - 1
            for start in range(n):
                air = gauge.air - gauges[start].air
                over = lost[n] - lost[start] - air - (0 if start else THIRST)
                if over > math.hypot(air * most, sigmas * errors[n], sigmas * errors[start], 0 if start else sigmas * THIRST_SPREAD):
                    level = word
        found.said.append((gauge.day, level))
    return found


def _lost(fill: FillTruth, n: int, error: float) -> float:
    """What is gone by a gauge that errs so, in logarithms of what is kept."""
    gauge = [one for one in fill.gauges if one.slip is None][n]
    return (
        -math.log(max(LEAST, gauge.there) / (max(LEAST, gauge.there) + gauge.leaked)) + fill.vessel.own * gauge.air + (fill.vessel.thirst if n else 0.0) - error
    )
