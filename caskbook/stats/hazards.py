"""Curves by month: how likely a stretch that has lasted so many months ends in the next one, with delayed entry and censoring.

Pure arithmetic over counted stretches; it knows nothing of casks. The product-limit estimate of Kaplan and Meier 1958 in discrete time,
with left truncation as in Klein and Moeschberger, Survival Analysis, chapter 4; named from memory, held to another program by the tests.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

LEAST_ENDS = 20
"""From how many ends on a curve, and a range, is given: as in the report of service. Common practice, no source."""
IN_A_STEP = 10
"""So many ends at least are in one step of a curve, save where all of it has fewer: a choice of this program, no source."""


class Stretch(NamedTuple):
    """Stretches alike, so `many` of them. `start`: the month in which they began; `end`: that in which they ended or were last seen, None while they
    last; `how`: the word of the end."""

    start: int
    end: int | None
    how: str
    many: int


@dataclass(frozen=True, slots=True)
class Curve:
    """`rates[age]`: the share of those still there at an age in months that ends in this month, the last for all later ages too; `ends`: how many
    ends it is made of; `at_risk`: in the same steps, how many stretch-months were watched for each age's rate."""

    rates: tuple[float, ...]
    ends: int
    at_risk: tuple[float, ...]

    def rate(self, age: int) -> float:
        """The rate at an age, from 0 months on."""
        return self.rates[min(age, len(self.rates) - 1)] if self.rates else 0.0

    def survival(self) -> list[float]:
        """The share that still goes on after each month: Π (1 - rate)."""
        return list(accumulate((1 - rate for rate in self.rates), lambda so_far, share: so_far * share))


@dataclass(frozen=True, slots=True)
class Watched:
    """From which month up to which, both in it, stretches are looked at."""

    first: int
    last: int

    @property
    def months(self) -> int:
        """How many months that is."""
        return max(0, self.last - self.first + 1)


def counts_by_age(stretches: Iterable[Stretch], how: str, watched: Watched) -> tuple[list[int], list[int]]:
    """(at risk, ended so) by age in whole months. At risk at an age are those watched in the month in which they had it: a stretch that had
    begun before `watched` comes in late, and one that ends after it, or otherwise, is censored."""
    risk: dict[int, int] = {}
    ended: dict[int, int] = {}
    for start, end, word, count in stretches:
        first = max(0, watched.first - start)
        last = (watched.last if end is None else min(end, watched.last)) - start
        if last < first:
            continue
        risk[first] = risk.get(first, 0) + count
        risk[last + 1] = risk.get(last + 1, 0) - count
        if word == how and end is not None and end <= watched.last:
            ended[last] = ended.get(last, 0) + count
    most = max(risk, default=0)
    return list(accumulate(risk.get(age, 0) for age in range(most))), [ended.get(age, 0) for age in range(most)]


def curve_of(stretches: Iterable[Stretch], how: str, watched: Watched, in_a_step: int = IN_A_STEP) -> Curve:
    """The curve of the ends of one kind, smoothed into steps of at least so many ends, or of none before an age that has so many alone."""
    risk, ended = counts_by_age(stretches, how, watched)
    steps = _steps(ended, in_a_step)
    rates: list[float] = []
    at_risk: list[float] = []
    for first, past in steps:
        watched_months, ends = sum(risk[first:past]), sum(ended[first:past])
        rates += [ends / watched_months if watched_months else 0.0] * (past - first)
        at_risk += [float(watched_months)] * (past - first)
    return Curve(tuple(rates), sum(ended), tuple(at_risk))


def _steps(ended: Sequence[int], least: int) -> list[tuple[int, int]]:
    """(first age, first age behind) of each step. An age with ends enough of its own is one, so that what ends all at one age is not smeared over those
    before it; what is left over at the end joins the last one."""
    steps: list[tuple[int, int]] = []
    first = found = 0
    for age, count in enumerate(ended):
        if count >= least and first < age:
            steps.append((first, age))
            first, found = age, 0
        found += count
        if found >= least:
            steps.append((first, age + 1))
            first, found = age + 1, 0
    if first < len(ended):
        begun = steps.pop()[0] if steps and 0 < found < least else first
        steps.append((begun, len(ended)))
    return steps


def expected_by_month(stretches: Iterable[Stretch], curve: Curve, watched: Watched) -> list[float]:
    """How many ends the curve expects in each watched month of those that were there then."""
    there: dict[int, dict[int, int]] = {}
    for start, end, _, count in stretches:
        first, last = max(start, watched.first), watched.last if end is None else min(end, watched.last)
        if first <= last:
            turns = there.setdefault(start, {})
            turns[first] = turns.get(first, 0) + count
            turns[last + 1] = turns.get(last + 1, 0) - count
    found = [0.0] * watched.months
    oldest = watched.last - min(there, default=0)
    rates = [curve.rate(age) for age in range(oldest + 1)]
    for start, turns in there.items():
        now, first = 0, min(turns)
        for month in range(first, min(watched.last, max(turns)) + 1):
            now += turns.get(month, 0)
            if now:
                found[month - watched.first] += now * rates[month - start]
    return found
