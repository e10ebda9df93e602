"""What the files of a book have to do with one another: numbers that are one cask, moved entries, and what of it is told in only one of two files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple, Protocol

from caskbook.core.finding import CaskbookError
from caskbook.ledger.near_untold import NearBonds, NearUntold, near_untold
from caskbook.model.bonds import bonds_of
from caskbook.model.cask_file import Record, read_record
from caskbook.model.joins import BOND_WORDS, JOINING, Claimants, Claims, claimants, goes_on, is_number, lawful, named, rivals, taken_over
from caskbook.model.untold import Gap, Untold, held_to, untold
from caskbook.yaml.escapes import may_hold

if TYPE_CHECKING:
    from caskbook.model.cask import Cask


class FileStore(Protocol):
    """Where the files of a ledger come from: a folder, or a revision of one."""

    shown: str

    def names(self) -> Iterator[str]:
        """Relative paths below casks/, sorted."""

    def read(self, name: str) -> bytes | None:
        """The bytes of a file, None where there is none; CaskbookError where it cannot be read."""


class Joined(NamedTuple):
    """What goes into a life beside its own file: other files; the numbers joined, be their files unreadable; and what may be of its
    history and nobody can tell."""

    casks: Sequence[Cask] = ()
    numbers: frozenset[str] = frozenset()
    untold: tuple[Gap, ...] = ()


class BoundFiles:
    """The part of a ledger that looks from one file to others. `claims_known`: what tells cask → what its file claims without reading the whole
    book; it gives None where it cannot tell; `joining_known`: the same of the files that may join a number to theirs. `today`: the real day in the house, after which no entry can have been done; None where nobody asks.
    `near`: what finds the files that bear on a cask, where a few are asked about and `claims_known` cannot tell. `planned`: number → its cask as a run that is planned would leave it, None where it leaves it as it is. `leaned`: number → files that claim it, and
    `leaned_untold`: what nobody can tell, as the last life took it."""

    file_store: FileStore
    today: date | None = None
    claims_known: Callable[[], Claims | None] | None = None
    joining_known: Callable[[], Iterable[str]] | None = None
    near: NearBonds | None = None
    planned: Callable[[str], Cask | None] | None = None
    _claims_made: Claims | None = None
    _said: dict[str, dict[str, list[str]]]
    _numbers_made: Claims | None = None
    _joins_made: dict[str, str] | None = None
    _untold: Untold | None = None
    _claimants_made: tuple[Claims, Claimants] | None = None

    def __init__(self) -> None:
        self.leaned: dict[str, set[str]] = {}
        self._said = {}
        self.leaned_untold: tuple[Gap, ...] = ()

    def names(self) -> list[str]:
        """Relative paths of all cask files, in order of id."""
        raise NotImplementedError

    def find(self, cask_id: str) -> Record | None:
        """One cask by id, None where the book has none."""
        raise NotImplementedError

    def leaves_out(self, number: str) -> bool:
        """Whether the book has this cask, and its file is not in the work tree."""
        raise NotImplementedError

    def joined_to(self, cask: Cask, *, judged: bool = False) -> Joined:
        """The files of the book that go into this one's life, and the numbers joined: those that the book has, be the file unreadable
        or left out of the work tree. A `same-as` of a number that there is none of joins nothing, but what that one was is of the history then, and
        nobody can tell it. `judged`: for a check, which finds by itself what two files do not tell alike."""
        self.leaned, self.leaned_untold = {}, () if judged else self._untold_of(cask)
        own = _numbers(cask)
        gaps = held_to(self.leaned_untold, self.today)
        if not own:
            return Joined(untold=gaps)
        claims: dict[str, list[str]] = {cask.id: own}
        casks: dict[str, Cask] = {}
        unknown = set[str]()
        todo = list(own)
        while todo:
            number = todo.pop()
            if number in claims:
                continue
            record = self.find(number)
            other = record.own if record is not None else None
            claims[number] = [] if other is None else _numbers(other)
            if other is not None:
                casks[number] = other
            elif record is None and not self.leaves_out(number):
                unknown.add(number)
            todo += claims[number]
        elsewhere = self.claimants()
        self.leaned = rivals(claims, elsewhere)
        numbers = taken_over(cask.id, lawful(claims, elsewhere))
        absent = () if judged else tuple(Gap(f"file of {number}, which the book does not have") for number in numbers if number in unknown)
        return Joined([casks[number] for number in numbers if number in casks], frozenset(set(numbers) - unknown), (*gaps, *absent))

    def joins(self) -> dict[str, str]:
        """Number that was joined → number that goes on."""
        if self._joins_made is None:
            self._joins_made = goes_on(self.number_claims().items())
        return self._joins_made

    def claimants(self) -> Claimants:
        """Number → files that say it is theirs, over the whole book: found out once of the same claims, for each joined cask asks."""
        claims = self.number_claims()
        if self._claimants_made is None or self._claimants_made[0] is not claims:
            self._claimants_made = claims, claimants(claims)
        return self._claimants_made[1]

    def forget_claims(self) -> None:
        """Files were written since: who claims which number is found out anew when it is asked for."""
        self._claims_made = self._numbers_made = self._joins_made = self._untold = None
        self._said.clear()
        if self.near is not None:
            self.near.forget()

    def claims_of(self, names: Iterable[str], words: Sequence[bytes] = BOND_WORDS) -> dict[str, list[str]]:
        """Cask → what its file claims, of these files. Only those that may claim anything by these words are read as casks."""
        read = ((name, data) for name in names if (data := self._read_or_none(name)) is not None and may_hold(data, *words))
        found = (cask for name, data in read if (cask := read_record(name, data).own) is not None)
        return {cask.id: bonds for cask in found if (bonds := bonds_of(cask))}

    def claims_once(self, names: Iterable[str]) -> dict[str, list[str]]:
        """The same, each file read once until `forget_claims`."""
        found: dict[str, list[str]] = {}
        for name in names:
            if name not in self._said:
                self._said[name] = self.claims_of([name])
            found |= self._said[name]
        return found

    def claims(self) -> Claims:
        """Cask → what its file claims, over the whole book: from `claims_known` where that can tell."""
        if self._claims_made is None:
            told = self._claims_told()
            self._claims_made = self.claims_of(self.names()) if told is None else told
        return self._claims_made

    def _claims_told(self) -> Claims | None:
        if self._claims_made is None and self.claims_known is not None:
            self._claims_made = self.claims_known()
        return self._claims_made

    def near_asked(self) -> NearBonds | None:
        """What finds the files that bear on a cask; None where that is not wanted, or all claims are known."""
        return self.near if self.near is not None and self._claims_told() is None else None

    def number_claims(self) -> Claims:
        """The same of the files that join a number to theirs; of a revision git finds these, and no other is read."""
        told = self._claims_told()
        if told is not None:
            return told
        if self._numbers_made is None:
            holding = getattr(self.file_store, "holding", None)
            if self.near is not None:
                self._numbers_made = self.claims_once(self.near.joining())
                return self._numbers_made
            if self.joining_known is None and holding is None:
                return self.claims()  # All files are read for it, and no second time for the rest.
            names = self.joining_known() if self.joining_known is not None else holding(JOINING)  # type: ignore[misc]
            self._numbers_made = self.claims_of(names, (JOINING.encode(),))
        return self._numbers_made

    def _untold_of(self, cask: Cask) -> tuple[Gap, ...]:
        """What may be of its history and nobody can tell; what this file says counts, be it written already or not, and what the other files of
        the same run say."""
        own = bonds_of(cask)
        told = {**self._planned_beside(cask, own), cask.id: own}
        if (near := self.near_asked()) is not None:
            return near_untold(self, near, [cask.id], told).get(cask.id, ())
        claims = self.claims()
        if any(list(claims.get(number, ())) != bonds for number, bonds in told.items()):
            return untold({**claims, **told}).get(cask.id, ())
        return self.untold().get(cask.id, ())

    def untold(self) -> Untold:
        """Number → what may be of its history and nobody can tell, over the whole book."""
        if self._untold is None:
            near = self.near_asked()
            self._untold = untold(self.claims()) if near is None else NearUntold(self, near)
        return self._untold

    def _planned_beside(self, cask: Cask, own: Sequence[str]) -> dict[str, list[str]]:
        """Number → what its file will say, of all files that a planned run writes and that what this one says leads to. Nothing for a file as it was before that run."""
        mine = self.planned(cask.id) if own and self.planned is not None else None
        if self.planned is None or (mine is None or bonds_of(mine) != own):
            return {}
        found: dict[str, list[str]] = {}
        todo = [named(one) for one in own]
        while todo:
            number = todo.pop()
            other = self.planned(number) if number not in found and number != cask.id else None
            if other is not None:
                found[number] = bonds_of(other)
                todo += [named(one) for one in found[number]]
        return found

    def _read_or_none(self, name: str) -> bytes | None:
        try:
            return self.file_store.read(name)
        except CaskbookError:  # The reason is told where that file is asked for.
            return None


def _numbers(cask: Cask) -> list[str]:
    return [one for one in bonds_of(cask) if is_number(one)]
