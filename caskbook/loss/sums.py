"""Fills summed as they come, cask by cask, in whole hundredths of a litre: nothing of a fill is held but its rates, of which the middle is told."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from itertools import chain
from operator import attrgetter
from statistics import median
from typing import Any

from caskbook.loss.account_rows import NONE, FillRow, GroupRow

_COUNTS = ("casks", "fills", "gauged", "litres", "lpa", "put_in", "held", "leaked", "act", "watch", "complete", "doubtful")


class Sums:
    """Fills together, of whole casks: counts, litres in hundredths, and the rates of each fill."""

    __slots__ = (*_COUNTS, "rates", "ratios")

    def __init__(self) -> None:
        self.casks = self.fills = self.gauged = self.litres = self.lpa = self.put_in = self.held = self.leaked = 0
        self.act = self.watch = self.complete = self.doubtful = 0
        self.rates: list[float] = []
        self.ratios: list[float] = []

    def take(self, rows: Sequence[FillRow]) -> None:
        """The rows of one cask more; of a fill in several rows everything but the sums counts once."""
        known = [row for row in rows if row.lpa is not None]
        fills = {row.which: row for row in rows}
        gauged = {row.which: row for row in known}
        levels = [row.verdict for row in fills.values()]
        self.casks += 1
        self.fills += len(fills)
        self.gauged += len(gauged)
        self.litres += _sum(known, "litres")
        self.lpa += _sum(known, "lpa")
        self.put_in += _sum(known, "put_in")
        self.leaked += _sum(known, "leaked")
        self.held += _held(known)
        self.act += levels.count("act")
        self.watch += levels.count("watch")
        self.complete += len(fills.keys() - {row.which for row in rows if not row.complete})
        self.doubtful += len({row.which for row in rows if row.doubt is not None})
        self.rates += [row.after_in_drink for row in gauged.values() if row.after_in_drink is not None]
        self.ratios += [row.times for row in gauged.values() if row.times is not None]

    def figure(self, key: str) -> Any:
        """One of the figures of the row, by its name there; litres in hundredths."""
        if key == "share":
            return self.share
        values = {"middle": self.rates, "times": self.ratios}.get(key)
        return getattr(self, key) if values is None else _middle(values)

    @property
    def share(self) -> float | None:
        """The share that was lost of what was there and came in; None where that is nothing."""
        return float(_litres(self.lpa) / _litres(self.held)) if self.held else None

    def row(self, name: str) -> GroupRow:
        """All of it as one row."""
        return GroupRow(
            name, self.casks, self.fills, self.gauged, _litres(self.litres), _litres(self.lpa), _litres(self.put_in), self.share, _middle(self.rates),
            self.act, self.watch, _litres(self.held), _middle(self.ratios), self.complete, self.doubtful, _litres(self.lpa - self.leaked), _litres(self.leaked),
        )  # fmt: skip


def together(sums: Iterable[Sums]) -> Sums:
    """The fills of all of them, none of a cask that is in another. Figure by figure, for of a large book each cask is a sum of its own."""
    found, whole = list(sums), Sums()
    for name in _COUNTS:
        setattr(whole, name, sum(map(attrgetter(name), found)))
    whole.rates = list(chain.from_iterable(map(attrgetter("rates"), found)))
    whole.ratios = list(chain.from_iterable(map(attrgetter("ratios"), found)))
    return whole


def without(whole: Sums, some: Sums) -> Sums:
    """What is left of fills together where some whole casks of them are taken out."""
    left = Sums()
    for name in _COUNTS:
        setattr(left, name, getattr(whole, name) - getattr(some, name))
    left.rates, left.ratios = _less(whole.rates, some.rates), _less(whole.ratios, some.ratios)
    return left


def _less(values: Sequence[float], gone: Sequence[float]) -> list[float]:
    """Values without some of them, each as often as it is there."""
    count, left = Counter(gone), []
    for value in values:
        if count.get(value):
            count[value] -= 1
        else:
            left.append(value)
    return left


def _litres(hundredths: int) -> Decimal:
    return Decimal(hundredths).scaleb(-2)


def _sum(rows: Sequence[FillRow], key: str) -> int:
    return _hundredths(sum((value for row in rows if (value := getattr(row, key)) is not None), NONE))


def _hundredths(litres: Decimal) -> int:
    return int(litres.scaleb(2))


def _held(rows: Sequence[FillRow]) -> int:
    """What was there at the beginning and put in since: what a fill took along from one of these parts into the next counts once."""
    last: dict[tuple[str, str, date], date] = {}
    held = NONE
    for row in sorted(rows, key=lambda row: (row.first or date.max, row.last or date.max)):
        fill = row.which
        goes_on = fill in last and row.first is not None and row.first <= last[fill]
        held += (row.put_in if goes_on else row.held) or NONE
        last[fill] = max(last.get(fill, date.min), row.last or date.min)
    return _hundredths(held)


def _middle(values: Sequence[float]) -> float | None:
    return median(values) if values else None
