"""What became due by what was entered, and by each setting that changed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from caskbook.due import pressing, verdict_words
from caskbook.due.turns import Turns, Words
from caskbook.ledger.changes import CaskChange
from caskbook.ledger.files import FileStore, Ledger, file_of, is_cask_id
from caskbook.ledger.near_untold import NearBonds
from caskbook.life import Life, live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record, name_of
from caskbook.model.house import House
from caskbook.model.joins import Claims, bound_to
from caskbook.review.losses import lost, of_losses, touches_losses
from caskbook.review.model import Setting, Turned
from caskbook.review.settings import QUIET, Path, as_text, put_in, starts_in, starts_on

Due = set[tuple[str, str]]


@dataclass
class _Earlier:
    """The files of a ledger as they were before some of them changed, its house.yaml being as it is now."""

    file_store: FileStore
    old: Mapping[str, bytes | None]
    shown: str

    def names(self) -> Iterator[str]:
        """Relative paths of the cask files there were, sorted."""
        there = {name for name in self.file_store.names() if name not in self.old}
        yield from sorted(there | {name for name, data in self.old.items() if data is not None})

    def read(self, name: str) -> bytes | None:
        """The bytes of a file, None where there was none."""
        return self.old[name] if name in self.old else self.file_store.read(name)


@dataclass(frozen=True, slots=True)
class _NearBefore:
    """What finds the files that bore on a cask before some of them changed: those that do now, and all that changed, as they were."""

    near: NearBonds
    old: Mapping[str, bytes | None]

    def joining(self) -> list[str]:
        """Names of the files that may have joined a number to theirs."""
        return sorted({*self.near.joining(), *self.old})

    def naming(self, numbers: Iterable[str]) -> set[str]:
        """Names of the files that may have said something of one of these numbers."""
        return {*self.near.naming(numbers), *self.old}

    def forget(self) -> None:
        """What was does not change."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What entries made newly due, and what no longer. `losses`: casks of which what a fill lost is another than before; that is held against the whole
    book's fills, so that it is not judged here."""

    newly: tuple[Turned, ...] = ()
    no_longer: tuple[Turned, ...] = ()
    losses: tuple[str, ...] = ()


def ledger_before(changes: Sequence[CaskChange], ledger: Ledger) -> Ledger:
    """The ledger as it was before these casks changed, house.yaml being as it is now; the ledger itself where none did."""
    if not changes:
        return ledger
    files: dict[str, bytes | None] = {file_of(one.name): None for one in changes if is_cask_id(one.name)}  # A file's name may be none.
    before_by = {one.old.cask.id if one.old.cask is not None else one.name: one.old.data for one in changes if one.old is not None}
    files |= {file_of(number): data for number, data in before_by.items() if is_cask_id(number)}
    earlier = Ledger(_Earlier(ledger.file_store, files, ledger.file_store.shown))
    if (near := ledger.near_asked()) is not None:
        earlier.near = _NearBefore(near, files)
        return earlier
    claims = _claims_before(ledger, earlier, files)
    earlier.claims_known = lambda: claims
    return earlier


def effect_of(changes: Sequence[CaskChange], ledger: Ledger, day: date) -> Effect:
    """What the entries alone make due, under the same settings before and after. Judged are the casks that
    changed and those that `same-as` binds to one of them, before or now, whose own files need not have changed."""
    earlier = ledger_before(changes, ledger)
    old, new = ({name_of(one.path): one for one in records if one is not None} for records in ((c.old for c in changes), (c.new for c in changes)))
    numbers = bound_to({*old, *new}, ledger.claimants(), earlier.claimants())
    lives = (_lives(book, _records(book, known, numbers), day) for book, known in ((earlier, old), (ledger, new)))
    (before, lost_before), (after, lost_after) = ((_due(found), {life.cask.id: lost(life) for life in found}) for found in lives)
    others = {cask for cask in lost_before.keys() | lost_after.keys() if lost_before.get(cask, ()) != lost_after.get(cask, ())}
    return Effect(_turns(after - before), _turns(before - after), tuple(sorted(others)))


def _records(ledger: Ledger, known: Mapping[str, Record], numbers: Iterable[str]) -> Iterator[Record | None]:
    """The files of these numbers; those not known are looked for, where their names can be numbers of casks."""
    return (known.get(one) or (ledger.find(one) if is_cask_id(one) else None) for one in numbers)


def _claims_before(ledger: Ledger, earlier: Ledger, files: Mapping[str, bytes | None]) -> Claims:
    """What the files claimed before these ones changed; what all others claim is known from the book as it is now."""
    changed = {name_of(name) for name in files}
    others = {cask: claim for cask, claim in ledger.claims().items() if cask not in changed}
    return {**others, **earlier.claims_of(name for name, data in files.items() if data is not None)}


def _lives(ledger: Ledger, records: Iterable[Record | None], day: date) -> list[Life]:
    """The lives of these casks, over the files joined to each; a number that another takes over counts there."""
    lives = [ledger.life_of(record.cask, day) for record in records if record is not None and record.cask is not None]
    elsewhere = {number for life in lives for number in life.state.joined}
    return [life for life in lives if life.cask.id not in elsewhere]


def _due(lives: Iterable[Life]) -> Due:
    """(cask, rule) for all that is due or blocked."""
    return {(life.cask.id, rule) for life in lives for rule in pressing(life, facts_of(life))}


def _turns(pairs: Due) -> tuple[Turned, ...]:
    return tuple(Turned(cask, rule) for cask, rule in sorted(pairs))


@dataclass
class _Trial:
    """One setting changed, all else being as before, on the day asked for or the later one on which it starts, and how verdicts turn through it."""

    path: Path
    house: House
    day: date
    turns: Turns = field(default_factory=Turns)

    def concerns(self, cask: Cask) -> bool:
        """Whether the setting can have to do with the cask: those of a type, or of a supplier, only with its own."""
        of = {"types": cask.head.type, "suppliers": cask.head.supplier}.get(self.path[0])
        return self.path[0] not in ("types", "suppliers") or len(self.path) == 1 or self.path[1] == of


LifeOf = Callable[[Cask, date, House], Life]


def _alone(cask: Cask, day: date, house: House) -> Life:
    return live(cask, house, day)


def settings_with_effect(
    old: dict[str, Any],
    changed: Iterable[tuple[Path, Any, Any]],
    casks: Iterable[Cask],
    day: date,
    wrong: Collection[Path] = (),
    life_of: LifeOf = _alone,
) -> tuple[Setting, ...]:
    """Each setting with how many casks it alone makes due, or no longer due, all else being as before.

    A dated value that starts after `day` is counted on the day it starts; of a whole list, the next day on which one does. `wrong`: settings of which a value cannot be read, so that
    nothing can be reckoned with them. `life_of`: a cask's life, as with the files joined to it, under the settings of a house.
    """
    listed = list(changed)
    trials = {
        path: _Trial(path, House(put_in(old, path, value)), _counted_on(path, one, value, day))
        for path, one, value in listed
        if not _is_quiet(path) and path not in wrong
    }
    house = House(old)
    for cask in casks if trials else ():
        _try(cask, house, trials.values(), life_of)
    return tuple(_setting(path, one, other, trials.get(path), day) for path, one, other in listed)


def _counted_on(path: Path, old: Any, new: Any, day: date) -> date:
    row = [start for value in (old, new) if (start := starts_on(path, value)) is not None]
    ahead = [] if row else [start for value in (old, new) for start in starts_in(value) if start > day]
    return max([day, *row, *(ahead and [min(ahead)])])


def _setting(path: Path, old: Any, new: Any, trial: _Trial | None, day: date) -> Setting:
    turns = trial.turns if trial is not None else Turns()
    counts = (turns.newly, turns.no_longer, turns.at_emptying, turns.no_longer_at_emptying)
    ahead = trial.day.isoformat() if trial is not None and trial.day > day else None
    return replace(Setting(".".join(path), as_text(old), as_text(new), *counts), counted_on=ahead, losses=touches_losses(path, old, new))


def _is_quiet(path: Path) -> bool:
    return path[0] in QUIET or of_losses(path)


def _try(cask: Cask, house: House, trials: Iterable[_Trial], life_of: LifeOf) -> None:
    """Each trial on one cask. The fold reads no due settings, so under these the life is the same, judged otherwise."""
    known: dict[date, tuple[Life, Facts, Words] | None] = {}
    for trial in trials:
        if not trial.concerns(cask):
            continue
        if trial.day not in known:
            life = life_of(cask, trial.day, house)
            if not life.begun or life.state.form == "gone":
                known[trial.day] = None
            else:
                facts = facts_of(life)
                known[trial.day] = life, facts, verdict_words(life, facts)
        standing = known[trial.day]
        if standing is None:  # On another trial's day it may stand in the book.
            continue
        life, facts, before = standing
        tried = replace(life, house=trial.house) if trial.path[0] == "due" else life_of(cask, trial.day, trial.house)
        trial.turns.count(cask.id, before, verdict_words(tried, facts if trial.path[0] == "due" else facts_of(tried)))
