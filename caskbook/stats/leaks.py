"""Leaks of filled casks: how many were found in how many cask-years, by place of the day, and what came of them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import median
from typing import Any, Literal, NamedTuple, get_args

from caskbook.core.days import DAYS_PER_YEAR, add_days
from caskbook.life.leaks import EMPTIED, HEALED, LEFT, NO_LEAK, OPEN, REPAIRED, Leak, Lying, Spell
from caskbook.model.places import PlaceError, parse_place
from caskbook.stats.intervals import Interval, rate_exact
from caskbook.stats.report_head import UNKNOWN, most_first
from caskbook.stats.stock import AWAY, MISSING, NO_STORE

By = Literal["store", "row", "type", "spirit", "supplier", "position"]
BY: tuple[By, ...] = get_args(By)
NO_BERTH = "no berth"
SMALL_YEARS = 100
"""A rate over fewer cask-years is said to be of few: common practice, no source."""
_WORST = ("run", "drip", "weep")
Cask = tuple[Mapping[str, Any], Sequence[Leak], Sequence[Spell]]
"""The facts of a cask (cask, type, supplier), its leaks, and the spells that it lay filled."""


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


class Month(NamedTuple):
    """What was found in a month, and what healed and was repaired in it, whenever it was found; the cask-years of the month."""

    month: str
    found: int
    healed: int
    repaired: int
    years: float


class OpenLeak(NamedTuple):
    """A leak that is open on the day; `lies`: where the cask lies on that day, wherever it lay when the leak was found."""

    cask: str
    leak: Leak
    lies: Lying


@dataclass(frozen=True, slots=True)
class Leaks:
    """All that is told. `casks`: how many were ever filled within the filters; `by_job`: what repaired them → how many, "" where the look alone says so;
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


def leaks_of(casks: Iterable[Cask], by: By, day: date, places: Mapping[str, Sequence[str]] | None = None) -> Leaks:
    """The account of these casks up to a day. `places`: of store, spirit and berth the words, any of which fits where the cask lay and what was in it at
    the time; both leaks and cask-years of other times and places are left out."""
    named: defaultdict[str, _Counting] = defaultdict(_Counting)
    whole, filled, steps = _Counting(), 0, Counter[date]()
    kept: list[OpenLeak] = []
    again = no_leak = 0
    for facts, leaks, spells in casks:
        inside = [spell for spell in spells if _fits(spell.lying, places)] if places else spells
        filled += bool(inside)
        for spell in inside:
            end = spell.end or day
            steps[spell.start] += 1
            steps[end] -= 1
            days = (end - spell.start).days
            whole.days += days
            if by != "position":
                named[_name(by, facts, spell.lying)].days += days
        for leak in leaks:
            if places and not _fits(leak.lying, places):
                continue
            no_leak += leak.outcome == NO_LEAK
            if leak.outcome != NO_LEAK:
                again += leak.again
                kept.append(OpenLeak(facts["cask"], leak, spells[-1].lying if spells else leak.lying))
                for counting in (whole, named[_position(leak.at) if by == "position" else _name(by, facts, leak.lying)]):
                    counting.leaks += 1
                    counting.ends[leak.outcome] += 1
    groups = [counting.group(name, whole.days if by == "position" else None) for name, counting in named.items()]
    found = [one.leak for one in kept]
    return Leaks(
        by, tuple(sorted(groups, key=_worst_first)), whole.group("all"), filled, _months(found, steps, day), _open(kept),
        most_first(Counter(leak.by for leak in found if leak.outcome == REPAIRED)), _after(found, HEALED), _after(found, REPAIRED), again, no_leak,
    )  # fmt: skip


def _fits(lying: Lying, places: Mapping[str, Sequence[str]]) -> bool:
    berth = places.get("berth")
    if berth and not (lying.row or "").startswith(tuple(berth)):
        return False
    return all(not places.get(name) or getattr(lying, name) in places[name] for name in ("store", "spirit"))


def _name(by: By, facts: Mapping[str, Any], lying: Lying) -> str:
    """The group of a place of the day, or of the cask."""
    if by in ("store", "row") and lying.where != "here":
        return AWAY if lying.where == "away" else MISSING
    if by == "store":
        return lying.store or NO_STORE
    if by == "row":
        return lying.row or NO_BERTH
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


def _months(leaks: Sequence[Leak], steps: Mapping[date, int], day: date) -> tuple[Month, ...]:
    """Every month from that of the first filling to that of the day."""
    days = _filled_days(steps, day)
    found = Counter(f"{leak.day:%Y-%m}" for leak in leaks)
    ended = Counter((f"{leak.ended:%Y-%m}", leak.outcome) for leak in leaks if leak.ended is not None)
    return tuple(Month(month, found[month], ended[month, HEALED], ended[month, REPAIRED], count / DAYS_PER_YEAR) for month, count in days.items())


def _filled_days(steps: Mapping[date, int], day: date) -> dict[str, int]:
    """Month → days that casks lay filled in it, all together. `steps`: day → by how many more, or fewer, lie filled from then on."""
    found: dict[str, int] = {}
    if not steps:
        return found
    at, filled = min(steps), 0
    turns = sorted({*steps, *_firsts(at, day), add_days(day, 1)})
    for now, then in zip(turns, turns[1:], strict=False):
        filled += steps.get(now, 0)
        month = f"{now:%Y-%m}"
        # The day of the report itself is over no more than any other day on which a spell ends.
        found[month] = found.get(month, 0) + filled * (min(then, day) - now).days
    return found


def _firsts(since: date, day: date) -> Iterable[date]:
    """The first days of the months after a day, up to another."""
    months = range(12 * since.year + since.month, 12 * day.year + day.month)
    return (date(month // 12, month % 12 + 1, 1) for month in months)
