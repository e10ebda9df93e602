"""Whether a gauge is likelier misread than the cask leaking: one slip that makes the whole fill usual, weighed against a leak."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from caskbook.core.days import years_between
from caskbook.loss.expected import Expected
from caskbook.loss.model import Deficit, Sound

LEAKS = 0.03
"""Chance that a fill shows a leak at one of its gauges: from memory."""
SLIPS = 0.001
"""Chance that a gauge has a slip of the usual kinds which nobody saw when it was entered; all that would matter in equal parts: from memory."""
OTHERS = 0.0005
"""Chance that a gauge is that of another cask: from memory."""
LEAK_SIZE = 0.3
"""Half of all leaks take less than this logarithm by then, and few take many times as much (Lomax): from memory."""
FASTEST, AT_ONCE = 1.6, 0.7
"""A leak that takes more than this logarithm in a year (it leaves a fifth), or more than this at once (it leaves half), stands as a pool on the floor: few
are first seen in a gauge. From memory."""
RARER = 3.0
"""Logarithm by which such a leak is rarer in the gauges than its size alone makes it, once it takes half as much again: from memory."""
LEAST_SHIFT = 0.02
"""A reading that changes the alcohol by less explains no loss."""
OTHER_SIZE, OTHER_STRENGTH = 1.0, 3.0
"""How far another cask's alcohol, in logarithms, and its strength, % vol, lie about from this one's: from memory."""
DRIFT_APART = 0.2
"""How far the strength of one cask may go from its peers' in a year, % vol, beside what their spread tells: from memory."""
MOST_TIMES = 10.0
STRENGTH_ERROR = 0.1
"""Standard deviation of a strength, % vol: the default of the house's setting, no source."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """The gauge that may be misread, and the question that asks for what was meant."""

    day: date
    event: str
    words: str


def likelier_misread(sound: Sound, leak: Deficit, expected: Expected) -> Doubt | None:
    """The slip of one gauge that is likelier than the leak; None where none is. A leak that two gauges show is no slip: it would take two."""
    reach = math.log(math.sqrt(2.0 * math.pi) * leak.sigma) + (leak.size / leak.sigma) ** 2 / 2 + sound.log_chance()
    size = max(leak.size, 0.0) / LEAK_SIZE
    leaking = math.log(LEAKS / len(sound.own) / LEAK_SIZE / (1.0 + size) ** 2) - RARER * _beyond_a_pool(sound, leak) + reach
    best: tuple[float, Doubt] | None = None
    for k, point in enumerate(sound.points[1:]):
        matter = [reading for reading in point.readings if reading.shift > LEAST_SHIFT]
        for reading in matter:
            chance = sound.log_chance({k: reading.shift}) + math.log(SLIPS / len(matter))
            if chance > leaking and (best is None or chance > best[0]):
                best = chance, Doubt(point.day, point.event, reading.words)
    return best[1] if best is not None else _of_another(sound, leak, expected, leaking - reach)


def _beyond_a_pool(sound: Sound, leak: Deficit) -> float:
    """How far the leak is one that somebody would have seen on the floor: 0 where it takes less than that, 1 where it takes half as much again."""
    start = sound.years[leak.begun - 1] if leak.begun else 0.0
    end = sound.years[leak.begun if leak.kind == "once" else -1]
    return min(1.0, max(0.0, 2.0 * leak.size / max(AT_ONCE, FASTEST * (end - start)) - 2.0))


def _of_another(sound: Sound, leak: Deficit, expected: Expected, leaking: float) -> Doubt | None:
    """The last gauge as that of another cask, where it alone shows the loss and its strength jumps too: a leak leaves the strength, the air moves it slowly."""
    before, last = sound.points[-2:]
    if leak.begun != len(sound.own) - 1 or expected.drift is None or not before.abv or not last.abv or last.mixed:
        return None
    years = years_between(before.day, last.day)
    usual = sound.own[-1] - (sound.own[-2] if len(sound.own) > 1 else 0.0)
    times = min(MOST_TIMES, max(1.0, (last.fallen - before.fallen) / usual)) if usual > 0 else MOST_TIMES
    offs = [last.abv - before.abv - expected.drift * years * one for one in (1.0, times)]
    near = math.hypot(STRENGTH_ERROR * math.sqrt(2.0), expected.drift_spread * years, DRIFT_APART * years)
    own, other = max(_log_density(off, near) for off in offs), _log_density(offs[0], math.hypot(near, OTHER_STRENGTH))
    if math.log(OTHERS / OTHER_SIZE) + other <= leaking + own:
        return None
    return Doubt(last.day, last.event, f"litres and strength jump both ({before.abv:.1f} to {last.abv:.1f} % vol): is it the gauge of this cask?")


def _log_density(off: float, sigma: float) -> float:
    return -((off / sigma) ** 2) / 2 - math.log(sigma * math.sqrt(2.0 * math.pi))
