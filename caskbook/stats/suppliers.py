"""What suppliers sent: how many casks failed their first test, what was found in time for a claim, what is still unexamined, what they lose."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import median
from typing import Literal, NamedTuple, get_args

from caskbook.core.period import Period
from caskbook.due.receipts import FAILED, PASSED, Received
from caskbook.stats.control_chart import Chart, p_chart
from caskbook.stats.intervals import Interval, wilson
from caskbook.stats.report_head import UNKNOWN, most_first

By = Literal["supplier", "parcel", "ledger"]
BY_OF_SEVERAL: tuple[By, ...] = get_args(By)
"""Where several ledgers are told of, in which the number of a cask stands behind its ledger."""
BY: tuple[By, ...] = BY_OF_SEVERAL[:-1]
SMALL = 20
"""A share of fewer is said to be of few: common practice, no source."""
SMALL_MONTH = 10
"""A month with fewer first tests is not held against the limits of the chart: common practice, no source."""


class Loss(NamedTuple):
    """A fill against its peers: the yearly share it lost and the middle of its kind (type, store and band), both as of a 200 L cask, and how many fills that
    kind has, itself included."""

    rate: float
    middle: float
    peers: int


class Cask(NamedTuple):
    """A cask as it is counted: its receipt, None where it came from nobody; its fills against their kinds."""

    cask: str
    supplier: str | None
    parcel: str | None
    received: Received | None
    losses: Sequence[Loss] = ()


class Share(NamedTuple):
    """`found` of so many."""

    found: int
    of: int

    @property
    def part(self) -> float | None:
        """The share, 0 to 1; None of nothing."""
        return self.found / self.of if self.of else None

    @property
    def interval(self) -> Interval | None:
        """The interval of Wilson."""
        return wilson(self.found, self.of)

    @property
    def small(self) -> bool:
        """Whether it is of few."""
        return self.of < SMALL


@dataclass(frozen=True, slots=True)
class Group:
    """What a supplier, or a parcel, sent. `failed`: of those tested before anything was filled in, how many failed the first time; `untested`: why the others
    have no such test → how many; `found`: of those received with a last day for a claim, on how many something was found up to the last day for a claim, `decided`: on
    how many of these a person decided; `running`: whose last day is to come, `unexamined`: of these not looked into; `more`: of the fills
    that can be held against their kind, how many lost more than its middle, `times`: the middle of how many times as much, `apart`: fills without enough peers."""

    name: str
    received: int
    failed: Share
    untested: Mapping[str, int]
    found: Share
    decided: int
    running: int
    unexamined: int
    more: Share
    times: float | None
    apart: int


@dataclass(frozen=True, slots=True)
class Claims:
    """Casks of a supplier and parcel whose last day for a claim is the same, not yet over. `unexamined`: their numbers; `undecided`: numbers of those on
    which something was found that nobody decided on."""

    to: date
    supplier: str
    parcel: str
    casks: int
    unexamined: tuple[str, ...]
    undecided: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Suppliers:
    """All that is told. `not_received`: casks that were made here or came from nobody; `other_days`: received outside of the period; `left`: casks that left before the last day for a claim,
    which is to come: in no line of `claims`."""

    by: By
    groups: tuple[Group, ...]
    whole: Group
    not_received: int
    chart: Chart
    claims: tuple[Claims, ...]
    left: int
    other_days: int = 0


@dataclass(slots=True)
class _Counting:
    """One group while it is counted."""

    received: int = 0
    claimable: int = 0
    failed: int = 0
    tested: int = 0
    found: int = 0
    decided: int = 0
    running: int = 0
    unexamined: int = 0
    apart: int = 0
    untested: Counter[str] = field(default_factory=Counter)
    times: list[float] = field(default_factory=list)

    def add(self, one: Received, losses: Sequence[Loss], day: date, fewest: int) -> None:
        """One cask more; a fill is held against its kind where that has `fewest` fills."""
        self.received += 1
        self.claimable += one.claims_to is not None
        if one.tested is None:
            self.untested[one.result] += 1
        else:
            self.tested += 1
            self.failed += one.result == FAILED
        self.found += bool(one.faults)
        self.decided += bool(one.faults and one.decided)
        if is_running(one, day):
            self.running += 1
            self.unexamined += one.examined is None
        for loss in losses:
            if loss.peers < fewest or loss.middle <= 0:
                self.apart += 1
            else:
                self.times.append(loss.rate / loss.middle)

    def include(self, other: _Counting) -> None:
        """Another group, whole."""
        for name in ("received", "claimable", "failed", "tested", "found", "decided", "running", "unexamined", "apart"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.untested += other.untested
        self.times += other.times

    def group(self, name: str) -> Group:
        """What was counted, under a name."""
        more = sum(times > 1 for times in self.times)
        return Group(
            name, self.received, Share(self.failed, self.tested), most_first(self.untested), Share(self.found, self.claimable), self.decided,
            self.running, self.unexamined, Share(more, len(self.times)), median(self.times) if self.times else None, self.apart,
        )  # fmt: skip


def is_running(one: Received, day: date) -> bool:
    """Whether a claim can still be made on a cask, and the cask is still there."""
    return one.claims_to is not None and day <= one.claims_to and one.left is None


def suppliers_of(casks: Iterable[Cask], by: By, day: date, fewest: int, period: Period | None = None) -> Suppliers:
    """The account of these casks on a day, divided by supplier or by parcel: those of which the share of failed first tests is surely the highest come
    first. `fewest`: of how many fills a kind has to be, that a fill is held against it; `period`: only casks received in it, and all of these up to the day."""
    named: defaultdict[str, _Counting] = defaultdict(_Counting)
    tests, claims = Counter[tuple[str, str]](), dict[tuple[date, str, str], list[tuple[str, Received]]]()
    not_received = other_days = left = 0
    for cask in casks:
        one = cask.received
        if one is None or period is not None and not period.holds(one.day):
            not_received += one is None
            other_days += one is not None
            continue
        supplier, parcel = cask.supplier or UNKNOWN, cask.parcel or UNKNOWN
        named[supplier if by == "supplier" else parcel if by == "parcel" else cask.cask.partition(":")[0]].add(one, cask.losses, day, fewest)
        if one.tested is not None:
            tests[one.tested.isoformat()[:7], one.result] += 1
        if one.claims_to is not None and day <= one.claims_to:
            left += one.left is not None
            if one.left is None:
                claims.setdefault((one.claims_to, supplier, parcel), []).append((cask.cask, one))
    whole = _Counting()
    for counting in named.values():
        whole.include(counting)
    groups = sorted((counting.group(name) for name, counting in named.items()), key=_worst_first)
    months = ((month, tests[month, FAILED], tests[month, FAILED] + tests[month, PASSED]) for month in {month for month, _ in tests})
    return Suppliers(by, tuple(groups), whole.group("all"), not_received, p_chart(months, SMALL_MONTH), tuple(_calendar(claims)), left, other_days)


def _worst_first(group: Group) -> tuple[bool, float, str]:
    interval = group.failed.interval
    return group.name == UNKNOWN, -interval.lower if interval else 0.0, group.name


def _calendar(claims: Mapping[tuple[date, str, str], Sequence[tuple[str, Received]]]) -> Iterable[Claims]:
    """A line for each last day, supplier and parcel, the nearest first."""
    for (to, supplier, parcel), casks in sorted(claims.items()):
        unexamined = tuple(cask for cask, one in casks if one.examined is None)
        yield Claims(to, supplier, parcel, len(casks), unexamined, tuple(cask for cask, one in casks if one.faults and not one.decided))
