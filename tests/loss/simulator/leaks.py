"""Leaks of all kinds, each as a hazard beside the natural loss, or as litres that are gone at once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from loss.simulator.weather import YEAR

KINDS = ("from filling", "from a day", "growing", "seeping", "sudden", "theft")
MOST_HAZARD = 1.6
"""No leak of the slow kinds empties a cask faster than to a fifth in a year: that one is found on the floor, not in the book."""


@dataclass(frozen=True, slots=True)
class Leak:
    """A leak of one fill. `times`: what the cask loses, by its peers, while it leaks in full; `hazard`: the yearly rate beside the
    natural one; `spells`: days on which it runs; `ramp`: years in which it grows to the full; `lumps`: shares of what is there that
    are gone on a day."""

    kind: str
    onset: date
    times: float
    hazard: float
    spells: tuple[tuple[date, date], ...]
    ramp: float = 0.0
    lumps: tuple[tuple[date, float], ...] = ()

    def runs(self, start: date, end: date) -> float:
        """The hazard of these days together, in logarithms of what is kept."""
        return self.hazard * sum(self._full(min(end, last)) - self._full(max(start, first)) for first, last in self.spells if first < end and last > start)

    def _full(self, day: date) -> float:
        """Years of the full leak from its onset to a day, had it run all the time."""
        years = (day - self.onset).days / YEAR
        if years <= 0:
            return 0.0
        return years if not self.ramp else years**2 / (2 * self.ramp) if years < self.ramp else years - self.ramp / 2


def leak(chance: Random, start: date, end: date, hazard: float) -> Leak:
    """A leak by chance of a fill from `start` to `end`, of a cask whose peers lose by `hazard` a year."""
    kind = chance.choice(KINDS)
    days = (end - start).days
    onset = start if kind == "from filling" else start + timedelta(int(chance.uniform(0.05, 0.6) * days))
    times = min(math.exp(chance.uniform(math.log(1.5), math.log(10))), 1 + MOST_HAZARD / hazard)
    extra, always = (times - 1) * hazard, ((onset, end),)
    if kind == "growing":
        return Leak(kind, onset, times, extra, always, ramp=chance.uniform(0.5, 2.5))
    if kind == "seeping":
        return Leak(kind, onset, times, extra, _spells(chance, onset, end))
    if kind == "sudden":
        return Leak(kind, onset, times, 0.0, (), lumps=((onset, chance.uniform(0.08, 0.45)),))
    if kind == "theft":
        return Leak(kind, onset, times, 0.0, (), lumps=tuple(_taken(chance, onset, end, extra)))
    return Leak(kind, onset, times, extra, always)


def _spells(chance: Random, onset: date, end: date) -> tuple[tuple[date, date], ...]:
    """It seeps for months, takes up and begins again; half of them are repaired for good in the end."""
    spells, day = [], onset
    repaired = onset + timedelta(int(chance.uniform(300, 1500))) if chance.random() < 0.5 else end
    while day < min(end, repaired):
        last = min(end, repaired, day + timedelta(int(chance.uniform(90, 500))))
        spells.append((day, last))
        day = last + timedelta(int(chance.uniform(30, 200)))
    return tuple(spells)


def _taken(chance: Random, onset: date, end: date, hazard: float) -> list[tuple[date, float]]:
    """Every few weeks somebody draws some, and enters nothing."""
    found, day = [], onset
    while day < end:
        days = int(chance.uniform(14, 70))
        found.append((day, 1 - math.exp(-hazard * days / YEAR)))
        day += timedelta(days)
    return found
