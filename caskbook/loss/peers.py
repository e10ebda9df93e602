"""What a fill may be expected to lose: the middle and the spread of its peers, the house's table, or what is usual."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from statistics import median
from typing import Any

from caskbook.loss.figures import USUAL_LITRES, FillFigure
from caskbook.model.house import Settings
from caskbook.words.plural import number_of

MAD_TO_SIGMA = 1.48
"""The median distance from the median, times this, is the standard deviation where figures are spread evenly to both sides."""
LEAST_PEER_YEARS = 1.0
"""A fill gauged over a shorter time tells more of the season and the gauge than of the cask."""
TABLE_SPREAD = 0.25
"""Spread of an expected rate without peers, as a share of it: no source."""
USUAL_TEMPERATE = 0.02
"""Yearly share lost in a temperate store from about 200 L: 1.5 to 2.5 % (trade press), taken where the house names nothing."""


@dataclass(frozen=True, slots=True)
class Expected:
    """Expected yearly share and its spread (one standard deviation), from how many peers (0: a table), and in words whose.

    `drift`: the peers' change of strength, % vol a year, and its spread; None where there are none.
    """

    rate: float
    spread: float
    count: int
    source: str
    drift: float | None = None
    drift_spread: float = 0.0


Key = tuple[str | None, str | None, str | None]
"""Type, store and band; None in the place of type or band stands for every one."""


@dataclass(frozen=True, slots=True)
class Middle:
    """A group of fills that are alike: how many, the middle and spread of their rates as of a 200 L cask, and of their drifts."""

    key: Key
    count: int
    rate: float
    spread: float
    drift: float | None
    drift_spread: float

    def as_row(self) -> tuple[str | None, str | None, str | None, int, float, float, float | None, float]:
        """As an index keeps it."""
        return (*self.key, self.count, self.rate, self.spread, self.drift, self.drift_spread)

    @classmethod
    def from_row(cls, row: Sequence[Any]) -> Middle:
        """The inverse of `as_row`."""
        return cls((row[0], row[1], row[2]), *row[3:8])


@dataclass(slots=True)
class Group:
    """Rates and drifts of fills that are alike."""

    rates: list[float] = field(default_factory=list)
    drifts: list[float] = field(default_factory=list)

    def add(self, rate: float, drift: float | None) -> None:
        """One fill more: its rate as of a 200 L cask."""
        self.rates.append(rate)
        if drift is not None:
            self.drifts.append(drift)

    def middle(self, key: Key) -> Middle:
        """Their figures; there is at least one."""
        drift, drift_spread = spread_of(self.drifts) if self.drifts else (None, 0.0)
        return Middle(key, len(self.rates), *spread_of(self.rates), drift, drift_spread)


def spread_of(values: list[float]) -> tuple[float, float]:
    """(median, 1.48 × the median distance from it)."""
    middle = median(values)
    return middle, MAD_TO_SIGMA * median(abs(value - middle) for value in values)


def by_size(litres: float) -> float:
    """How much faster than from 200 L the spirit goes from a cask of this size: (V / 200 L)^(-1/3), as wall to contents."""
    return float((litres / USUAL_LITRES) ** (-1.0 / 3.0))


def is_peer(figure: FillFigure) -> bool:
    """Whether a fill counts among the peers: its loss known over a year or more, and not all of it gone."""
    return figure.steady is not None and figure.years >= LEAST_PEER_YEARS and figure.steady < 1.0


def rate_of_200(figure: FillFigure) -> float:
    """The yearly share a fill loses, as it would be from a 200 L cask; it must be known."""
    return (figure.steady or 0.0) / by_size(figure.litres)


class PeerTable:
    """Every fill of the book by type, store and fill band. Built in one pass over the figures of all casks, or from kept middles."""

    def __init__(self, figures: Iterable[FillFigure] = ()) -> None:
        self._groups: dict[Key, Group] = {}
        self._middles: dict[Key, Middle] = {}
        for figure in figures:
            self.add(figure)

    @classmethod
    def of_middles(cls, middles: Iterable[Middle]) -> PeerTable:
        """The table as `middles` gave it: enough to judge by, without every fill of the book."""
        table = cls()
        table._middles = {middle.key: middle for middle in middles}
        return table

    def middles(self) -> list[Middle]:
        """Every group's figures, a few hundred rows for a book of any size."""
        return [middle for key in sorted(self._groups, key=str) if (middle := self.middle(key))] or list(self._middles.values())

    def add(self, figure: FillFigure) -> None:
        """Count a fill among the peers, if it can be one."""
        if figure.steady is None or not is_peer(figure):
            return
        rate = rate_of_200(figure)
        for key in _keys(figure):
            self._groups.setdefault(key, Group()).add(rate, figure.drift)
            self._middles.pop(key, None)

    def expected(self, figure: FillFigure, settings: Settings) -> Expected | None:
        """What this fill may be expected to lose; None where nobody can say.

        Its peers by type, store and band; with too few the house's table; then casks of every type in the store, scaled by
        size, of the same band and of any; then, in a temperate store, what is usual. The fill itself is not counted as a peer;
        it is in the middle of its group, which one figure of fifteen hardly moves.
        """
        first, *wider = _keys(figure)
        found = self.of_group(first, figure, settings, "") or from_table(figure, settings)
        for key in wider:
            found = found or self.of_group(key, figure, settings, " of every size, scaled by size")
        return found or _usual(figure, settings)

    def middle(self, key: Key) -> Middle | None:
        """The figures of a group, None for one without fills."""
        if key not in self._middles and key in self._groups:
            self._middles[key] = self._groups[key].middle(key)
        return self._middles.get(key)

    def of_group(self, key: Key, figure: FillFigure, settings: Settings, scaled: str) -> Expected | None:
        """What a group lets expect of this fill; None where it is too small."""
        middle = self.middle(key)
        count = 0 if middle is None else middle.count - is_peer(figure)
        if middle is None or count < settings.due.loss.fewest_peers:
            return None
        size = by_size(figure.litres)
        words = ", ".join(word for word in (key[0], key[1] or "no store", key[2]) if word)
        source = f"{number_of(count, 'peer')}{scaled} ({words})"
        return Expected(max(0.0, middle.rate * size), middle.spread * size, count, source, middle.drift, middle.drift_spread)


def _keys(figure: FillFigure) -> tuple[Key, ...]:
    return (figure.type, figure.store, figure.band), (None, figure.store, figure.band), (None, figure.store, None)


def from_table(figure: FillFigure, settings: Settings) -> Expected | None:
    """The house's own figure: of the type in the store, else of the type, else of the store (then for 200 L, scaled by size)."""
    table = settings.loss_table
    for name in (f"{figure.type}/{figure.store}", figure.type):
        if name in table:
            return Expected(table[name] / 100, TABLE_SPREAD * table[name] / 100, 0, f"house table ({name})")
    if figure.store is not None and figure.store in table:
        rate = table[figure.store] / 100 * by_size(figure.litres)
        return Expected(rate, TABLE_SPREAD * rate, 0, f"house table ({figure.store}, scaled by size)")
    return None


def is_temperate(store: str | None, settings: Settings) -> bool:
    """Whether the house counts the store as temperate; where it names none, all are."""
    return settings.temperate_stores is None or store in settings.temperate_stores


def _usual(figure: FillFigure, settings: Settings) -> Expected | None:
    if not is_temperate(figure.store, settings):
        return None
    rate = USUAL_TEMPERATE * by_size(figure.litres)
    return Expected(rate, TABLE_SPREAD * rate, 0, "usual in a temperate store (trade press), scaled by size")
