"""Work that two files tell, as a racking, a conversion or swapped heads: which entry of the other file is the other side of one of this file's."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol, TypeVar

from caskbook.words.job_table import jobs_with, row_of

if TYPE_CHECKING:
    from caskbook.model.jobs import Event

TOLD, PUT_OUT = "=", "~"
"""With one of these begins a side of such work in what a file says of others (`bonds_of`): one that stands, and one out of force."""
SHARED = jobs_with("shared-id")
_ONCE = jobs_with("arrival", "ends")
"""What happens to a cask but once, so that whoever is named in it is meant, on whatever day."""


class _Side(Protocol):
    @property
    def id(self) -> str:
        """Of the entry."""

    @property
    def date(self) -> Any:
        """The day of the work."""


S = TypeVar("S", bound=_Side)
T = TypeVar("T")


def other_half(event: _Side, mine: Sequence[tuple[S, T]], theirs: Sequence[tuple[S, T]], alike: Callable[[T, T], bool]) -> T | None:
    """What the other file tells of this event; None where it tells nothing.

    `mine`: this file's entries that speak of the other cask, with what each tells; `theirs`: the other's that speak of this one. An
    equal id decides, and where several have it, as with one racking into two numbers of a cask, what they tell. Entries written by hand may have an id
    for each side: of a day, those that no id has paired are taken together, first those that tell alike, the rest in the order of the work. Each
    is the half of one entry only.
    """
    if same := [what for one, what in theirs if one.id == event.id]:
        return _paired([pair for pair in mine if pair[0].id == event.id], list(same), alike).get(id(event), same[0])
    known, claimed = {one.id for one, _ in theirs}, {one.id for one, _ in mine}
    waiting = [(one, what) for one, what in mine if one.date == event.date and one.id not in known]
    return _paired(waiting, [what for one, what in theirs if one.date == event.date and one.id not in claimed], alike).get(id(event))


def _paired(waiting: Sequence[tuple[S, T]], free: list[T], alike: Callable[[T, T], bool]) -> dict[int, T]:
    """Entry, by its identity → what the other side tells of it: first those that tell alike, the rest in order."""
    pairs: dict[int, T] = {}
    for judge in (alike, lambda _, __: True):
        for own, what in waiting:
            found = next((at for at, other in enumerate(free) if judge(what, other)), None) if id(own) not in pairs else None
            if found is not None:
                pairs[id(own)] = free.pop(found)
    return pairs


class Half(NamedTuple):
    """One side of such work, as the file of `cask` tells it of the cask `other`: `date` in ISO, ? where nobody can read it; `what`: the figures that both sides
    tell alike; `stands`: whether it is in force. `other` is empty where no number is named."""

    cask: str
    other: str
    job: str
    date: str
    what: str
    id: str
    stands: bool = True


def half_bonds(events: Sequence[Event], fallen: Collection[str]) -> Iterator[str]:
    """The sides of such work that a file tells, each as a text: `=TH-004218/rack-out/2024-01-03/180.0+62.0/e1000001`. `fallen`: ids out of force."""
    for event in events:
        if event.job in SHARED:
            sign = PUT_OUT if event.id in fallen else TOLD
            for other, what in _named_in(event) or [("", "")]:
                yield f"{sign}{other}/{event.job}/{event.date}/{what}/{event.id}"


def half_of(cask: str, bond: str) -> Half:
    """A side out of its text in what the file of `cask` says."""
    other, job, day, what, ident = bond[1:].split("/", 4)
    return Half(cask, other, job, day, what, ident, bond[0] == TOLD)


def _named_in(event: Any) -> list[tuple[str, str]]:
    """(other cask, the figures told of it) of an entry; of a lost field nothing."""
    if row_of(event.job).shares:
        return [(part.cask, f"{part.litres}+{part.abv}") for part in event.shares]
    what = "+".join(getattr(event, "heads", None) or ())
    return [(other, what) for other in event.shared_with()]


class Book:
    """All sides that the files of a book tell. `numbers`: number of a cask that has several → all of them, the one that goes on first."""

    def __init__(self, halves: Sequence[Half], numbers: dict[str, tuple[str, ...]]) -> None:
        self._first = {number: all_of[0] for number, all_of in numbers.items()}
        self._sides: dict[tuple[str, str, str], list[tuple[Half, str]]] = {}
        self._ids: dict[tuple[str, str], set[str]] = {}
        for half in sorted(halves, key=lambda half: (half.date, half.id)):
            own, other = self._one(half.cask), self._one(half.other)
            self._ids.setdefault((own, half.job), set()).add(half.id)
            if half.stands and other:
                self._sides.setdefault((own, other, half.job), []).append((half, half.what))

    def alone(self) -> Iterator[Half]:
        """The standing sides of which the file of the other cask says nothing: it has no entry of that work, be it out of force or of another cask."""
        for (own, other, job), mine in self._sides.items():
            back = row_of(job).half
            theirs, ids = self._sides.get((other, own, back), []), self._ids.get((other, back), ())
            if own == other or (theirs and job in _ONCE):
                continue
            yield from (half for half, _ in mine if half.id not in ids and other_half(half, mine, theirs, str.__eq__) is None)

    def _one(self, number: str) -> str:
        return self._first.get(number, number)
