"""Leaks of filled casks: how many were found in how many cask-years, by place of the day, and what came of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import median
from typing import Any, Literal, NamedTuple, get_args

from caskbook.core.days import DAYS_PER_YEAR, LAST_DAY
from caskbook.core.period import Period, whole_time
from caskbook.life.leaks import EMPTIED, HEALED, LEFT, NO_LEAK, OPEN, REPAIRED, Leak, Lying, Spell
from caskbook.model.places import PlaceError, parse_place
from caskbook.stats.intervals import Interval, rate_exact
from caskbook.stats.leak_months import Month, months_of
from caskbook.stats.report_head import UNKNOWN, most_first
from caskbook.stats.stock import AWAY, MISSING, NO_STORE

By = Literal["store", "row", "type", "spirit", "supplier", "position", "ledger"]
BY_OF_SEVERAL: tuple[By, ...] = get_args(By)
"""Where several ledgers are told of, of which each cask then has its own among its facts."""
BY: tuple[By, ...] = BY_OF_SEVERAL[:-1]
NO_BERTH = "no berth"
SMALL_YEARS = 100
"""A rate over fewer cask-years is said to be of few: common practice, no source."""
_WORST = ("run", "drip", "weep")
Cask = tuple[Mapping[str, Any], Sequence[Leak], Sequence[Spell]]
"""The facts of a cask (cask, type, supplier, and of several ledgers its own), its leaks, and the spells that it lay filled."""


@dataclass(frozen=True, slots=True)
class Group:
    """Leaks found in a group of places, and the cask-years that casks lay filled there; `ends`: what came of them → how many."""

    name: str
    leaks: int
    years: float
    ends: Mapping[str, int]

    @property
    def rate(self) -> float | None:
        """Leaks found per 1,000 cask-years; None in no time."""
        return 1000 * self.leaks / self.years if self.years > 0 else None

    @property
    def interval(self) -> Interval | None:
        """The exact interval of the rate."""
        return rate_exact(self.leaks, self.years)

    @property
    def small(self) -> bool:
        """Whether it is of few cask-years."""
        return self.years < SMALL_YEARS


class OpenLeak(NamedTuple):
    """A leak that is open on the day; `lies`: where the cask lies on that day, wherever it lay when the leak was found; `berth`: the whole
    of its berth there."""

    cask: str
    leak: Leak
    lies: Lying
    berth: str | None = None


@dataclass(frozen=True, slots=True)
class Leaks:
    """All that is told, of the period. `casks`: how many were filled in it within the filters; `by_job`: what repaired them → how many, "" where the look alone says so;
    `healed_after`, `repaired_after`: the middle of the days from finding to dry; `again`: entered again while open, the same leak; `no_leak`: looked at and
    found to be none, in no figure."""

    by: By
    groups: tuple[Group, ...]
    whole: Group
    casks: int
    months: tuple[Month, ...]
    open: tuple[OpenLeak, ...]
    by_job: Mapping[str, int]
    healed_after: float | None
    repaired_after: float | None
    again: int
    no_leak: int


@dataclass(slots=True)
class _Counting:
    """One group while it is counted, in days."""

    leaks: int = 0
    days: int = 0
    ends: Counter[str] = field(default_factory=Counter)

    def group(self, name: str, days: int | None = None) -> Group:
        """What was counted, under a name; over so many days, where its own are not told apart."""
        return Group(
            name, self.leaks, (self.days if days is None else days) / DAYS_PER_YEAR, {end: self.ends[end] for end in (HEALED, REPAIRED, OPEN, EMPTIED, LEFT)}
        )


@dataclass(slots=True)
class _Account:
    """The account while casks are added. `every`: leaks of all days, `kept`: those found in the period."""

    by: By
    period: Period
    whole: _Counting = field(default_factory=_Counting)
    named: defaultdict[str, _Counting] = field(default_factory=lambda: defaultdict(_Counting))
    steps: Counter[date] = field(default_factory=Counter)
    every: list[Leak] = field(default_factory=list)
    kept: list[OpenLeak] = field(default_factory=list)
    filled: int = 0
    no_leak: int = 0
    begun: date = LAST_DAY

    def add(self, facts: Mapping[str, Any], leaks: Sequence[Leak], spells: Sequence[Spell], lies: Lying | None) -> None:
        """The leaks and spells of one cask more, and where it lies now."""
        known = len(self.kept)
        for leak in leaks:
            self._found(facts, leak, lies or leak.lying)
            self.begun = min(self.begun, leak.day)
        if spells and spells[0].start < self.begun:
            self.begun = spells[0].start
        self.filled += self._lay(facts, spells) or len(self.kept) > known

    def _lay(self, facts: Mapping[str, Any], spells: Sequence[Spell]) -> bool:
        """Its days in the period; whether it lay filled on one of them at least for a part."""
        period, steps, by, met = self.period, self.steps, self.by, False
        for lying, begins, ends in spells:
            met = met or period.meets(begins, ends)
            start, end = period.part_of(begins, ends)
            days = (end - start).days
            # One that begins on the day of the report has no days yet, and its place is told all the same.
            if days or begins == period.last:
                steps[start] += 1
                steps[end] -= 1
                self.whole.days += days
                if by != "position":
                    self.named[_name(by, facts, lying)].days += days
        return met

    def _found(self, facts: Mapping[str, Any], leak: Leak, lies: Lying) -> None:
        held, none = self.period.holds(leak.day), leak.outcome == NO_LEAK
        self.no_leak += held and none
        if none:
            return
        self.every.append(leak)
        if held:
            self.kept.append(OpenLeak(facts["cask"], leak, lies, facts.get("berth") if lies.row else None))
            for counting in (self.whole, self.named[_position(leak.at) if self.by == "position" else _name(self.by, facts, leak.lying)]):
                counting.leaks += 1
                counting.ends[leak.outcome] += 1


def leaks_of(casks: Iterable[Cask], by: By, day: date, places: Mapping[str, Sequence[str]] | None = None, period: Period | None = None) -> Leaks:
    """The account of these casks up to a day. `places`: of store, spirit and berth the words, any of which fits where the cask lay and what was in it at
    the time; both leaks and cask-years of other times and places are left out. `period`: so are those of other days; what came of a leak is told up to `day`."""
    told = _Account(by, period or whole_time(day))
    for facts, leaks, spells in casks:
        lies = spells[-1].lying if spells else None
        if places:
            leaks, spells = [leak for leak in leaks if fits(leak.lying, places)], [spell for spell in spells if fits(spell.lying, places)]
        told.add(facts, leaks, spells, lies)
    groups = [counting.group(name, told.whole.days if by == "position" else None) for name, counting in told.named.items()]
    found = [one.leak for one in told.kept]
    return Leaks(
        by, tuple(sorted(groups, key=_worst_first)), told.whole.group("all"), told.filled, months_of(told.every, told.steps, told.period, told.begun),
        _open(told.kept), most_first(Counter(leak.by for leak in found if leak.outcome == REPAIRED)), _after(found, HEALED), _after(found, REPAIRED),
        sum(leak.again for leak in found), told.no_leak,
    )  # fmt: skip


def fits(lying: Lying, places: Mapping[str, Sequence[str]]) -> bool:
    """Whether a filled cask lay in one of these stores, at a berth that begins so, and held one of these spirits."""
    berth = places.get("berth")
    if berth and not (lying.row or "").startswith(tuple(berth)):
        return False
    return all(not places.get(name) or getattr(lying, name) in places[name] for name in ("store", "spirit"))


def _name(by: By, facts: Mapping[str, Any], lying: Lying) -> str:
    """The group of a place of the day, or of the cask."""
    if by in ("store", "row"):
        here = (lying.store or NO_STORE) if by == "store" else (lying.row or NO_BERTH)
        name = here if lying.where == "here" else AWAY if lying.where == "away" else MISSING
        return f"{facts['ledger']}:{name}" if "ledger" in facts else name
    return str((lying.spirit if by == "spirit" else facts[by]) or UNKNOWN)


def _position(at: str) -> str:
    """The kind of place on the cask."""
    try:
        return {"piece": "head piece", "head-joint": "head joint"}.get(kind := parse_place(at).kind, kind)
    except PlaceError:
        return UNKNOWN


def _worst_first(group: Group) -> tuple[bool, float, str]:
    interval = group.interval
    return group.name == UNKNOWN, -interval.lower if interval else 0.0, group.name


def _after(leaks: Sequence[Leak], outcome: str) -> float | None:
    days = [(leak.ended - leak.day).days for leak in leaks if leak.outcome == outcome and leak.ended is not None]
    return median(days) if days else None


def _open(kept: Sequence[OpenLeak]) -> tuple[OpenLeak, ...]:
    """Those that are open, a run before a drip before a weep as they were last seen, the oldest first."""
    found = [one for one in kept if one.leak.outcome == OPEN]
    rank = {word: n for n, word in enumerate(_WORST)}
    return tuple(sorted(found, key=lambda one: (rank.get(one.leak.seen, len(rank)), one.leak.day, one.cask, one.leak.at)))
