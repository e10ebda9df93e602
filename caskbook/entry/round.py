"""A walk along a row held against the book: what is missing there, what does not belong there, and what stands at another berth."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from caskbook.entry.berths import is_one_place, walking_order
from caskbook.model.house_parts import prefix_of

What = Literal["in-place", "other-berth", "elsewhere", "found", "away", "gone", "not-in-the-book", "unreadable", "not-read", "missing", "missing-before"]
AGREES: tuple[What, ...] = ("in-place", "missing-before")
"""What may be so in a row that is as the book has it; the others are told, and make it disagree."""
FULL = ("filled", "seasoning")
"""States of a cask that is full."""
LEAST_IN_ORDER = 3
"""Casks that must have been scanned before their order says anything of where one stands."""
_NUMBER = re.compile(r"(.*/)([0-9]{1,9})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Row:
    """What is walked along: berths or beginnings of them. `stores`: beginning of a berth → its store, as the house has it."""

    berths: tuple[str, ...]
    stores: Mapping[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return ", ".join(self.berths)

    def holds(self, berth: str | None) -> bool:
        """Whether a berth lies in it: W1/05 holds W1/05/3 and not W1/050; of a store, by its name or its letters, all berths."""
        return berth is not None and any(berth == one or berth.startswith(f"{one}/") or self._in_store(berth, one) for one in self.berths)

    def _in_store(self, berth: str, one: str) -> bool:
        longest = prefix_of(self.stores, berth)
        return longest is not None and one in (longest, self.stores[longest])


@dataclass(frozen=True, slots=True)
class Known:
    """A cask as the book has it; of a file that cannot be read its number alone."""

    cask: str
    berth: str | None = None
    type: str | None = None
    state: str | None = None
    whereabouts: str | None = None


@dataclass(frozen=True, slots=True)
class Scan:
    """A cask that was seen; `berth` where somebody said it stands."""

    cask: str
    berth: str | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of one cask. `seen_at`: where it stands, None where nobody knows; `between`: the berths of those scanned before and
    after it, where nobody said its own. `not-read`: it stands in a line that could not be read, so that it is neither missing nor known to be in its place."""

    cask: str
    what: What
    known: Known | None = None
    seen_at: str | None = None
    between: tuple[str | None, str | None] = (None, None)

    @property
    def book_berth(self) -> str | None:
        """Where the book has it."""
        return self.known.berth if self.known is not None else None


@dataclass(frozen=True, slots=True)
class Compared:
    """The whole: `told` each cask once, those seen in the order of the walk, the others along the berths. `again`: casks that were
    scanned more than once, each with the berths said; `shared`: a berth for one cask at which several were seen, with these. `ordered`:
    whether the order of the walk was one along the row, so that it says where casks stand. `whole`: whether every line of the walk was read: else what was not
    seen may be what was not read."""

    row: Row
    told: tuple[Told, ...]
    again: dict[str, tuple[str, ...]]
    scans: int
    shared: dict[str, tuple[str, ...]]
    ordered: bool
    whole: bool = True

    def of(self, *whats: What) -> list[Told]:
        """Those of which one of these is said."""
        return [one for one in self.told if one.what in whats]

    @property
    def in_book(self) -> int:
        """How many casks the book has in the row, those that it knows to be missing aside."""
        return len(self.of("in-place", "other-berth", "missing")) + self.not_read_here

    @property
    def all_known(self) -> bool:
        """Whether each number that was seen was read and is one of the book: else it may be that of a cask that was not seen, misread."""
        return self.whole and not self.of("not-in-the-book")

    @property
    def not_read_here(self) -> int:
        """How many casks the book has in the row that stand in a line which could not be read."""
        return sum(one.known is not None and one.known.whereabouts == "here" for one in self.of("not-read"))

    @property
    def seen(self) -> list[Told]:
        """The casks seen, each once."""
        return [one for one in self.told if one.what not in ("not-read", "missing", "missing-before")]

    @property
    def empty(self) -> list[Told]:
        """Casks seen that are empty in the book, in a row that lies full by it: whoever stands there can knock on the head."""
        here = [one.known for one in self.of("in-place", "other-berth", "missing") if one.known is not None]
        full = sum(known.state in FULL for known in here)
        seen = self.of("in-place", "other-berth", "elsewhere")
        return [one for one in seen if one.known is not None and one.known.state not in (*FULL, None)] if 2 * full > len(here) else []

    def is_placed(self, one: Told) -> bool:
        """Whether it is known where a cask that was seen stands, and nothing contradicts it."""
        return one.seen_at is not None and one.seen_at not in self.shared and len(self.again.get(one.cask, ())) < 2

    @property
    def agrees(self) -> bool:
        """Whether the row is as the book has it."""
        two_places = any(len(berths) > 1 for berths in self.again.values())
        return all(one.what in AGREES for one in self.told) and not self.shared and not two_places


def compare(row: Row, scans: Sequence[Scan], known: Mapping[str, Known], not_read: Sequence[Collection[str]] = ()) -> Compared:
    """Hold what was seen against the book. `known`: all casks of the row, and those seen that the book has elsewhere; `not_read`: of each line that could not
    be read the casks that it names all the same."""
    seen = dict[str, str | None]()
    again = dict[str, tuple[str, ...]]()
    for scan in scans:
        if scan.cask in seen:
            said = (*again.get(scan.cask, tuple(filter(None, (seen[scan.cask],)))), *filter(None, (scan.berth,)))
            again[scan.cask] = tuple(dict.fromkeys(said))
            seen[scan.cask] = seen[scan.cask] or scan.berth
        else:
            seen[scan.cask] = scan.berth
    strays, ordered = _out_of_order(row, seen, known)
    places = _Places(row, seen, known, strays, ordered)
    told = [_told(row, cask, known.get(cask), places) for cask in seen]
    unseen = [one for cask, one in known.items() if cask not in seen and row.holds(one.berth) and one.whereabouts in ("here", "missing")]
    for one in sorted(unseen, key=lambda one: walking_order(one.berth, one.cask)):
        named = any(one.cask in casks for casks in not_read)
        told.append(Told(one.cask, "not-read" if named else "missing" if one.whereabouts == "here" else "missing-before", one))
    return Compared(row, tuple(told), again, len(scans), _shared(told), ordered, not not_read)


def _told(row: Row, cask: str, known: Known | None, places: _Places) -> Told:
    """What is said of a cask that was seen."""
    at = places.of(cask)
    if known is None:
        return Told(cask, "not-in-the-book", None, *at)
    if known.whereabouts is None:
        return Told(cask, "unreadable", known, *at)
    if known.state == "gone":
        return Told(cask, "gone", known, *at)
    if known.whereabouts == "missing":
        return Told(cask, "found", known, *at)
    if known.whereabouts == "away":
        return Told(cask, "away", known, *at)
    if not row.holds(known.berth):
        return Told(cask, "elsewhere", known, *at)
    if cask in places.strays or (at[0] is not None and at[0] != known.berth):
        return Told(cask, "other-berth", known, *at)
    return Told(cask, "in-place", known, known.berth)


class _Places:
    """Where the casks seen stand: where somebody said it, or by those beside them in the walk."""

    def __init__(self, row: Row, seen: Mapping[str, str | None], known: Mapping[str, Known], strays: frozenset[str], ordered: bool) -> None:
        self.row, self.seen, self.known, self.strays, self.ordered = row, seen, known, strays, ordered
        self._casks = list(seen)
        self._firm = [self._anchor(cask) for cask in self._casks]
        self._at = {cask: n for n, cask in enumerate(self._casks)}
        many = [one for one in row.berths if not is_one_place(one) and any(other.berth == one for other in known.values())]
        self._unplaced = {one.berth for cask, firm in zip(self._casks, self._firm, strict=True) if firm is None and (one := known.get(cask))}
        self._yard = many[0] if len(row.berths) == 1 and many else None

    def _anchor(self, cask: str) -> str | None:
        """The berth at which a cask surely stands: as it was said, or as the book has it and the order of the walk does not deny."""
        if (said := self.seen[cask]) is not None:
            return said
        one = self.known.get(cask)
        sure = one is not None and one.whereabouts == "here" and self.row.holds(one.berth) and cask not in self.strays
        return one.berth if sure and one is not None else None

    def of(self, cask: str) -> tuple[str | None, tuple[str | None, str | None]]:
        """(where it stands, the berths before and after it in the walk): the first is None where nothing tells it."""
        at = self._at[cask]
        if (firm := self._firm[at]) is not None:
            return firm, (None, None)
        if self._yard is not None:
            return self._yard, (None, None)
        if not self.ordered:
            return None, (None, None)
        before = next((berth for berth in reversed(self._firm[:at]) if berth), None)
        after = next((berth for berth in self._firm[at + 1 :] if berth), None)
        beside = 0 < at < len(self._firm) - 1 and self._firm[at - 1] is not None and self._firm[at + 1] is not None
        berth = _only_between(before, after) if beside else None
        return (None if berth in self._unplaced else berth), (before, after)


def _only_between(before: str | None, after: str | None) -> str | None:
    """The berth between two of a row, where there is just one."""
    first, last = _NUMBER.fullmatch(before or ""), _NUMBER.fullmatch(after or "")
    if first is None or last is None or first[1] != last[1] or abs(int(first[2]) - int(last[2])) != 2:
        return None
    return f"{first[1]}{(int(first[2]) + int(last[2])) // 2:0{len(first[2]) if first[2].startswith('0') else 0}d}"


def _out_of_order(row: Row, seen: Mapping[str, str | None], known: Mapping[str, Known]) -> tuple[frozenset[str], bool]:
    """(casks that break the order of the walk, whether it was one along the row, up or down): most of them have to go together."""
    walk = [
        (cask, walking_order(one.berth, "")[1])
        for cask, said in seen.items()
        if said is None and (one := known.get(cask)) and one.whereabouts == "here" and row.holds(one.berth) and is_one_place(one.berth or "")
    ]
    if len(walk) < LEAST_IN_ORDER:
        return frozenset(), bool(walk) or any(seen.values())
    keys = [key for _, key in walk]
    up = _longest(keys)
    down = {len(keys) - 1 - n for n in _longest(keys[::-1])}
    kept = up if len(up) >= len(down) else down
    if 3 * len(kept) < 2 * len(keys):
        return frozenset(), False
    return frozenset(cask for n, (cask, _) in enumerate(walk) if n not in kept), True


def _longest(keys: Sequence[list[tuple[str, int]]]) -> set[int]:
    """The places of a longest run, not all in a row, that never goes down."""
    tails: list[list[tuple[str, int]]] = []
    ends: list[int] = []
    before: list[int] = []
    for n, key in enumerate(keys):
        at = bisect_right(tails, key)
        before.append(ends[at - 1] if at else -1)
        tails[at:], ends[at:] = [key, *tails[at + 1 :]], [n, *ends[at + 1 :]]
    found, at = set[int](), ends[-1] if ends else -1
    while at >= 0:
        found.add(at)
        at = before[at]
    return found


def _shared(told: Sequence[Told]) -> dict[str, tuple[str, ...]]:
    """Berths for one cask at which several were seen, unless the book has them all there."""
    found: dict[str, list[Told]] = {}
    for one in told:
        if one.seen_at is not None and is_one_place(one.seen_at):
            found.setdefault(one.seen_at, []).append(one)
    return {berth: tuple(one.cask for one in seen) for berth, seen in found.items() if len(seen) > 1 and any(one.what != "in-place" for one in seen)}
