"""Work that two files tell, as a racking, a conversion or swapped heads: which entry of the other file is the other side of one of this file's."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol, TypeVar

from caskbook.words.job_table import jobs_with, row_of

if TYPE_CHECKING:
    from caskbook.model.jobs import Event

TOLD, PUT_OUT = "=", "~"
"""With one of these begins a side of such work in what a file says of others (`bonds_of`): one that stands, and one out of force."""
SHARED = jobs_with("shared-id")
_ONCE = jobs_with("arrival", "ends")
"""What happens to a cask but once, so that whoever is named in it is meant, on whatever day."""
_BACK = {job: row_of(job).half for job in SHARED}
_Between = tuple[str, str, str]
"""(the cask that tells it, the other, the job), each under the number under which it goes on."""


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
    is the half of one entry only: what is told once there and twice here has no half the second time.
    """
    if same := [what for one, what in theirs if one.id == event.id]:
        return _paired([pair for pair in mine if pair[0].id == event.id], list(same), alike).get(id(event))
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
    tell alike; `text`: as it stands in what that file says; `denied`: the other file is not silent, it put its side out of force."""

    date: str
    id: str
    cask: str
    other: str
    job: str
    what: str
    text: str
    denied: bool = False


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
    return Half(day, ident, cask, other, job, what, bond)


def _named_in(event: Any) -> list[tuple[str, str]]:
    """(other cask, the figures told of it) of an entry; of a lost field nothing."""
    if row_of(event.job).shares:
        return [(part.cask, f"{part.litres}+{part.abv}") for part in event.shares]
    what = "+".join(getattr(event, "heads", None) or ())
    return [(other, what) for other in event.shared_with()]


def alone(sides: Mapping[str, Sequence[str]], numbers: Mapping[str, tuple[str, ...]]) -> list[Half]:
    """The standing sides of such work that the file of the other cask does not tell: it is silent, or put its own side out of force. An entry of it that
    stands and names another cask is no silence.

    `sides`: cask → what its file tells, as texts; `numbers`: number of a cask that has several → all of them, the one that goes on first. Nearly all
    have their other side under the same id, so that only what is left is held against the rest of its two casks.
    """
    first = {number: all_of[0] for number, all_of in numbers.items()}
    ids, put_out = set[tuple[str, str, str]](), list[tuple[_Between, str, str]]()
    standing: list[tuple[_Between, str, str, str]] = []
    for cask, bonds in sides.items():
        own = first.get(cask, cask)
        for bond in bonds:
            other, job, told = bond[1:].split("/", 2)
            ident, between = told.rpartition("/")[2], (own, first.get(other, other), job)
            if bond[0] == PUT_OUT:
                put_out.append((between, ident, told.partition("/")[0]))
                continue
            ids.add((own, job, ident))
            if other:
                standing.append((between, ident, cask, bond))
    left = [(between, bond) for between, ident, _, bond in standing if between[0] != between[1] and (between[1], _BACK[between[2]], ident) not in ids]
    found = _without_half(dict.fromkeys(between for between, _ in left), {bond for _, bond in left}, standing) if left else []
    denied = {(between, sign) for between, *signs in put_out for sign in signs}
    return [half._replace(denied=any((_side_of(half, first), sign) in denied for sign in (half.id, half.date))) for half in found]


def _side_of(half: Half, first: Mapping[str, str]) -> _Between:
    """Under what the other file tells of the same work."""
    return first.get(half.other, half.other), first.get(half.cask, half.cask), _BACK[half.job]


def _without_half(wanted: Collection[_Between], left: Collection[str], standing: Sequence[tuple[_Between, str, str, str]]) -> list[Half]:
    """Those of the sides `left` that no entry of another id tells: of the same day, or, of what happens but once, of any."""
    both = {*wanted, *((other, own, _BACK[job]) for own, other, job in wanted)}
    groups: dict[_Between, list[tuple[Half, str]]] = {}
    for half, between in sorted((half_of(cask, bond), between) for between, _, cask, bond in standing if between in both):
        groups.setdefault(between, []).append((half, half.what))
    found: list[Half] = []
    for own, other, job in wanted:
        mine, theirs = groups[own, other, job], groups.get((other, own, _BACK[job]), [])
        if not theirs or job not in _ONCE:
            found += [half for half, _ in mine if half.text in left and other_half(half, mine, theirs, str.__eq__) is None]
    return found
