"""What casks there are on a day, counted by what they are and by fills since char, in tables that close with one another."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple, get_args

By = Literal["type", "state", "marks", "class-fills", "age", "store", "spirit", "rechars", "wood", "maker", "owner", "parcel", "supplier", "ledger"]
BY: tuple[By, ...] = tuple(by for by in get_args(By) if by != "ledger")
FIRST_SCREEN: tuple[By, ...] = ("type", "state", "marks", "class-fills", "age", "store")
"""What is told unasked: the first as a table, each of the others in a line."""
UNKNOWN, NO_SPIRIT, EMPTY, NO_STORE, AWAY, MISSING, NO_MARK = "?", "no spirit", "empty", "no store", "(away)", "(missing)", "no mark"
BANDS = (0, 3, 6, 9, 12, 15, 18, 21, 25, 30)
"""The first whole year of each band of age; the last is open. Three years to a band, for spirit is spoken of at 3, 12, 15, 18,
21, 25 and 30: common practice, no source."""
Facts = Mapping[str, Any]
_ALWAYS = ("type", "state", "fills_since_char", "never_charred", "rechar_count", "wine_held")


class Limit(NamedTuple):
    """From how many fills since char a type is due to be charred again, and from how many after a re-char."""

    due_at: int
    after_rechar: int


class Differing(NamedTuple):
    """The limits of one type where the houses of several ledgers have other ones: (ledger, its limit)."""

    of: tuple[tuple[str, Limit | None], ...]

    @property
    def words(self) -> str:
        """Each with its ledger: `North 3, South 6`."""
        return ", ".join(f"{ledger} {limit.due_at if limit else 'none'}" for ledger, limit in self.of)


Limits = Mapping[str, Limit | Differing | None]


class Group(NamedTuple):
    """How many casks have the same facts. `facts`: those of `needs`, by name, and `berthed`, whether there is a berth; None is unknown."""

    facts: Facts
    casks: int


@dataclass(frozen=True, slots=True)
class Row:
    """Casks of one name. `since`: how many by fills since char, from 0 on, the last entry for so many and more; `limited`: of
    these, for how many there is a limit, and `at_limit`: how many have reached it. `limit`: that of the row where it is a type, else None."""

    name: str
    since: tuple[int, ...]
    never: int
    unknown: int
    limited: int
    at_limit: int
    limit: Limit | Differing | None = None

    @property
    def casks(self) -> int:
        """All of them."""
        return sum(self.since) + self.never + self.unknown


@dataclass(frozen=True, slots=True)
class Table:
    """The casks in stock divided by `by`; `whole` is all of them, and every column of the rows adds up to it."""

    by: By
    rows: tuple[Row, ...]
    whole: Row


@dataclass(frozen=True, slots=True)
class Stock:
    """The tables of a day. `whereabouts`: how many are here, away, missing, and gone; the gone stand in no table. `limits`: of each
    type in stock, None where it is not charred."""

    tables: tuple[Table, ...]
    top: int
    whereabouts: Mapping[str, int]
    limits: Limits

    @property
    def casks(self) -> int:
        """Those in stock: all that are not gone."""
        return self.listed - self.whereabouts["gone"]

    @property
    def listed(self) -> int:
        """All that `list` has, the gone too."""
        return sum(self.whereabouts.values())

    @property
    def heads(self) -> tuple[str, ...]:
        """What stands over `since` of a row: 0, 1 … and at last so many and more."""
        return (*map(str, range(self.top)), f"{self.top}+")


def needs(names: Iterable[By]) -> tuple[str, ...]:
    """The facts by which the groups of these tables have to be told apart."""
    return tuple(dict.fromkeys([*_ALWAYS, *(fact for name in names for fact in _NAMED[name][0])]))


def stock_of(groups: Sequence[Group], names: Sequence[By], limit_of: Callable[[str], Limit | None], top: int = 0) -> Stock:
    """The tables of these groups, one for each name. `limit_of`: the limit of a type, None where the rule judges none of it; `top`: the last column, at least."""
    whereabouts = dict.fromkeys(("here", "away", "missing", "gone"), 0)
    for facts, casks in groups:
        whereabouts[facts["state"] if facts["state"] in whereabouts else "here"] += casks
    kept = [group for group in groups if group.facts["state"] != "gone"]
    limits = {kind: limit_of(kind) for kind in sorted({group.facts["type"] or UNKNOWN for group in kept})}
    top = max(top, _top(kept, limits))
    return Stock(tuple(_table(kept, name, top, limits) for name in names), top, whereabouts, limits)


def added(stocks: Mapping[str, Stock]) -> Stock:
    """The stocks of several ledgers, which have the same tables and the same last column, as one, and behind its tables one of the ledgers."""
    whole, *others = stocks.values()
    tables = [_added_table(table.by, [stock.tables[n] for stock in stocks.values()]) for n, table in enumerate(whole.tables)]
    ledgers = tuple(replace(stock.tables[0].whole, name=name) for name, stock in stocks.items())
    limits = {kind: _limit_in(stocks, kind) for kind in sorted({kind for stock in stocks.values() for kind in stock.limits})}
    whereabouts = {word: n + sum(stock.whereabouts[word] for stock in others) for word, n in whole.whereabouts.items()}
    kinds = (replace(table, rows=tuple(replace(row, limit=limits[row.name]) for row in table.rows)) if table.by == "type" else table for table in tables)
    return Stock((*kinds, Table("ledger", ledgers, tables[0].whole)), whole.top, whereabouts, limits)


def _limit_in(stocks: Mapping[str, Stock], kind: str) -> Limit | Differing | None:
    """The limit of a type in the ledgers that have it in stock."""
    found = [(name, limit) for name, stock in stocks.items() if kind in stock.limits and not isinstance(limit := stock.limits[kind], Differing)]
    return found[0][1] if len({limit for _, limit in found}) == 1 else Differing(tuple(found))


def _added_table(by: By, tables: Sequence[Table]) -> Table:
    """Rows of one name added up, in the order of one ledger."""
    found: dict[str, list[Row]] = {}
    for table in tables:
        for row in table.rows:
            found.setdefault(row.name, []).append(row)
    return Table(by, tuple(sorted(map(_added_row, found.values()), key=_ORDER.get(by, _by_name))), _added_row([table.whole for table in tables]))


def _added_row(rows: Sequence[Row]) -> Row:
    since = tuple(map(sum, zip(*(row.since for row in rows), strict=True)))
    never, unknown, limited, reached = (sum(figures) for figures in zip(*((row.never, row.unknown, row.limited, row.at_limit) for row in rows), strict=True))
    return Row(rows[0].name, since, never, unknown, limited, reached)


def _top(groups: Iterable[Group], limits: Mapping[str, Limit | None]) -> int:
    """The last column: the highest limit of the types in stock; where none is charred, the most fills there are."""
    charred = [limit.due_at for limit in limits.values() if limit is not None]
    return max(charred) if charred else max([1, *(group.facts["fills_since_char"] or 0 for group in groups if not group.facts["never_charred"])])


def _table(groups: Iterable[Group], by: By, top: int, limits: Mapping[str, Limit | None]) -> Table:
    found: dict[str, list[Group]] = {}
    for group in groups:
        found.setdefault(_NAMED[by][1](group.facts), []).append(group)
    rows = [_row(name, members, top, limits, limits[name] if by == "type" else None) for name, members in found.items()]
    return Table(by, tuple(sorted(rows, key=_ORDER.get(by, _by_name))), _row("all", [group for members in found.values() for group in members], top, limits))


def _row(name: str, groups: Iterable[Group], top: int, limits: Mapping[str, Limit | None], own: Limit | None = None) -> Row:
    """One row: each cask counts once, as never charred, as unknown, or by its fills since char."""
    since, never, unknown, limited, reached = [0] * (top + 1), 0, 0, 0, 0
    for facts, casks in groups:
        count = facts["fills_since_char"]
        if facts["never_charred"]:
            never += casks
        elif count is None:
            unknown += casks
        else:
            since[min(count, top)] += casks
            limit = limits[facts["type"] or UNKNOWN]
            if limit is not None and not facts["wine_held"]:  # What held wine is not charred, as `due rechar` has it.
                limited += casks
                reached += casks if count >= _limit_of(facts, limit) else 0
    return Row(name, tuple(since), never, unknown, limited, reached, own)


def _limit_of(facts: Facts, limit: Limit) -> int:
    """The limit of a cask that was charred; where nobody knows whether its char is a re-char, the higher one."""
    again = facts["rechar_count"]
    return max(limit) if again is None else limit.after_rechar if again > 0 else limit.due_at


def _plain(fact: str) -> tuple[tuple[str, ...], Callable[[Facts], str]]:
    """The name of a row by one fact, as it is."""
    return (fact,), lambda facts: UNKNOWN if facts[fact] is None else str(facts[fact])


def _marks(facts: Facts) -> str:
    """All marks of the cask, as `held + tainted`: the state tells of an empty one that was retired that it was emptied. The index has them as JSON."""
    marks = facts["marks"]
    return UNKNOWN if marks is None else " + ".join(sorted(json.loads(marks) if isinstance(marks, str) else marks)) or NO_MARK


def _age(facts: Facts) -> str:
    """The band of the age of what is in it."""
    years = facts["age_years"]
    if facts["contents"] in ("empty", "wine"):
        return NO_SPIRIT
    return UNKNOWN if years is None else band_of(years)


def band_of(years: int) -> str:
    """The band of an age in whole years: `0-2`, `3-5` … `30+`."""
    at = max(n for n, first in enumerate(BANDS) if first <= max(years, 0))
    return f"{BANDS[at]}+" if at == len(BANDS) - 1 else f"{BANDS[at]}-{BANDS[at + 1] - 1}"


def _store(facts: Facts) -> str:
    """The store; of a cask that is not here where it is instead, and of a berth in no store just that."""
    if facts["state"] in ("away", "missing"):
        return AWAY if facts["state"] == "away" else MISSING
    return str(facts["store"] or (UNKNOWN if not facts["berthed"] else NO_STORE))


def _spirit(facts: Facts) -> str:
    return EMPTY if facts["contents"] == "empty" else str(facts["spirit"] or UNKNOWN)


_NAMED: Mapping[By, tuple[tuple[str, ...], Callable[[Facts], str]]] = {
    "type": (("type",), lambda facts: facts["type"] or UNKNOWN),
    "state": _plain("state"),
    "marks": (("marks",), _marks),
    "class-fills": _plain("fills_of_class"),
    "age": (("contents", "age_years"), _age),
    "store": (("store", "berthed"), _store),
    "spirit": (("contents", "spirit"), _spirit),
    "rechars": _plain("rechar_count"),
    "wood": _plain("wood"),
    "maker": _plain("maker"),
    "owner": _plain("owner"),
    "parcel": _plain("parcel"),
    "supplier": _plain("supplier"),
}
_LAST = (NO_SPIRIT, EMPTY, NO_STORE, AWAY, MISSING, UNKNOWN)


def _by_name(row: Row) -> tuple[int, str]:
    """By name, what is none at the end."""
    return (_LAST.index(row.name) + 1 if row.name in _LAST else 0), row.name


def _by_number(row: Row) -> tuple[int, int]:
    """By the number that the name begins with."""
    first = row.name.rstrip("+").partition("-")[0]
    return _by_name(row)[0], int(first) if first.isdecimal() else 0


_ORDER: Mapping[By, Callable[[Row], Any]] = {
    "state": lambda row: (-row.casks, row.name),
    "marks": lambda row: (-row.casks, row.name),
    "class-fills": _by_number,
    "age": _by_number,
    "rechars": _by_number,
}
