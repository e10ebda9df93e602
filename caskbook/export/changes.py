"""What is otherwise than at the last export, cask by cask: which rows have to be told anew, and which files therefore are written anew."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache, cached_property
from itertools import groupby
from typing import Any, Protocol

from caskbook.core.digest import short_digest
from caskbook.export.buckets import bucket_of, buckets_for
from caskbook.export.columns import Table
from caskbook.export.rows import Row, Whole, rows_of
from caskbook.export.schema import BUCKETED, GIFT, table

Seen = dict[str, Any]
"""What an export was made of: {layout, basis, joined, day, buckets, casks: {cask: own judged years, a digest for each table of BUCKETED and one of its gifts, parted by blanks}}."""
LAYOUT = 2
_NOTHING = "-"
_OF_GIFTS = 3 + len(BUCKETED)
_MOST_CHANGED = 3


class Told(Whole, Protocol):
    """Both what the rows are made of and what tells whether they are as they were (`WholeBook` of the index)."""

    def of(self, casks: Iterable[str]) -> Told: ...

    def basis(self) -> str: ...

    def joined(self) -> Mapping[str, str]: ...

    def lives(self) -> Mapping[str, str]: ...

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


def changes_since(whole: Told, old: Seen | None) -> Changes:
    """What is otherwise than at the last export, of which `old` is what it was made of; None: whatever it is."""
    lives = whole.lives()
    now: Seen = {
        "layout": LAYOUT, "basis": whole.basis(), "joined": short_digest(sorted(whole.joined().items())), "day": whole.day.isoformat(),
        "buckets": buckets_for(len(lives)), "casks": {},
    }  # fmt: skip
    alike = old is not None and old.get("layout") == LAYOUT and all(old[key] == now[key] for key in ("basis", "buckets"))
    known: dict[str, str] = old["casks"] if old is not None and alike else {}
    changes = Changes(now, bool(known), whole=not known, turned=old is not None and alike and old["day"] != now["day"])
    changes.gifts = not alike or old is None or old["joined"] != now["joined"]
    entered: dict[str, set[str]] = {}
    if old is not None and changes.turned:
        for cask, year in whole.entered_between(*sorted((date.fromisoformat(old["day"]), whole.day))):
            entered.setdefault(cask, set()).add(year)
    _compare(lives, known, entered, changes)
    changes.whole |= len(changes.casks) * _MOST_CHANGED > len(lives)
    _note(whole, lives, known, changes)
    changes.years.update(*entered.values())
    if not changes.whole:
        _tell(whole, lives, known, changes)
    return changes


def _compare(lives: Mapping[str, str], known: Mapping[str, str], entered: Collection[str], changes: Changes) -> None:
    """Which casks are made of other things, or their peers make something else of them; of the others what is noted stays."""
    casks: dict[str, str] = changes.now["casks"]
    for cask, made in lives.items():
        was = casks[cask] = known.get(cask, "")
        if was.startswith(f"{made} ") and cask not in entered:
            continue
        own = made.partition(" ")[0]
        if not was.startswith(f"{own} ") or cask in entered:
            changes.casks.add(cask)
        else:
            changes.judged.add(cask)
    changes.casks |= known.keys() - lives.keys()


def _note(whole: Told, lives: Mapping[str, str], known: Mapping[str, str], changes: Changes) -> None:
    """What each cask is made of, and in which years its entries are others."""
    casks: dict[str, str] = changes.now["casks"]
    nothing = f" {_NOTHING}" * (len(BUCKETED) + 1)
    for cask in lives if changes.whole else changes.casks & lives.keys():
        years = whole.digests(cask)
        casks[cask] = f"{lives[cask]} {_as_text(years)}{nothing}"
        changes.years |= _other_years(known.get(cask), years)
    for cask in () if changes.whole else changes.judged:
        casks[cask] = _with(known[cask], 1, lives[cask].partition(" ")[2])
    for cask in known.keys() - lives.keys():
        changes.years |= _other_years(known[cask], {})


def _tell(whole: Told, lives: Mapping[str, str], known: Mapping[str, str], changes: Changes) -> None:
    """The rows of casks that have others."""
    chosen = whole.of(sorted(changes.casks))
    for place, name in enumerate(BUCKETED, 3):
        of = table(name)
        found = dict(by_cask(of, rows_of(chosen, name, (), {}))) if changes.casks else {}
        digests = {cask: _digest(of, found.get(cask, [])) for cask in sorted(changes.casks)}
        others = _noted_anew(place, digests, lives, known, changes)
        changes.rows[name] = {cask: found.get(cask, []) for cask in others}
    given = _given(rows_of(chosen, GIFT, (), {})) if changes.casks else {}
    changes.gifts |= bool(_noted_anew(_OF_GIFTS, {cask: given.get(cask, _NOTHING) for cask in changes.casks}, lives, known, changes))


def _noted_anew(place: int, digests: Mapping[str, str], lives: Mapping[str, str], known: Mapping[str, str], changes: Changes) -> list[str]:
    """The digests of changed casks are noted; those of which it is another."""
    casks, others = changes.now["casks"], []
    for cask, digest in digests.items():
        if cask in lives:
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
