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


@dataclass(slots=True)
class Tally:
    """Counts. `leaks`: by size and whether found; `days`: of sound casks, watched until the first alarm of each sort or their end;
    `kinds`: of what was missed and of what was accused; `said`: last verdicts of sound fills."""

    leaks: Counter[tuple[str, bool]] = field(default_factory=Counter)
    days: Counter[str] = field(default_factory=Counter)
    alarms: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    said: Counter[str] = field(default_factory=Counter)

    def add(self, other: Tally) -> None:
        """Take in the counts of another."""
        self.leaks.update(other.leaks)
        for mine, theirs in ((self.days, other.days), (self.alarms, other.alarms), (self.kinds, other.kinds), (self.said, other.said)):
            mine.update(theirs)

    def of(self, size: str) -> tuple[int, int]:
        """(found, all) leaks of a size."""
        return self.leaks[size, True], self.leaks[size, True] + self.leaks[size, False]

    def recall(self, size: str) -> float | None:
        """Share found; None without any."""
        found, every = self.of(size)
        return found / every if every else None

    def a_decade(self, sort: str) -> float:
        """Alarms of a sort (`act`, `any`) of a sound cask in a decade."""
        return self.alarms[sort] / self.decades(sort) if self.days[sort] else 0.0

    def decades(self, sort: str) -> float:
        """Decades for which sound casks were watched."""
        return self.days[sort] / YEAR / 10

    def count(self, fills: list[Watched]) -> None:
        """One cask: each leak found or missed, and all its time without one, up to the first alarm, as that of a sound cask."""
        for one in fills:
            hole = one.fill.leak
            if hole is None and one.said:
                self.said[one.said[-1][1]] += 1
            elif hole is not None:
                size, found = size_of(one.fill), one.found()
                self.leaks[size, found] += 1
                if size in ("large", "middle") and not (found and one.kept()):
                    self.kinds[f"{'no more said of' if found else 'missed'} {size}: {hole.kind}"] += 1
        self._alarm("act", ("act",), fills)
        self._alarm("any", ALARMS, fills)

    def _alarm(self, sort: str, levels: tuple[str, ...], fills: list[Watched]) -> None:
        for one in fills:
            fill = one.fill
            until = fill.end if fill.leak is None else fill.leak.onset
            day = one.first(levels, until)
            self.days[sort] += ((day or until) - fill.start).days
            if day is not None:
                self.alarms[sort] += 1
                slips = [gauge.slip for gauge in fill.gauges if gauge.slip and gauge.day <= day]
                why = f"slip ({slips[-1]})" if slips else _where(day - fill.start)
                self.kinds[f"{'act' if sort == 'act' else 'act or watch'}: {why}"] += 1
                return


def _where(after: timedelta) -> str:
    return f"{'first' if after.days < 1.2 * YEAR else 'later'} gauges"


Table = dict[tuple[str, float], Tally]
"""By habit and the store's base rate."""


def score(casks_per_habit: int, seed: int, habits: tuple[Habit, ...] = HABITS, rates: tuple[float, ...] = BASE_RATES) -> Table:
    """The tallies of one house of so many casks for every habit, with a store for each base rate; the same for the same seed."""
    table: Table = {}
    for habit in habits:
        chance = Random(f"{seed} {habit.name}")
        house = world(chance, habit, rates)
        for fills in watch(house, [story(chance, house, n) for n in range(casks_per_habit)]):
            table.setdefault((habit.name, fills[0].fill.store.rate), Tally()).count(fills)
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
