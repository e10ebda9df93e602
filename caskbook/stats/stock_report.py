"""The stock as it is told: its tables with the day, the filters and the settings that hold, and what each figure means."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from caskbook.stats.stock import NO_SPIRIT, UNKNOWN, By, Differing, Limit, Stock, Table


class Terms(NamedTuple):
    """The house's settings of the day by which casks are counted, each under its name in house.yaml."""

    class_of_spirit: tuple[str, ...]
    count_prior: bool
    short_fill_days: int


@dataclass(frozen=True, slots=True)
class StockReport:
    """What is told. `filters`: option without its dashes → words, any of which fits; `only`: the same in words; `times`: the day and
    the revision, as far as they were asked for, alike; `explain`: whether each figure is explained; `of`: where several ledgers are told of, that of each, and `days` the
    day in words."""

    day: date
    stock: Stock
    filters: Mapping[str, Sequence[str]]
    only: tuple[str, ...]
    terms: Terms
    times: Mapping[str, str]
    explain: bool = False
    of: Mapping[str, StockReport] = field(default_factory=dict)
    days: str = ""

    @property
    def kinds_by_limit(self) -> dict[Limit | None, list[str]]:
        """Limit → the types in stock that have it, None those that are not judged; of one ledger."""
        found: dict[Limit | None, list[str]] = {}
        for kind, limit in self.stock.limits.items():
            if not isinstance(limit, Differing):
                found.setdefault(limit, []).append(kind)
        return found

    def said(self, words: Callable[[StockReport], str]) -> str:
        """What is said of the settings; of several ledgers once where it is the same of all, else of each."""
        told = {name: words(one) for name, one in self.of.items()} or {"": words(self)}
        return next(iter(told.values())) if len(set(told.values())) == 1 else "; ".join(f"{name}: {text}" for name, text in told.items())


class Explained(NamedTuple):
    """A figure: what it counts, of how many, and by which setting."""

    figure: str
    counts: str
    of: str
    setting: str = ""


def explained(report: StockReport) -> Iterator[Explained]:
    """What each figure that is shown means, in the order in which they stand; the filters hold for all of them."""
    stock = report.stock
    whole = stock.tables[0].whole
    known, in_stock = sum(whole.since), f"of {stock.casks} in stock"
    yield Explained(
        "in stock",
        "every cask that is not gone (broken up, sold, scrapped, lost or made into others); away and missing ones are in stock;"
        " a joined number counts once, under the number that goes on",
        f"of {stock.listed} that `caskbook list` has",
    )
    yield Explained(
        f"0 … {stock.top}+",
        "fills that found it empty, after its last char; where that was before this book, with the fills before us. The casks of a"
        " column: caskbook list --where \"fills_since_char = 4 and never_charred is not true and state is not 'gone'\"",
        f"{known} {in_stock}",
        report.said(lambda one: f"count_prior {'true' if one.terms.count_prior else 'false'}, short_fill_days {one.terms.short_fill_days}"),
    )
    yield Explained("never", "never charred, here or before; fills of such a cask are not since a char", f"{whole.never} {in_stock}")
    yield Explained(UNKNOWN, "its last char is not known, or its fills since then", f"{whole.unknown} {in_stock}")
    yield Explained(
        "at limit",
        "fills since char have reached the limit of its type, or the lower one where its char is a re-char; types that the house does"
        " not char, and casks that held wine, have none. `caskbook due rechar` says what to do",
        f"{whole.at_limit} of {whole.limited} that have a limit and known fills since char",
        f"due.rechar.due_at, .after_rechar_due_at, .off_types and .off: {limit_words(report)}",
    )
    for table in stock.tables:
        yield _of_table(table, report)


def limit_words(report: StockReport) -> str:
    """The limits with the types that have them: `5, 2 after a re-char; none for butt`. Where there are several, each names its types; where houses have other ones,
    those of each."""
    differ = any(isinstance(limit, Differing) for limit in report.stock.limits.values())
    return report.said(_limit_words) if differ else _limit_words(report)


def _limit_words(report: StockReport) -> str:
    by_limit = report.kinds_by_limit
    limits = [limit for limit in by_limit if limit is not None]
    said = [f"{limit.due_at}, {limit.after_rechar} after a re-char" + (f" ({', '.join(by_limit[limit])})" if len(limits) > 1 else "") for limit in limits]
    return "; ".join([*said, *([f"none for {', '.join(by_limit[None])}"] if None in by_limit else [])])


def known_of(table: Table) -> str:
    """Of how many casks the table knows where they belong, as `743 of 800 known`; of ages those without spirit are left aside."""
    aside = {row.name: row.casks for row in table.rows if row.name in (UNKNOWN, NO_SPIRIT)}
    of = table.whole.casks - aside.get(NO_SPIRIT, 0)
    return f"{of - aside.get(UNKNOWN, 0)} of {of}{' with spirit' if table.by == 'age' else ''} known"


def _of_table(table: Table, report: StockReport) -> Explained:
    counts, setting = _COUNTS[table.by]
    words = {"class-fills": f"class_of_spirit {report.said(lambda one: ', '.join(one.terms.class_of_spirit))}"}
    return Explained(table.by, counts, known_of(table), words.get(table.by, setting))


_COUNTS: Mapping[By, tuple[str, str]] = {
    "type": ("the type of the head, as corrected", ""),
    "state": ("the first that is so: missing, away, filled, seasoning, shook, open, emptied (nothing examined since), else its fitness", ""),
    "marks": ("all its marks, whatever its state: held, retired, rejected, tainted", ""),
    "class-fills": ("fills with the house's class of spirit in its whole life, whoever filled it", "class_of_spirit"),
    "age": (
        "whole years since the spirit in it first went into oak, of a mixture the youngest; casks without spirit stand apart",
        "bands of the report: no setting",
    ),
    "store": ("the store that its berth lies in, by the settings of the day", "stores"),
    "spirit": ("what is in it", ""),
    "rechars": ("chars of a cask that had held liquor, in its whole life", ""),
    "wood": ("kind of oak", ""),
    "maker": ("who made it", ""),
    "owner": ("whose it is", ""),
    "parcel": ("the parcel it came in", ""),
    "supplier": ("who supplied it", ""),
    "ledger": ("the ledger it is in, called as its house", "name"),
}
