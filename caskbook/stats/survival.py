"""Survival with delayed entry and censoring: the product-limit curve, its band and median, ends by kind, and the log-rank test.

Pure arithmetic, of times in whatever unit the caller has; it knows nothing of casks. Sources are named from memory, the results are held
to published values and to another program by the tests: Kaplan and Meier 1958 (product limit), Greenwood 1926 (its variance),
Aalen and Johansen 1978 (ends by kind), Mantel 1966 (log-rank), Klein and Moeschberger, Survival Analysis, chapter 4 (left truncation,
log-log intervals) and chapter 7 (several groups).
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

Z_95 = 1.959963984540054
"""The 97.5 % point of the standard normal distribution."""
_EXACT = 1e-12


class Subject(NamedTuple):
    """One observed span, or `weight` alike. `entry`: the time from which it is watched, None from the very beginning; `exit`: when it ended, or
    was last seen; `kind`: of which end, empty where it had none (censored)."""

    entry: float | None
    exit: float
    kind: str = ""
    weight: int = 1

    @property
    def watched(self) -> bool:
        """Whether any time of it is watched: who comes in when it is over tells nothing."""
        return self.entry is None or self.entry < self.exit


class Step(NamedTuple):
    """What happened at one time: how many were at risk just before, how many ended and of which kinds; then the share that goes on, its band
    (None where the share is 0 or 1: the log-log interval has none), and by kind the share that had ended so."""

    time: float
    at_risk: int
    ends: int
    kinds: Mapping[str, int]
    survival: float
    band: tuple[float, float] | None
    incidence: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Span:
    """The stretch of time over which enough are at risk. `since`: None from the very beginning; `until`: the last such time."""

    since: float | None
    until: float


class RiskSet:
    """How many are watched at a time: those that entered before it and had not left before it (Klein and Moeschberger 4.6)."""

    def __init__(self, subjects: Iterable[Subject]) -> None:
        """Those that are watched at all are summed by the time at which they enter, leave and end."""
        entries: dict[float, int] = {}
        exits: dict[float, int] = {}
        self._ends: dict[float, dict[str, int]] = {}
        for entry, left, kind, weight in subjects:
            entry = -math.inf if entry is None else entry
            if entry >= left:  # It is not watched at all.
                continue
            entries[entry] = entries.get(entry, 0) + weight
            exits[left] = exits.get(left, 0) + weight
            if kind:
                kinds = self._ends.setdefault(left, {})
                kinds[kind] = kinds.get(kind, 0) + weight
        self._entries, self._entered = _summed(entries)
        self._exits, self._left = _summed(exits)

    @classmethod
    def of(cls, subjects: Iterable[Subject] | RiskSet) -> RiskSet:
        """The set of these subjects, or that which is one already."""
        return subjects if isinstance(subjects, RiskSet) else cls(subjects)

    def at(self, time: float) -> int:
        """Σ weight of those with entry < time ≤ exit."""
        entered, left = bisect_left(self._entries, time), bisect_left(self._exits, time)
        return self._entered[entered] - self._left[left]

    def after(self, time: float) -> int:
        """The same just after a time: who enters at it is in, who leaves at it is out."""
        return self._entered[bisect_right(self._entries, time)] - self._left[bisect_right(self._exits, time)]

    def ends(self) -> dict[float, dict[str, int]]:
        """Time → kind → how many ended, in order of time."""
        return dict(sorted(self._ends.items()))

    @property
    def turns(self) -> list[float]:
        """Every time at which the number at risk may change, in order, -inf where somebody is watched from the beginning."""
        return sorted({*self._entries, *self._exits})


def _summed(counts: Mapping[float, int]) -> tuple[list[float], list[int]]:
    """Times in order, and before each of them (and after the last) how many there are."""
    ordered = sorted(counts.items())
    return [time for time, _ in ordered], [0, *accumulate(count for _, count in ordered)]


def kaplan_meier(subjects: Iterable[Subject] | RiskSet, *, since: float | None = None, until: float = math.inf) -> list[Step]:
    """The product-limit curve, a step for each time at which any ended, given that it still goes on at `since` and no further than `until`.

    S(t) = Π (1 - d/n) over ends after `since` up to t (Kaplan and Meier 1958), n counted with delayed entry; band: `log_log_band`;
    incidence of a kind = Σ S(t-) d_kind/n (Aalen and Johansen 1978), so that all incidences and S sum to 1.
    """
    risk, survival, variance = RiskSet.of(subjects), 1.0, 0.0
    incidence: dict[str, float] = {}
    steps = []
    for time, kinds in risk.ends().items():
        if time > until or (since is not None and time <= since):
            continue
        at_risk, ends = risk.at(time), sum(kinds.values())
        for kind, count in kinds.items():
            incidence[kind] = incidence.get(kind, 0.0) + survival * count / at_risk
        survival *= 1 - ends / at_risk
        variance += math.inf if ends == at_risk else ends / (at_risk * (at_risk - ends))
        steps.append(Step(time, at_risk, ends, kinds, survival, log_log_band(survival, variance), dict(incidence)))
    return steps


def log_log_band(survival: float, variance: float, z: float = Z_95) -> tuple[float, float] | None:
    """(lower, upper) of S^exp(±z σ/ln S), within 0 to 1 by its form (Klein and Moeschberger 4.3.2). `variance`: Greenwood's sum Σ d/(n(n-d)),
    that of ln S (Greenwood 1926). None where S is 0 or 1, for which it is not defined."""
    if not 0.0 < survival < 1.0:
        return None
    width = z * math.sqrt(variance) / abs(math.log(survival))
    return survival ** math.exp(width), survival ** math.exp(-width)


def survival_at(steps: Sequence[Step], time: float) -> float:
    """The share that still goes on at a time; 1 before the first end."""
    at = bisect_right([step.time for step in steps], time)
    return steps[at - 1].survival if at else 1.0


class Median(NamedTuple):
    """The first time at which no more than half go on, and that of each edge of the band (Brookmeyer and Crowley 1982); None: not reached."""

    time: float | None
    lower: float | None
    upper: float | None


def median_of(steps: Sequence[Step]) -> Median:
    """The median of a curve and its interval, in the unit of the steps."""
    return Median(
        next((step.time for step in steps if step.survival <= 0.5 + _EXACT), None),
        next((step.time for step in steps if (step.band[0] if step.band else step.survival) <= 0.5 + _EXACT), None),
        next((step.time for step in steps if step.band and step.band[1] <= 0.5 + _EXACT), None),
    )


def well_held(subjects: Iterable[Subject] | RiskSet, least: int) -> Span | None:
    """The stretch over which `least` or more are always at risk and in which most ends fall, the earliest of these; None where there is none.

    With delayed entry few may be at risk early on, and one end of one at risk would set the curve to 0 for good: so it begins where
    enough are watched, given that a span lasted so long, and ends where too few are left (Klein and Moeschberger 4.6 condition alike).
    """
    risk = RiskSet.of(subjects)
    ends = {time: sum(kinds.values()) for time, kinds in risk.ends().items()}
    best: tuple[int, Span] | None = None
    begun: float | None = None
    for time, after in [(turn, risk.after(turn)) for turn in risk.turns]:
        if begun is None and after >= least:
            begun = time
        elif begun is not None and after < least:
            held = Span(None if begun == -math.inf else begun, time)
            inside = sum(count for at, count in ends.items() if begun < at <= time)
            best = (inside, held) if best is None or inside > best[0] else best
            begun = None
    return best[1] if best is not None and best[0] else None


class LogRank(NamedTuple):
    """The test of several groups: chi-square with `freedom` degrees, its p, and by group the ends there were and those to be expected."""

    chi_square: float
    freedom: int
    p: float
    observed: Mapping[str, int]
    expected: Mapping[str, float]


def log_rank(groups: Mapping[str, Sequence[Subject] | RiskSet]) -> LogRank | None:
    """Whether groups end at the same rates: Mantel 1966 for two, and for k groups chi-square with k - 1 degrees of freedom (Klein and
    Moeschberger 7.3), delayed entry through the numbers at risk. None where nothing can be compared: fewer than two groups, or no
    time at which two of them are at risk.
    """
    names = list(groups)
    risks = {name: RiskSet.of(groups[name]) for name in names}
    ends = {name: {time: sum(kinds.values()) for time, kinds in risks[name].ends().items()} for name in names}
    observed, expected = dict.fromkeys(names, 0), dict.fromkeys(names, 0.0)
    size = len(names) - 1
    covariance = [[0.0] * size for _ in range(size)]
    for time in sorted({time for found in ends.values() for time in found}):
        at_risk = [risks[name].at(time) for name in names]
        whole, died = sum(at_risk), sum(ends[name].get(time, 0) for name in names)
        spread = died * (whole - died) / (whole - 1) if whole > 1 else 0.0
        shares = [count / whole for count in at_risk]
        for name, share in zip(names, shares, strict=True):
            observed[name] += ends[name].get(time, 0)
            expected[name] += died * share
        for i in range(size):
            for j in range(size):
                covariance[i][j] += spread * shares[i] * ((i == j) - shares[j])
    surplus = [observed[name] - expected[name] for name in names[:-1]]
    solved = _solved(covariance, surplus) if size > 0 else None
    if solved is None:
        return None
    chi = max(0.0, sum(x * y for x, y in zip(surplus, solved, strict=True)))
    return LogRank(chi, size, chi_square_tail(chi, size), observed, expected)


def _solved(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float] | None:
    """x of matrix · x = right, by elimination with row pivots; None where the matrix is singular."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    size = len(rows)
    scale = max((abs(value) for row in matrix for value in row), default=0.0)
    for n in range(size):
        pivot = max(range(n, size), key=lambda r: abs(rows[r][n]))
        if abs(rows[pivot][n]) <= _EXACT * scale:
            return None
        rows[n], rows[pivot] = rows[pivot], rows[n]
        for r in range(size):
            if r != n:
                part = rows[r][n] / rows[n][n]
                rows[r] = [mine - part * other for mine, other in zip(rows[r], rows[n], strict=True)]
    return [rows[n][size] / rows[n][n] for n in range(size)]


def chi_square_tail(value: float, freedom: int) -> float:
    """P(χ² > value) with `freedom` ≥ 1 degrees: the upper incomplete gamma function Q(freedom/2, value/2), built up from Q(1/2, x) = erfc(√x) or
    Q(1, x) = e^-x by Q(a + 1, x) = Q(a, x) + x^a e^-x / Γ(a + 1) (Abramowitz and Stegun 6.5.21, from memory)."""
    x = value / 2
    if x <= 0:
        return 1.0
    a, found = (0.5, math.erfc(math.sqrt(x))) if freedom % 2 else (1.0, math.exp(-x))
    while a < freedom / 2:
        found += math.exp(a * math.log(x) - x - math.lgamma(a + 1))
        a += 1
    return min(1.0, found)
