"""The empty casks here by how far each is from ready, and which to take so that there are enough."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Protocol

from caskbook.due import rule_named
from caskbook.ledger.files import Ledger
from caskbook.life import Life
from caskbook.loss import PeerTable, losses_of
from caskbook.words.job_table import jobs_with
from caskbook.work.cheapest import Cost, cheapest_casks, cheapest_litres
from caskbook.work.coming import files_of
from caskbook.work.figures import Sum
from caskbook.work.held import Held, held_by
from caskbook.work.hours import Hours, Minutes, Source
from caskbook.work.known import Judged, NoNotes, Notes
from caskbook.work.readiness import GROUPS, READY, Group, Step, Way, way_of
from caskbook.work.route import walk_of

REACHED: tuple[Group, ...] = GROUPS[:4]
"""The groups of which every cask can be had, the nearest first."""


_WAYS = "ways"
"""A kind of notes: [the day, the way on it]."""
_HEADS = frozenset(jobs_with("heads"))


class EmptyCask(Protocol):
    """An empty cask that is here, as the index has it. `litres`: what it holds, None where that is not known; `fit`: in the state `ready`."""

    @property
    def cask(self) -> str: ...
    @property
    def type(self) -> str: ...
    @property
    def berth(self) -> str | None: ...
    @property
    def store(self) -> str | None: ...
    @property
    def litres(self) -> float | None: ...
    @property
    def fit(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class KnownEmpty:
    """What is known of the empty casks that were asked about, without their files. `pressing`: what is due, blocked or unknown, in the order of the due list; `soon`: what soon is due; `filled`: how many
    are filled; `unclear`: of how many nobody can tell whether they are empty; `peers`, `minutes` as a plan of work has them; `losing`: of which casks
    so many fills running lost too much that it speaks for retiring, None where nobody has looked; `notes`: what was worked out of single files."""

    casks: Sequence[EmptyCask]
    pressing: Sequence[Judged]
    soon: Sequence[Judged]
    filled: int
    unclear: int
    peers: Callable[[], PeerTable]
    minutes: Callable[[], Minutes]
    losing: Container[str] | None = None
    notes: Notes = field(default_factory=NoNotes)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is wanted: so many casks, or litres; None where nothing but what there is. `spirit`: for what."""

    want: int | None = None
    litres: float | None = None
    spirit: str | None = None


@dataclass(frozen=True, slots=True)
class Empty:
    """One empty cask and its way. `hours`: of each step, None where nobody knows them; `until`: of one that is ready, the day from which it is so no more if nothing is done, where that is near; `held`: what is known of what it held, where that was asked; `taken`: whether it is one of those to take."""

    cask: str
    type: str
    berth: str | None
    store: str | None
    litres: float | None
    fit: bool
    way: Way
    hours: tuple[float | None, ...]
    until: date | None = None
    held: Held | None = None
    taken: bool = False

    @property
    def cost(self) -> Cost:
        """Its jobs, those without hours, and the hours of the others in ten-thousandths."""
        return len(self.hours), sum(one is None for one in self.hours), round(sum(one or 0 for one in self.hours) * 10_000)


@dataclass(frozen=True, slots=True)
class Readiness:
    """The answer. `casks`: all, as one walks; `sources`: where the hours of jobs come from; `filled`, `unclear` as known of the index."""

    day: date
    asked: Asked
    casks: tuple[Empty, ...]
    sources: tuple[Source, ...]
    filled: int
    unclear: int

    def of(self, group: Group) -> list[Empty]:
        """The casks of a group."""
        return [one for one in self.casks if one.way.group == group]

    @property
    def taken(self) -> list[Empty]:
        """The casks to take."""
        return [one for one in self.casks if one.taken]

    @property
    def have(self) -> float:
        """How many casks, or litres, are ready now: in what is wanted."""
        return amount(self.of("ready now"), litres=self.asked.litres is not None)

    @property
    def wanted(self) -> float | None:
        """How many casks or litres are wanted."""
        return self.asked.want if self.asked.litres is None else self.asked.litres

    @property
    def short(self) -> float:
        """How many casks or litres are lacking now."""
        return max(0.0, (self.wanted or 0) - self.have)

    @property
    def most(self) -> float:
        """How many casks or litres can be had at all, jobs done."""
        return amount([one for group in REACHED for one in self.of(group)], litres=self.asked.litres is not None)


def amount(casks: Iterable[Empty], *, litres: bool) -> float:
    """How many they are, or how many litres they hold as far as that is known."""
    found = list(casks)
    return round(sum(one.litres or 0 for one in found), 1) if litres else len(found)


def work_of(casks: Iterable[Empty]) -> Sum:
    """The jobs of these casks in figures."""
    found = list(casks)
    hours = [hours for one in found for hours in one.hours]
    return Sum(len(found), len(hours), sum(one or 0 for one in hours), sum(one is None for one in hours))


def ready_of(known: KnownEmpty, ledger: Ledger, day: date, asked: Asked) -> Readiness:
    """The empty casks and their ways; what the index does not settle is read in the ledger."""
    settings = ledger.house.on(day)
    walk = walk_of(settings.stores)
    casks = sorted(known.casks, key=lambda one: walk(one.store, one.berth, one.cask))
    hours = Hours(lambda kind: ledger.house.on(day, kind), known.minutes)
    pressed = {one.cask for one in known.pressing if _before_fill(one.rule)}
    soon = {one.cask: one.since for one in sorted(known.soon, key=lambda one: one.since or date.max, reverse=True) if _before_fill(one.rule)}
    found, kept = [], known.notes.of(_WAYS)
    for one in casks:
        way: Way | None = READY
        if not one.fit or one.cask in pressed:
            on, row = kept.get(one.cask, ("", None))
            way = Way.of_row(row) if on == day.isoformat() else None
        held = None
        if way is None or asked.spirit is not None:
            files = files_of(ledger, one.cask, day)
            life = files.life(day)
            held = None if asked.spirit is None else held_by(life, asked.spirit)
            if way is None:
                way = way_of(files, life, _excess(life, known))
                known.notes.keep(_WAYS, one.cask, files.read, [day.isoformat(), way.as_row()])
        times = tuple(hours_of(step, one.type, hours) for step in way.steps)
        found.append(Empty(one.cask, one.type, one.berth, one.store, one.litres, one.fit, way, times, soon.get(one.cask) if way is READY else None, held))
    return Readiness(day, asked, _chosen(found, known, asked), tuple(hours.sources()), known.filled, known.unclear)


def _before_fill(name: str) -> bool:
    rule = rule_named(name)
    return rule is not None and rule.before_fill


def _excess(life: Life, known: KnownEmpty) -> int:
    """How many fills running, the latest ones, lost too much; none is counted where there were not as many as speak for retiring."""
    if known.losing is not None and life.cask.id not in known.losing:
        return 0
    least = life.house.on(life.day, life.state.type).due.retire.loss_fills
    return losses_of(life, known.peers()).running() if len(life.state.fillings) >= least else 0


def hours_of(step: Step, kind: str, hours: Hours) -> float | None:
    """The hours of all that is done in a step; heads put in for a job are of its hours."""
    found = [hours.of(job, kind) for job in step.jobs if len(step.jobs) == 1 or job not in _HEADS]
    return None if any(one is None for one in found) else sum(one or 0 for one in found)


def _chosen(casks: list[Empty], known: KnownEmpty, asked: Asked) -> tuple[Empty, ...]:
    """The casks, those to take marked: the fewest jobs first, then hours, then the order of the due list, then as one walks."""
    from dataclasses import replace

    if asked.want is None and asked.litres is None:
        return tuple(casks)
    rank = {one.cask: at for at, one in reversed(list(enumerate(known.pressing)))}
    can = [at for at, one in enumerate(casks) if one.way.group in REACHED and (asked.litres is None or one.litres)]
    can.sort(key=lambda at: (rank.get(casks[at].cask, len(known.pressing)), at))
    costs = [casks[at].cost for at in can]
    if asked.litres is not None:
        places = cheapest_litres(costs, [casks[at].litres or 0 for at in can], asked.litres)
    else:
        places = cheapest_casks(costs, asked.want or 0)
    taken = {can[place] for place in places}
    return tuple(replace(one, taken=at in taken) for at, one in enumerate(casks))
