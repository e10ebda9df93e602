"""What was done on some days: entries counted by job, store, person, day, month or type of cask, with the casks, tests and litres of each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, NamedTuple, get_args

from caskbook.stats.stock import NO_STORE
from caskbook.words.job_table import jobs_with, row_of

By = Literal["job", "store", "person", "day", "month", "type"]
BY: tuple[By, ...] = get_args(By)
FIRST_SCREEN: tuple[By, ...] = ("job", "store", "person", "day")
"""The tables that stand there unasked."""
NO_BERTH, SHOP = "(no berth)", "shop-"
_LAST = (NO_STORE, NO_BERTH)


class Person(NamedTuple):
    """Who signed an entry: the initials as written, `?` where nobody is named; the name, or what is to be said of one who has none; whether
    such a person is of the crew on that day, or such a shop one of the house's, None where the house lists nobody."""

    initials: str
    said: str
    known: bool | None

    @property
    def is_shop(self) -> bool:
        """Whether it is an outside shop."""
        return self.initials.startswith(SHOP)


class Flow(NamedTuple):
    """Litres of liquor that went into the cask and out of it by an entry, as measured; None where it moved some and does not say how much."""

    into: float | None = 0.0
    out: float | None = 0.0


class Entry(NamedTuple):
    """One entry that stands. `behind`: how many days after its day it came into the book, None where its id does not tell; `whole`: every
    value in it can be read; `result`: of a test; `berthed`: whether the cask had a berth then; `type`: of the cask."""

    cask: str
    job: str
    day: date
    person: Person
    store: str | None
    berthed: bool
    result: str | None
    flow: Flow
    behind: int | None
    whole: bool
    type: str | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """Entries of one name. `passed`, `failed`: tests; `no_result`: tests that do not say; litres of those entries that say how much, and
    how many do not (`no_litres`); `late`: entered some days after; `broken`: with a value that cannot be read."""

    name: str
    entries: int
    casks: int
    passed: int
    failed: int
    no_result: int
    litres_in: float
    litres_out: float
    no_litres: int
    late: int
    broken: int
    person: Person | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """The entries divided by `by`: entries, tests and litres of the rows add up to `whole`; a cask may stand in several rows."""

    by: By
    rows: tuple[Row, ...]
    whole: Row


@dataclass(frozen=True, slots=True)
class Late:
    """Entries that came into the book `late_days` days after their day or later: how many, the least and the most days; and of how many it is not told."""

    entries: int
    least: int
    most: int
    not_told: int


def tables_of(entries: Sequence[Entry], names: Iterable[By], late_days: int) -> tuple[Table, ...]:
    """The tables of these entries, one for each name; each entry stands in one row of each."""
    whole = _row("all", entries, late_days)
    return tuple(_table(entries, by, whole, late_days) for by in names)


def late_of(entries: Iterable[Entry], late_days: int) -> Late:
    """The entries that came late, and those of which nobody can tell."""
    told = [entry.behind for entry in entries]
    late = [behind for behind in told if behind is not None and behind >= late_days]
    return Late(len(late), min(late, default=0), max(late, default=0), told.count(None))


def _table(entries: Iterable[Entry], by: By, whole: Row, late_days: int) -> Table:
    found: dict[Any, list[Entry]] = {}
    for entry in entries:
        found.setdefault(_KEY[by](entry), []).append(entry)
    rows = [_row(str(key[0] if by == "person" else key), members, late_days, key if by == "person" else None) for key, members in found.items()]
    return Table(by, tuple(sorted(rows, key=_ORDER[by])), whole)


def _row(name: str, entries: Sequence[Entry], late_days: int, person: Person | None = None) -> Row:
    """One row: each entry counts once, each cask once."""
    tests = [entry.result for entry in entries if entry.job == "test"]
    into, out = ([flow for entry in entries if (flow := getattr(entry.flow, way)) is not None] for way in ("into", "out"))
    return Row(
        name,
        len(entries),
        len({entry.cask for entry in entries}),
        tests.count("pass"),
        tests.count("fail"),
        len(tests) - tests.count("pass") - tests.count("fail"),
        round(sum(into), 3),
        round(sum(out), 3),
        sum(None in entry.flow for entry in entries),
        sum(entry.behind is not None and entry.behind >= late_days for entry in entries),
        sum(not entry.whole for entry in entries),
        person,
    )


def _store(entry: Entry) -> str:
    """The store; of a berth in no store just that, and of a cask without a berth too."""
    return entry.store or (NO_STORE if entry.berthed else NO_BERTH)


def _most_first(row: Row) -> tuple[int, str]:
    return -row.entries, row.name


_KEY: Mapping[By, Callable[[Entry], Any]] = {
    "job": lambda entry: entry.job,
    "store": _store,
    "person": lambda entry: entry.person,
    "day": lambda entry: entry.day.isoformat(),
    "month": lambda entry: entry.day.isoformat()[:7],
    "type": lambda entry: entry.type or "?",
}
_ORDER: Mapping[By, Callable[[Row], Any]] = {
    "job": _most_first,
    "store": lambda row: (_LAST.index(row.name) + 1 if row.name in _LAST else 0, row.name),
    "person": _most_first,
    "day": lambda row: row.name,
    "month": lambda row: row.name,
    "type": _most_first,
}
_INTO, _OUT_OF = (*jobs_with("liquor-in"), "top"), (*jobs_with("liquor-out"), "draw")
"""What was drawn or topped up moves a part, which no trait tells the way of."""
MOVES = frozenset((*_INTO, *_OUT_OF))


def flow_of(job: str, data: Mapping[str, Any]) -> Flow:
    """The litres that an entry moved, out of its own fields."""
    if job not in MOVES:
        return Flow()
    shares = row_of(job).shares
    if shares:
        parts = data.get(shares)
        litres = sum(part["litres"] for part in parts) if parts else None
    else:
        litres = data.get("litres")
    return Flow(into=litres) if job in _INTO else Flow(out=litres)
