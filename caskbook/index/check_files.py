"""What one process does with the files that a check gives it: read them, fold them, judge them, and note what that depended on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import Any

from caskbook.checks import Context, context_of
from caskbook.checks.book_numbers import BookNumbers
from caskbook.checks.check import Part, part_of
from caskbook.checks.context import Peer
from caskbook.checks.judged import life_of
from caskbook.core.days import add_days
from caskbook.core.finding import CaskbookError
from caskbook.index.schema import NEVER
from caskbook.index.worker import UNREADABLE, Logged, joins_of
from caskbook.ledger.files import Folder, Ledger, file_of
from caskbook.ledger.tracked import LeftOut
from caskbook.life import Life
from caskbook.model.cask_file import Record
from caskbook.model.joins import Claimants, Claims, claimants, is_number
from caskbook.model.untold import Gap, Untold, untold

BORNE, UNTOLD = "numbers of ", "untold of "


@dataclass(slots=True)
class Noted(Context):
    """A context that notes which other casks a rule looked at."""

    looked_at: dict[str, None] | None = None
    borne: dict[str, str | None] = field(default_factory=dict)

    def peer(self, number: str) -> Peer | None:
        """Another cask, None where the book has none of that number."""
        if self.looked_at is not None:
            self.looked_at[number] = None
        return Context.peer(self, number)

    def numbers(self, number: str) -> tuple[str, ...]:
        """All numbers of the cask that bears this one, the number that goes on first."""
        found = Context.numbers(self, number)
        self.borne[f"{BORNE}{number}"] = " ".join(found)
        return found

    def untold_of(self, number: str) -> tuple[Gap, ...]:
        """What nobody can tell of the history of the cask of this number."""
        found = Context.untold_of(self, number)
        self.borne[f"{UNTOLD}{number}"] = gaps_text(found)
        return found


def claimed(ledger: Ledger, name: str) -> dict[str, list[str]]:
    """Cask → what its file claims, of one file; empty of nearly all."""
    return ledger.claims_of([name])


def gaps_text(gaps: Sequence[Gap]) -> str:
    """What is untold, as a finding that rests on it keeps it: each with its day, for it is lacking from then on."""
    return "; ".join(f"{gap.since} {gap.words}" for gap in gaps)


@dataclass
class Bench:
    """What each process has: the ledger, a note of what was read, and the contents of other files by name."""

    ledger: Ledger
    file_store: Logged
    context: Noted
    keys: dict[str, str | None]


@dataclass(frozen=True)
class Open:
    """Opens a ledger for checking in each process. `numbers`: of its files, where they are at hand already; `claims`: what the files
    claim, where that is known."""

    open_ledger: Callable[[], Ledger]
    day: date
    like: str
    numbers: BookNumbers | None = None
    claims: Claims | None = None

    def __call__(self) -> Bench:
        ledger = self.open_ledger()
        ledger.claims_known = lambda: self.claims
        if isinstance(ledger.file_store, Folder):
            ledger.file_store.kept = LeftOut(ledger.file_store.root)
        plain = context_of(ledger, self.day, self.numbers)
        file_store = Logged(ledger.file_store, self.like)
        ledger.file_store = file_store
        return Bench(ledger, file_store, Noted(plain.house, plain.today, plain.find, plain.known, self._claimants, self._untold), {})

    def _claimants(self) -> Claimants:
        """From a ledger of its own: what is read for it is nothing that a finding rests on."""
        return self.open_ledger().claimants() if self.claims is None else claimants(self.claims)

    def _untold(self) -> Untold:
        """The same of what nobody can tell."""
        return self.open_ledger().untold() if self.claims is None else untold(self.claims)


@dataclass(slots=True)
class Checked:
    """One file: the name of the content read (None: cannot be read), what was found, until when that stands, and the other files
    it depends on (`casks`: number → content, empty for a number there is none of; `files`: name → content, and `BORNE` with a number →
    all numbers of its cask, `UNTOLD` with a number → what nobody can tell of it)."""

    name: str
    key: str | None
    part: Part
    until_day: int
    casks: dict[str, str | None]
    files: dict[str, str | None]
    joins: list[str]


Seen = dict[str, str | None]


def check_some(bench: Bench, names: Sequence[str]) -> list[Checked]:
    """Check several files, first reading all, then folding all, then judging all: that is faster than one after the other."""
    file_store, ledger, context = bench.file_store, bench.ledger, bench.context
    read = [_noting(file_store, partial(ledger.read_file, name)) for name in names]
    context.borne = {}
    lives = [_noting(file_store, partial(life_of, ledger, record, context)) for record, _ in read]
    return [_judged(bench, name, *one, *other) for name, one, other in zip(names, read, lives, strict=True)]


def _noting(file_store: Logged, work: Callable[[], Any]) -> tuple[Any, Seen]:
    """What the work gives, and the files that it read."""
    file_store.seen.clear()
    done = work()
    return done, file_store.seen.copy()


def _judged(bench: Bench, name: str, record: Record, own: Seen, life: Life | None, joined: Seen) -> Checked:
    """The findings of one file, with the keys of the files and the states of the casks that they rest on."""
    file_store, context = bench.file_store, bench.context
    key = own[name]
    file_store.seen.clear()
    context.looked_at, context.borne = {}, {}
    part = part_of(record, life, context)
    files = {**joined, **file_store.seen}
    bench.keys.update(files)
    files.update(context.borne)
    casks = {number: _state(bench, number) for number in context.looked_at}
    for number in casks:
        files.pop(file_named(number), None)
    joins = joins_of(record)
    numbers = [record.cask.id, *joins] if record.cask is not None and joins else []
    return Checked(
        name,
        None if key == UNREADABLE else key,
        _relative(part, len(file_store.shown)),
        _until(record.cask, bench, any(map(is_number, joins))),
        casks,
        files,
        numbers,
    )


def file_named(number: str) -> str:
    try:
        return file_of(number)
    except CaskbookError:
        return ""


def _state(bench: Bench, number: str) -> str | None:
    if not bench.context.known(number):
        return ""
    return bench.keys.get(file_named(number))


def _relative(part: Part, prefix: int) -> Part:
    if not part.findings:
        return part
    return replace(part, findings=[replace(found, path=found.path[prefix:]) for found in part.findings])


def _until(cask: Any, bench: Bench, joined: bool) -> int:
    """The first later day on which the findings may be others: an entry of the future is told with the day it is."""
    day = bench.context.today
    if cask is None:
        return NEVER
    if joined:
        return day.toordinal()  # what is true of it hangs on files that it does not name
    if any(event.date > day for event in cask.events):
        return add_days(day, 1).toordinal()
    return min((start.toordinal() for start in bench.ledger.house.starts if start > day), default=NEVER)
