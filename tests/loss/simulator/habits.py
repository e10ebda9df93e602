"""How a house gauges: when, by what, whether it writes a temperature."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random


@dataclass(frozen=True, slots=True)
class Habit:
    """A way to gauge. `every`: days from one gauge to the next, least and most; `methods` one of which is taken each time;
    `by_rod`: whether a dip is written as millimetres of the rod where the cask's inside is known; `warm`: whether a temperature is
    written, as a chance."""

    name: str
    every: tuple[int, int]
    methods: tuple[str, ...]
    warm: float = 1.0
    by_rod: float = 0.7

    def days(self, chance: Random, start: date, end: date) -> list[date]:
        """The days of the gauges between a filling and its end."""
        found, day = [], start + timedelta(chance.randint(*self.every))
        while day < end:
            found.append(day)
            day += timedelta(chance.randint(*self.every))
        return found


HABITS = (
    Habit("yearly dip", (330, 400), ("dip",)),
    Habit("half-yearly meter", (160, 205), ("meter",)),
    Habit("every three years", (1030, 1170), ("meter", "weigh")),
    Habit("yearly uncorrected", (320, 410), ("meter", "dip"), warm=0.0, by_rod=0.3),
    Habit("mixed", (25, 1100), ("meter", "weigh", "dip"), warm=0.9),
)
