"""Whether a gauge is likelier misread than the cask leaking: one slip that makes the whole fill usual, weighed against a leak."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from caskbook.loss.model import Deficit, Sound

LEAKS = 0.02
"""Chance that a fill shows a leak at one of its gauges: from memory."""
SLIPS = 0.001
"""Chance that a gauge has a slip of the usual kinds which nobody saw when it was entered; all kinds in equal parts: from memory."""
LEAK_SIZE = 0.3
"""Half of all leaks take less than this logarithm by then, and few take many times as much (Lomax): from memory."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """The gauge that may be misread, and the question that asks for what was meant."""

    day: date
    event: str
    words: str


def likelier_misread(sound: Sound, leak: Deficit) -> Doubt | None:
    """The slip of one gauge that is likelier than the leak; None where none is. A leak that two gauges show is no slip: it would take two."""
    size = max(leak.size, 0.0)
    density = 1.0 / LEAK_SIZE / (1.0 + size / LEAK_SIZE) ** 2
    leaking = math.log(LEAKS / len(sound.own) * density * math.sqrt(2.0 * math.pi) * leak.sigma) + (leak.size / leak.sigma) ** 2 / 2 + sound.log_chance()
    best: tuple[float, Doubt] | None = None
    for k, point in enumerate(sound.points):
        if k == 0 or not point.readings:
            continue
        for reading in point.readings:
            chance = sound.log_chance({k - 1: reading.shift}) + math.log(SLIPS / len(point.readings)) + (math.log(2.0) if reading.unit else 0.0)
            if chance > leaking and (best is None or chance > best[0]):
                best = chance, Doubt(point.day, point.event, reading.words)
    return None if best is None else best[1]
