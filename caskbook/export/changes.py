"""What is otherwise than at the last export, cask by cask: which rows have to be told anew, and which files therefore are written anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache, cached_property
from itertools import groupby
from typing import Any, Protocol

from caskbook.core.digest import short_digest
from caskbook.export.buckets import bucket_of, buckets_for
from caskbook.export.columns import Table
from caskbook.export.rows import Row, Whole, rows_of
from caskbook.export.schema import BUCKETED, table

Seen = dict[str, Any]
"""What an export was made of: {layout, basis, day, buckets, casks: {cask: own judged years and a digest for each table of BUCKETED, parted by blanks}}."""
LAYOUT = 1
_NOTHING = "-"
_MOST_CHANGED = 3


class Made(Protocol):
    """What the rows of a cask are made of, as a word each."""

    @property
    def own(self) -> str: ...

    @property
    def judged(self) -> str: ...


class Told(Whole, Protocol):
    """Both what the rows are made of and what tells whether they are as they were (`WholeBook` of the index)."""

    def of(self, casks: Iterable[str]) -> Told: ...

    def basis(self) -> str: ...

    def lives(self) -> Mapping[str, Made]: ...

    def digests(self, made: Any) -> dict[str, str]: ...

    def entered_between(self, first: date, last: date) -> Iterable[tuple[str, str]]: ...


@dataclass
class Changes:
    """`now`: what the export is made of; `alike`: whether anything that the last one was made of can be believed. Where `whole`, all is told anew; else `turned` says whether it is of another day than the last one, `casks` whose rows
    may be others, `judged` of whom something else is due, `years` which years of entries are others, and `rows` for each table of BUCKETED the rows of each cask
    that has others (none where it has no more)."""

    now: Seen
    alike: bool
    whole: bool = True
    turned: bool = False
    casks: set[str] = field(default_factory=set)
    judged: set[str] = field(default_factory=set)
    years: set[str] = field(default_factory=set)
    rows: dict[str, dict[str, list[Row]]] = field(default_factory=dict)

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


def changes_since(whole: Told, old: Seen | None) -> Changes:
    """What is otherwise than at the last export, of which `old` is what it was made of; None: whatever it is."""
    lives = whole.lives()
    now: Seen = {"layout": LAYOUT, "basis": whole.basis(), "day": whole.day.isoformat(), "buckets": buckets_for(len(lives)), "casks": {}}
    alike = old is not None and old.get("layout") == LAYOUT and all(old[key] == now[key] for key in ("basis", "buckets"))
    known: dict[str, str] = old["casks"] if old is not None and alike else {}
    changes = Changes(now, bool(known), whole=not known, turned=old is not None and alike and old["day"] != now["day"])
    entered: dict[str, set[str]] = {}
    if old is not None and changes.turned:
        for cask, year in whole.entered_between(*sorted((date.fromisoformat(old["day"]), whole.day))):
            entered.setdefault(cask, set()).add(year)
    for cask, made in lives.items():
        was = known.get(cask, "").split(" ")
        if was[0] != made.own or cask in entered:
            changes.casks.add(cask)
        elif was[1] != made.judged:
            changes.judged.add(cask)
    changes.casks |= known.keys() - lives.keys()
    changes.whole |= len(changes.casks) * _MOST_CHANGED > len(lives)
    _note(whole, lives, known, changes)
    changes.years.update(*entered.values())
    if not changes.whole:
        _tell(whole, lives, known, changes)
    return changes


def _note(whole: Told, lives: Mapping[str, Made], known: Mapping[str, str], changes: Changes) -> None:
    """What each cask is made of, and in which years its entries are others."""
    casks: dict[str, str] = changes.now["casks"]
    nothing = f" {_NOTHING}" * len(BUCKETED)
    for cask, made in lives.items():
        if not changes.whole and cask not in changes.casks:
            casks[cask] = known[cask] if cask not in changes.judged else _with(known[cask], 1, made.judged)
        else:
            years = whole.digests(made)
            casks[cask] = f"{made.own} {made.judged} {_as_text(years)}{nothing}"
            changes.years |= _other_years(known.get(cask), years)
    for cask in known.keys() - lives.keys():
        changes.years |= _other_years(known[cask], {})


def _tell(whole: Told, lives: Mapping[str, Made], known: Mapping[str, str], changes: Changes) -> None:
    """The rows of casks that have others."""
    casks: dict[str, str] = changes.now["casks"]
    chosen = whole.of(sorted(changes.casks))
    for place, name in enumerate(BUCKETED, 3):
        of, others = table(name), dict[str, list[Row]]()
        found = dict(by_cask(of, rows_of(chosen, name, (), {}))) if changes.casks else {}
        for cask in sorted(changes.casks):
            rows = found.get(cask, [])
            digest = _digest(of, rows)
            if cask in lives:
                casks[cask] = _with(casks[cask], place, digest)
            if digest != (known[cask].split(" ")[place] if cask in known else _NOTHING):
                others[cask] = rows
        changes.rows[name] = others


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
