"""What a fill may be expected to lose: the middle and the spread of its peers, the house's table, or what is usual."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from statistics import median

from caskbook.house import Settings
from caskbook.loss.figures import USUAL_LITRES, FillFigure

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


@dataclass(slots=True)
class _Group:
    """Rates as of a 200 L cask, and drifts, of fills that are alike."""

    rates: list[float] = field(default_factory=list)
    drifts: list[float] = field(default_factory=list)
    own: dict[str, int] = field(default_factory=dict)
    known: tuple[float, float, float | None, float] | None = None

    def add(self, figure: FillFigure, rate: float) -> None:
        self.rates.append(rate)
        self.own[figure.cask] = self.own.get(figure.cask, 0) + 1
        if figure.drift is not None:
            self.drifts.append(figure.drift)
        self.known = None

    def peers_of(self, cask: str) -> int:
        """How many figures are of other casks."""
        return len(self.rates) - self.own.get(cask, 0)

    def middles(self) -> tuple[float, float, float | None, float]:
        """(rate, spread, drift, spread of the drift)."""
        if self.known is None:
            drift = spread_of(self.drifts) if self.drifts else (None, 0.0)
            self.known = (*spread_of(self.rates), *drift)
        return self.known


def spread_of(values: list[float]) -> tuple[float, float]:
    """(median, 1.48 × the median distance from it)."""
    middle = median(values)
    return middle, MAD_TO_SIGMA * median(abs(value - middle) for value in values)


def by_size(litres: float) -> float:
    """How much faster than from 200 L the spirit goes from a cask of this size: (V / 200 L)^(-1/3), as wall to contents."""
    return float((litres / USUAL_LITRES) ** (-1.0 / 3.0))


class PeerTable:
    """Every fill of the book by type, store and fill band. Built in one pass over the figures of all casks."""

    def __init__(self, figures: Iterable[FillFigure] = ()) -> None:
        self._groups: dict[tuple[str | None, str | None, str | None], _Group] = {}
        for figure in figures:
            self.add(figure)

    def add(self, figure: FillFigure) -> None:
        """Count a fill among the peers, if its loss is known over a year or more and not all of it went."""
        if figure.steady is None or figure.years < LEAST_PEER_YEARS or figure.steady >= 1.0:
            return
        rate = figure.steady / by_size(figure.litres)
        for key in _keys(figure):
            self._groups.setdefault(key, _Group()).add(figure, rate)

    def expected(self, figure: FillFigure, settings: Settings) -> Expected | None:
        """What this fill may be expected to lose; None where nobody can say.

        Its peers by type, store and band; with too few the house's table; then casks of every type in the store, scaled by
        size, of the same band and of any; then, in a temperate store, what is usual.
        """
        first, *wider = _keys(figure)
        found = self._of(first, figure, settings, "") or from_table(figure, settings)
        for key in wider:
            found = found or self._of(key, figure, settings, " of every size, scaled by size")
        return found or _usual(figure, settings)

    def _of(self, key: tuple[str | None, str | None, str | None], figure: FillFigure, settings: Settings, scaled: str) -> Expected | None:
        group = self._groups.get(key)
        count = 0 if group is None else group.peers_of(figure.cask)
        if group is None or count < settings.due.loss.fewest_peers:
            return None
        rate, spread, drift, drift_spread = group.middles()
        size = by_size(figure.litres)
        words = ", ".join(word for word in (key[0], key[1] or "no store", key[2]) if word)
        return Expected(max(0.0, rate * size), spread * size, count, f"{count} peers{scaled} ({words})", drift, drift_spread)


def _keys(figure: FillFigure) -> tuple[tuple[str | None, str | None, str | None], ...]:
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
