"""What nobody can tell of one cask, out of the few files that have a say in it: those of its numbers, those that name one of them, and those that these
name. It is the same as over the whole book (`model/untold.py`), which for many casks is quicker."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Protocol

from caskbook.ledger.paths import file_of, is_cask_id
from caskbook.model.joins import Claims, bound_to, claimants, named
from caskbook.model.untold import Gap, Untold, untold

_MANY = 300
_NOTHING: Claims = {}


class NearBonds(Protocol):
    """What finds the files that have to do with some casks, where no index tells and not all shall be read."""

    def joining(self) -> Iterable[str]:
        """Names of the files that may join a number to theirs."""

    def naming(self, numbers: Iterable[str]) -> Iterable[str]:
        """Names of the files that may say something of others, and in which one of these numbers may stand."""

    def forget(self) -> None:
        """Files were written since: they are looked at again."""


class Book(Protocol):
    """What is asked of the files of a book."""

    def number_claims(self) -> Claims:
        """Cask → what its file claims, of all files that join a number to theirs."""

    def claims(self) -> Claims:
        """The same of all files."""

    def claims_once(self, names: Iterable[str]) -> dict[str, list[str]]:
        """The same of these files, each read once."""


def near_untold(book: Book, near: NearBonds, numbers: Iterable[str], told: Claims = _NOTHING) -> Untold:
    """What is untold of these casks; of any other that is in it, it need not be all. `told`: cask → what its file says, where that is not as it is written.

    All joins of the book are known. So what else has a say are moves and work that two files tell: what the casks' own files say of it, and who names one
    of their numbers; and whether another file that these name gave an entry to a third one.
    """
    joining = book.number_claims()
    mine = bound_to({*numbers, *told}, claimants(joining), claimants(told))
    claims = {**joining, **book.claims_once(sorted(near.naming(mine)))}
    others = {named(bond) for one in mine for bond in (*claims.get(one, ()), *told.get(one, ()))} - mine
    files = {file_of(one) for one in others if is_cask_id(one)}
    claims |= book.claims_once(sorted(files & {*near.naming(others)}) if files else ())
    return untold({**{cask: claims[cask] for cask in sorted(claims, key=file_of)}, **told})


class NearUntold(Mapping[str, tuple[Gap, ...]]):
    """Number → what is untold of it, worked out as it is asked for; of many, or of all, over the whole book."""

    def __init__(self, book: Book, near: NearBonds) -> None:
        self._book, self._near = book, near
        self._found: dict[str, tuple[Gap, ...]] = {}
        self._whole: Untold | None = None

    def __getitem__(self, number: str) -> tuple[Gap, ...]:
        if number not in self._found:
            known = self._all() if self._whole is not None or len(self._found) >= _MANY else near_untold(self._book, self._near, [number])
            self._found[number] = known.get(number, ())
        gaps = self._found[number]
        if not gaps:
            raise KeyError(number)
        return gaps

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def _all(self) -> Untold:
        if self._whole is None:
            self._whole = untold(self._book.claims())
        return self._whole
