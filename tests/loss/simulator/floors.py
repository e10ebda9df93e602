"""What the verdicts have to reach, and when a count that chance alone may bring is no proof that they do not.

By habit and by base rate the floors hold as they stand. For a cell of both, and for runs of a few casks, a count fails only where it
would come up in fewer than `DOUBT` of all runs if the true share were just at the floor: that says nothing of the verdicts but that they
are surely below. So the strict word is that of the many seeds of the slow run.
"""

from __future__ import annotations

import math

from loss.simulator.scoring import Table, Tally, by_habit, by_rate

RECALL = {"large": 0.95, "middle": 0.70}
"""Least share of the leaks of a size that is found."""
ALARMS = {"act": 0.01, "any": 0.04}
"""Most alarms of a sound cask in a decade: of `act`, and of `act` or `watch`."""
DOUBT = 0.001
_WORDS = {"large": "found of leaks of 3 times and more", "middle": "found of leaks of 2 to 3 times", "act": "act on sound casks", "any": "act or watch"}


def broken(table: Table) -> list[str]:
    """The floors that do not hold over many seeds: habits and base rates strictly, a cell of both where it is surely below."""
    found = [line for habit, tally in by_habit(table).items() for line in failures(habit, tally)]
    found += [line for rate, tally in by_rate(table).items() for line in failures(f"{100 * rate:g} % a year", tally)]
    return found + [line for (habit, rate), tally in table.items() for line in failures(f"{habit}, {100 * rate:g} %", tally, DOUBT)]


def failures(name: str, tally: Tally, doubt: float = 0.0) -> list[str]:
    """The floors that a tally does not reach; with `doubt` above 0 only those that chance would break as often as that or less."""
    found = []
    for size, floor in RECALL.items():
        hits, every = tally.of(size)
        if every and hits < floor * every and (not doubt or at_most(hits, every, floor) < doubt):
            found.append(f"{name}: {_WORDS[size]} {hits} of {every}, {100 * hits / every:.1f} %: floor {100 * floor:g} %")
    for sort, most in ALARMS.items():
        alarms, decades = tally.alarms[sort], tally.decades(sort)
        if alarms > most * decades and (not doubt or at_least(alarms, most * decades) < doubt):
            found.append(f"{name}: {_WORDS[sort]} {100 * tally.a_decade(sort):.2f} % a decade ({alarms}): at most {100 * most:g} %")
    return found


def at_most(hits: int, every: int, share: float) -> float:
    """Chance of so many or fewer hits of all, each with this share (binomial)."""
    return math.fsum(math.comb(every, n) * share**n * (1 - share) ** (every - n) for n in range(hits + 1))


def at_least(count: int, mean: float) -> float:
    """Chance of so many or more where so many are the mean (Poisson)."""
    return 1.0 - math.fsum(math.exp(n * math.log(mean) - mean - math.lgamma(n + 1)) for n in range(count)) if mean > 0 else 0.0
