"""What is otherwise than at the last export, cask by cask: which rows have to be told anew, and which files therefore are written anew."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache, cached_property
from itertools import groupby, islice
from typing import Any, Protocol

from caskbook.core.digest import short_digest
from caskbook.export.buckets import bucket_of, buckets_for
from caskbook.export.columns import Table
from caskbook.export.rows import Row, Whole, rows_of
from caskbook.export.schema import BUCKETED, GIFT, table

Seen = dict[str, Any]
"""What an export was made of: {layout, basis, joined, day, buckets, lives: {how some numbers begin: a digest of what those casks are made of}, casks: {cask: own judged years, a digest for each table of BUCKETED and one of its gifts, parted by blanks}}."""
LAYOUT = 2
_NOTHING = "-"
_OF_GIFTS = 3 + len(BUCKETED)
_NONE = f" {_NOTHING}" * (len(BUCKETED) + 1)
_MOST_CHANGED = 3
_IN_LINE = 1000


class Lives(Protocol):
    """What some casks are made of: a digest of all, and two words of each."""

    head: str

    @property
    def digest(self) -> str: ...

    @property
    def casks(self) -> list[str]: ...

    def words(self) -> Iterable[tuple[str, str]]: ...


class Told(Whole, Protocol):
    """Both what the rows are made of and what tells whether they are as they were (`WholeBook` of the index)."""

    def of(self, casks: Iterable[str]) -> Told: ...

    def basis(self) -> str: ...

    def joined(self) -> Mapping[str, str]: ...

    def lives(self) -> Iterable[Lives]: ...

    def count(self) -> int: ...

    def years(self) -> list[str]: ...

    def digests(self, cask: str) -> dict[str, str]: ...

    def entered_between(self, first: date, last: date) -> Iterable[tuple[str, str]]: ...


@dataclass
class Changes:
    """`now`: what the export is made of; `alike`: whether anything that the last one was made of can be believed. Where `whole`, all is told anew; else `turned` says whether it is of another day than the last one, `casks` whose rows
    may be others, `judged` of whom something else is due, `years` which years of entries are others, and `rows` for each table of BUCKETED the rows of each cask
    that has others (none where it has no more); `gifts`: whether anybody has other parts of another cask."""

    now: Seen
    alike: bool
    whole: bool = True
    turned: bool = False
    casks: set[str] = field(default_factory=set)
    judged: set[str] = field(default_factory=set)
    years: set[str] = field(default_factory=set)
    rows: dict[str, dict[str, list[Row]]] = field(default_factory=dict)
    gifts: bool = True

    @property
    def buckets(self) -> int:
        """How many buckets the casks lie in."""
        return int(self.now["buckets"])

    def others(self, name: str) -> dict[int, dict[str, list[Row]]]:
        """Bucket → cask → rows, of the casks that have other rows in a table."""
        found: dict[int, dict[str, list[Row]]] = {}
        for cask, rows in self.rows[name].items():
            found.setdefault(bucket_of(cask, self.buckets), {})[cask] = rows
        return found

    @cached_property
    def of_bucket(self) -> Mapping[int, list[str]]:
        """The casks of each bucket, in order."""
        found: dict[int, list[str]] = {}
        for cask in self.now["casks"]:
            found.setdefault(bucket_of(cask, self.buckets), []).append(cask)
        return found

    def noted(self, of: Table, rows: Iterable[Row]) -> Iterator[Row]:
        """The rows as they come, which are by cask, each cask's noted in what the export is made of."""
        place, casks = 3 + BUCKETED.index(of.name), self.now["casks"]
        for cask, own in by_cask(of, rows):
            casks[cask] = _with(casks[cask], place, _digest(of, own))
            yield from own

    def note_gifts(self, rows: Iterable[Row]) -> None:
        """All rows of the table of gifts noted, by the cask that has the parts."""
        given, casks = _given(rows), self.now["casks"]
        for cask, told in casks.items():
            casks[cask] = f"{told.rpartition(' ')[0]} {given.get(cask, _NOTHING)}"


def seen_lines(seen: Seen) -> Iterator[Seen]:
    """The same in pieces: all but the casks, and then some casks after the others."""
    yield {**seen, "casks": {}}
    left = iter(seen["casks"].items())
    while some := dict(islice(left, _IN_LINE)):
        yield some


def seen_of(lines: Iterable[Seen]) -> Seen | None:
    """What an export was made of, of its pieces; None where they are not such, or cannot be read."""
    found: Seen | None = None
    with contextlib.suppress(OSError, ValueError, RecursionError, TypeError, KeyError):
        for line in lines:
            found = line if found is None else found
            found["casks"].update(line if line is not found else {})
        return found
    return None


def changes_since(whole: Told, old: Seen | None) -> Changes:
    """What is otherwise than at the last export, of which `old` is what it was made of; None: whatever it is."""
    casks = whole.count()
    now: Seen = {
        "layout": LAYOUT, "basis": whole.basis(), "joined": short_digest(sorted(whole.joined().items())), "day": whole.day.isoformat(),
        "buckets": buckets_for(casks), "lives": {}, "casks": {},
    }  # fmt: skip
    alike = old is not None and old.get("layout") == LAYOUT and all(old[key] == now[key] for key in ("basis", "buckets"))
    before = old if old is not None and alike else {"casks": {}, "lives": {}}
    known: dict[str, str] = before["casks"]
    changes = Changes(now, bool(known), whole=not known, turned=alike and before["day"] != now["day"])
    changes.gifts = not alike or before["joined"] != now["joined"]
    _compare(whole.lives(), before, changes)
    entered: dict[str, set[str]] = {}
    if changes.turned:
        for cask, year in whole.entered_between(*sorted((date.fromisoformat(before["day"]), whole.day))):
            entered.setdefault(cask, set()).add(year)
    changes.casks |= entered.keys()
    changes.judged -= entered.keys()
    changes.casks |= known.keys() - now["casks"].keys()
    changes.whole |= len(changes.casks) * _MOST_CHANGED > casks
    _note(whole, known, changes)
    changes.years.update(*entered.values())
    if not changes.whole:
        _tell(whole, known, changes)
    return changes


def _compare(lives: Iterable[Lives], before: Seen, changes: Changes) -> None:
    """Which casks are made of other things, or their peers make something else of them; of the others what was noted stays."""
    known, casks = before["casks"], changes.now["casks"]
    for several in lives:
        changes.now["lives"][several.head] = several.digest
        if several.digest == before["lives"].get(several.head):
            casks.update((cask, known[cask]) for cask in several.casks)
            continue
        for cask, made in several.words():
            own, was = made.partition(" ")[0], known.get(cask, "")
            if was.startswith(f"{made} "):
                casks[cask] = was
                continue
            casks[cask] = f"{made} {was.split(' ', 2)[2] if was else _NOTHING + _NONE}"
            (changes.judged if was.startswith(f"{own} ") else changes.casks).add(cask)


def _note(whole: Told, known: Mapping[str, str], changes: Changes) -> None:
    """What the entries of each cask say by year, of those that are made of other things; and in which years its entries are others."""
    casks: dict[str, str] = changes.now["casks"]
    for cask in casks if changes.whole else changes.casks & casks.keys():
        years = whole.digests(cask)
        own, judged, _ = casks[cask].split(" ", 2)
        casks[cask] = f"{own} {judged} {_as_text(years)}{_NONE}"
        changes.years |= _other_years(known.get(cask), years)
    for cask in known.keys() - casks.keys():
        changes.years |= _other_years(known[cask], {})


def _tell(whole: Told, known: Mapping[str, str], changes: Changes) -> None:
    """The rows of casks that have others."""
    chosen = whole.of(sorted(changes.casks))
    for place, name in enumerate(BUCKETED, 3):
        of = table(name)
        found = dict(by_cask(of, rows_of(chosen, name, (), {}))) if changes.casks else {}
        digests = {cask: _digest(of, found.get(cask, [])) for cask in sorted(changes.casks)}
        others = _noted_anew(place, digests, known, changes)
        changes.rows[name] = {cask: found.get(cask, []) for cask in others}
    given = _given(rows_of(chosen, GIFT, (), {})) if changes.casks else {}
    changes.gifts |= bool(_noted_anew(_OF_GIFTS, {cask: given.get(cask, _NOTHING) for cask in changes.casks}, known, changes))


def _noted_anew(place: int, digests: Mapping[str, str], known: Mapping[str, str], changes: Changes) -> list[str]:
    """The digests of changed casks are noted; those of which it is another."""
    casks, others = changes.now["casks"], []
    for cask, digest in digests.items():
        if cask in casks:
            casks[cask] = _with(casks[cask], place, digest)
        if digest != (known[cask].split(" ")[place] if cask in known else _NOTHING):
            others.append(cask)
    return others


def _given(rows: Iterable[Row]) -> dict[str, str]:
    """Cask → a digest of its rows of the table of gifts, which are by giver."""
    of, found = table(GIFT), dict[str, list[Row]]()
    at = of.names.index("cask")
    for row in rows:
        found.setdefault(str(row[at]), []).append(row)
    return {cask: _digest(of, own) for cask, own in found.items()}


def by_cask(of: Table, rows: Iterable[Row]) -> Iterator[tuple[str, list[Row]]]:
    """(cask, its rows) of rows of a table, which are by cask."""
    at = of.names.index("cask")
    for cask, own in groupby(rows, lambda row: row[at]):
        yield str(cask), list(own)


def _digest(of: Table, rows: Sequence[Row]) -> str:
    """Of the rows of a cask, but for what is reckoned to the day."""
    if not rows:
        return _NOTHING
    daily = _daily(of.name)
    return short_digest([[value for n, value in enumerate(row) if n not in daily] for row in rows] if daily else [list(row) for row in rows])


@cache
def _daily(name: str) -> frozenset[int]:
    return frozenset(n for n, one in enumerate(table(name).fields) if one.daily)


def _with(told: str, place: int, word: str) -> str:
    words = told.split(" ")
    words[place] = word
    return " ".join(words)


def _as_text(years: Mapping[str, str]) -> str:
    return ",".join(f"{year}:{digest}" for year, digest in sorted(years.items())) or _NOTHING


def _of_text(told: str) -> dict[str, str]:
    return {} if told == _NOTHING else dict(one.split(":") for one in told.split(","))


def _other_years(was: str | None, years: Mapping[str, str]) -> set[str]:
    before = {} if was is None else _of_text(was.split(" ")[2])
    return {year for year in before.keys() | years.keys() if before.get(year) != years.get(year)}
