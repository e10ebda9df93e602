"""What a rule may look at: the file it judges, the cask read from it, its life, the house, today, and other casks by number."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.core.finding import Fault
from caskbook.life import Life, corrections
from caskbook.model.cask import Cask, CaskHead
from caskbook.model.cask_file import Record
from caskbook.model.house import House, Settings
from caskbook.model.jobs import Event
from caskbook.model.joins import NOBODY, Claimants, one_cask
from caskbook.model.untold import NOTHING_UNTOLD, Gap, Untold

MOST_PEERS = 400
Pair = tuple[Event, int]
Spoiled = dict[int, set[str]]
HEAD = -1
# Beside jobs, a rule may say that it needs one of these: a key in some event, a day ahead, a house that declares laws.
KEYS = frozenset({"replaces", "answers", "moved_from", "future", "laws"})


@dataclass(frozen=True, slots=True)
class Peer:
    """Another cask of the book: `cask` None where its file cannot be read; `standing` its events in the order of the work.

    Of one with several numbers, as `Context.whole` gives it, `cask` is the file that goes on, `others` are the files joined to it,
    and `standing` the events of all.
    """

    cask: Cask | None
    standing: tuple[Event, ...]
    others: tuple[Cask, ...] = ()


@dataclass(slots=True)
class Context:
    """House, day, and the way to other casks. `find`: the cask of a number; `known`: whether the book has its file; `claimants`:
    number → files that say it is theirs; `untold`: number → what nobody can tell of its history, over the whole book; `held`: whether a cask may have held what is
    called so, which is asked of a word that names no liquor."""

    house: House
    today: date
    find: Callable[[str], Cask | None] = lambda _: None
    known: Callable[[str], bool] = lambda _: False
    claimants: Callable[[], Claimants] = lambda: NOBODY
    untold: Callable[[], Untold] = lambda: NOTHING_UNTOLD
    held: Callable[[str], bool] = lambda _: True
    _peers: dict[str, Peer | None] = field(default_factory=dict)
    _crew: tuple[dict[str, list[tuple[date, date]]], frozenset[str]] | None = None
    _laws: bool | None = None
    _joined: dict[str, tuple[str, ...]] | None = None
    _once: dict[str | None, tuple[date, date]] | None = None

    @property
    def settings(self) -> Settings:
        """The house's settings of today."""
        return self.house.on(self.today)

    def peer(self, number: str) -> Peer | None:
        """Another cask, None where the book has none of that number."""
        if number not in self._peers:
            if len(self._peers) >= MOST_PEERS:
                self._peers.clear()
            cask = self.find(number) if self.known(number) else None
            self._peers[number] = Peer(cask, standing_of(cask)) if cask is not None or self.known(number) else None
        return self._peers[number]

    def numbers(self, number: str) -> tuple[str, ...]:
        """All numbers of the cask that bears this one, the number that goes on first."""
        if self._joined is None:
            self._joined = one_cask(self.claimants())
        return self._joined.get(number, (number,))

    def several(self, number: str) -> tuple[str, ...]:
        """The same of a cask that has several numbers; nothing of any other."""
        return self.numbers(number) if len(Context.numbers(self, number)) > 1 else ()

    def untold_of(self, number: str) -> tuple[Gap, ...]:
        """What nobody can tell of the history of the cask of this number, be it told under another one."""
        return tuple(gap for one in self.numbers(number) for gap in self.untold().get(one, ()))

    def whole(self, number: str) -> Peer | None:
        """Another cask with all files of its life, under whichever of its numbers; None where the book has none of this number.
        Where one of the files cannot be read, nothing is known of the whole."""
        own = self.peer(number)
        numbers = self.numbers(number)
        if own is None or len(numbers) == 1:
            return own
        peers = [peer for one in numbers if (peer := self.peer(one)) is not None]
        casks = [peer.cask for peer in peers if peer.cask is not None]
        standing = tuple(sorted((event for peer in peers for event in peer.standing), key=lambda event: (event.date, event.id)))
        return Peer(casks[0], standing, tuple(casks[1:])) if len(casks) == len(peers) else Peer(None, standing)

    @property
    def laws(self) -> bool:
        """Whether the house declares a law on any day for any type of cask."""
        if self._laws is None:
            own = [given for given in self.house.types.values() if isinstance(given, dict)]
            self._laws = any("laws" in given for given in (self.house.raw, *own))
        return self._laws

    @property
    def once(self) -> dict[str | None, tuple[date, date]]:
        """Initials → the stretch of those who belong to the crew in one stretch, as nearly all do."""
        if self._once is None:
            self._once = {name: known[0] for name, known in self.crew()[0].items() if len(known) == 1}
        return self._once

    def crew(self) -> tuple[dict[str, list[tuple[date, date]]], frozenset[str]]:
        """Initials → the stretches they belong to the crew; and the outside shops."""
        if self._crew is None:
            stretches: dict[str, list[tuple[date, date]]] = {}
            for person in self.settings.crew:
                stretch = (person.from_ or date.min, person.until or date.max)
                known = stretches.setdefault(person.initials, [])
                if not any(stretch[0] <= last and first <= stretch[1] for first, last in known):  # of two for one day the first counts
                    known.append(stretch)
            self._crew = (stretches, frozenset(self.settings.shops))
        return self._crew


def standing_of(cask: Cask | None) -> tuple[Event, ...]:
    """The events of a cask that count, in the order of the work."""
    if cask is None:
        return ()
    fallen = corrections(cask.events).fallen
    return tuple(sorted((e for e in cask.events if e.id not in fallen), key=lambda e: (e.date, e.id)))


@dataclass(slots=True)
class View:
    """One file as a rule sees it. Of a cask with several numbers `cask` is this file alone, `life` that of all its files.

    `events` in file order, as written; `standing` those that count, in the order of the work; `life` folded to today, with
    what the file's own faults hide put in place as well as can be guessed. `spoiled`: row → fields whose form is at fault
    (row -1 is the head); no rule judges these again. `misplaced`: rows out of order; `early`: rows dated before the arrival;
    `jobs`: all that occur in the file; `things`: these and what else rules may depend on (`KEYS`); `by_job`: the standing ones of
    each job, in order. `carried` is kept by the module of that name.
    """

    record: Record
    cask: Cask
    life: Life
    context: Context
    events: list[Pair]
    standing: list[Pair]
    spoiled: Spoiled
    misplaced: frozenset[int] = frozenset()
    early: frozenset[int] = frozenset()
    jobs: frozenset[str] = frozenset()
    things: frozenset[str] = frozenset()
    by_job: dict[str, list[Pair]] = field(default_factory=dict)
    carried: Any = None

    @property
    def head(self) -> CaskHead:
        """The head that counts for what is done to the cask: that of the file which goes on."""
        return self.life.cask.head

    @property
    def goes_on(self) -> bool:
        """Whether the cask goes on under this number; else it is joined to another one."""
        return self.context.several(self.cask.id)[:1] in ((), (self.cask.id,))

    def of(self, job: str) -> Sequence[Pair]:
        """The standing events of a job, in order."""
        return self.by_job.get(job, ())

    def work(self) -> list[Event]:
        """The standing events of the cask under all its numbers, in the order of the work."""
        own = [event for event, _ in self.standing]
        files = [
            own if number == self.cask.id else peer.standing if (peer := self.context.peer(number)) else () for number in self.context.numbers(self.cask.id)
        ]
        events = [event for standing in files for event in standing]  # In the order of its numbers, so that each of its files sees them alike.
        return sorted(events, key=lambda event: (event.date, event.id))

    def work_rows(self) -> list[tuple[Event, int | None]]:
        """The standing events of the cask in the order of the work, each with its row in this file, where a fault of it is told; None for one of another
        file, which tells it itself."""
        if not self.life.state.joined:
            return [*self.standing]
        rows = {id(event): row for event, row in self.standing}
        return [(event, rows.get(id(event))) for event in self.work()]

    def is_spoiled(self, row: int, *fields: str) -> bool:
        """Whether one of these fields of the row has a fault of form."""
        found = self.spoiled.get(row)
        if found and row == HEAD and self.cask.corrected:
            found = found - {one.key for one in self.cask.corrected}
        return found is not None and ("*" in found or any(name in found for name in fields))

    def on(self, day: date) -> Settings:
        """The settings in force for this cask on a day."""
        return self.context.house.on(day, self.head.type)


def fault(row: int, code: str, message: str, remedy: str, *field: str | int, of: Event | Sequence[Event] | None = None) -> Fault:
    """A fault at a field of an event; at its date where no field is named. Its severity is set by the row of the rule that finds it.
    `of`: the entry, or all those, at whose entering it is told; the first is the one that a remedy voids."""
    related = () if of is None else tuple(event.id for event in of) if isinstance(of, Sequence) else (of.id,)
    return Fault(code, "error", message, ("events", row, *(field or ("date",))), remedy, related=related)


def head_fault(code: str, message: str, remedy: str, *field: str | int, on_key: bool = False) -> Fault:
    """A fault at a key of the head, or in its value."""
    return Fault(code, "error", message, field, remedy, on_key)


def head_value_fault(view: View, code: str, message: str, remedy: str, *field: str | int, by: tuple[str, ...] = ()) -> Fault:
    """A fault of what the head says: at its key, or in the correction that says it. `by`: keys that it is judged by, any of which may be wrong."""
    key = str(field[0])
    found = view.cask.correction_of(key, *by)
    if found is None:
        return head_fault(code, message, remedy, *field)
    return fault(found.row, code, message, remedy, *(field if found.key == key else (found.key,)), of=found.event)
