"""How well the verdicts do: leaks found, sound casks accused, by habit and by the store's rate."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import timedelta
from random import Random

from loss.simulator.fairness import size_of
from loss.simulator.habits import HABITS, Habit
from loss.simulator.house import world
from loss.simulator.story import story
from loss.simulator.watching import ALARMS, Watched, watch
from loss.simulator.weather import BASE_RATES, YEAR

RECALL_LARGE, RECALL_MIDDLE = 0.95, 0.70
MOST_ACT, MOST_ALARMS = 0.01, 0.04
"""Of sound casks in a decade."""


@dataclass(slots=True)
class Tally:
    """Counts. `leaks`: by size and whether found; `decades`: of sound casks watched until the first alarm of each sort or their end;
    `kinds`: of what was missed and of what was accused; `said`: last verdicts of sound fills."""

    leaks: Counter[tuple[str, bool]] = field(default_factory=Counter)
    decades: Counter[str] = field(default_factory=Counter)
    alarms: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    said: Counter[str] = field(default_factory=Counter)

    def add(self, other: Tally) -> None:
        """Take in the counts of another."""
        for mine, theirs in ((self.leaks, other.leaks), (self.alarms, other.alarms), (self.kinds, other.kinds), (self.said, other.said)):
            mine.update(theirs)
        for name, decades in other.decades.items():
            self.decades[name] += decades

    def of(self, size: str) -> tuple[int, int]:
        """(found, all) leaks of a size."""
        return self.leaks[size, True], self.leaks[size, True] + self.leaks[size, False]

    def recall(self, size: str) -> float | None:
        """Share found; None without any."""
        found, every = self.of(size)
        return found / every if every else None

    def a_decade(self, sort: str) -> float:
        """Alarms of a sort (`act`, `any`) of a sound cask in a decade."""
        return self.alarms[sort] / self.decades[sort] if self.decades[sort] else 0.0

    def count(self, one: Watched) -> None:
        """One fill: a leak found or missed, and the time before its onset, or all its time, as that of a sound one."""
        fill, hole = one.fill, one.fill.leak
        if hole is not None:
            size = size_of(fill)
            found = one.found()
            self.leaks[size, found] += 1
            if size in ("large", "middle") and not found:
                self.kinds[f"missed {size}: {hole.kind}"] += 1
        elif one.said:
            self.said[one.said[-1][1]] += 1
        until = fill.end if hole is None else hole.onset
        for sort, levels in (("act", ("act",)), ("any", ALARMS)):
            day = one.first(levels, until)
            self.decades[sort] += ((day or until) - fill.start).days / YEAR / 10  # type: ignore[assignment]
            if day is not None:
                self.alarms[sort] += 1
                lately = [gauge.slip for gauge in fill.gauges if gauge.slip and gauge.day <= day]
                self.kinds[f"{'act' if sort == 'act' else 'alarm'}: {f'slip ({lately[-1]})' if lately else _where(one, day - fill.start)}"] += 1


def _where(one: Watched, after: timedelta) -> str:
    return f"{'first' if after.days < 1.2 * YEAR else 'later'} gauges"


Table = dict[tuple[str, float], Tally]
"""By habit and the store's base rate."""


def score(casks_per_habit: int, seed: int, habits: tuple[Habit, ...] = HABITS) -> Table:
    """The tallies of one house of so many casks for every habit; the same for the same seed."""
    table: Table = {}
    for habit in habits:
        chance = Random(f"{seed} {habit.name}")
        house = world(chance, habit)
        for one in watch(house, [story(chance, house, n) for n in range(casks_per_habit)]):
            table.setdefault((habit.name, one.fill.store.rate), Tally()).count(one)
    return table


def join(tables: list[Table]) -> Table:
    """The tallies of several tables together."""
    joined: Table = {}
    for table in tables:
        for key, tally in table.items():
            joined.setdefault(key, Tally()).add(tally)
    return joined


def by_habit(table: Table) -> dict[str, Tally]:
    """All stores of a habit together."""
    found: dict[str, Tally] = {}
    for (habit, _), tally in table.items():
        found.setdefault(habit, Tally()).add(tally)
    return found


def by_rate(table: Table) -> dict[float, Tally]:
    """All habits of a base rate together."""
    found: dict[float, Tally] = {rate: Tally() for rate in BASE_RATES}
    for (_, rate), tally in table.items():
        found[rate].add(tally)
    return found
