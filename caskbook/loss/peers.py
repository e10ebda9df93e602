"""What a fill may be expected to lose: the middle and the spread of its peers, the house's table, or what is usual."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from statistics import median
from typing import Any

from caskbook.loss.expected import Expected, by_size, from_table, usual_of
from caskbook.loss.figures import FillFigure
from caskbook.model.house import Settings
from caskbook.words.plural import number_of

MAD_TO_SIGMA = 1.48
"""The median distance from the median, times this, is the standard deviation where figures are spread evenly to both sides."""
LEAST_PEER_YEARS = 1.0
"""A fill gauged over a shorter time tells more of the season and the gauge than of the cask."""
KINDS_APART = 0.2
"""How far one kind of cask lies from all those of its store, as a share of the rate: no source. Few peers are leaned on the wider group by it."""
USUAL_SPREAD = 0.2
"""How far casks of a kind lie apart, as a share of the rate, before any tell it: no source."""
AS_MANY = 15
"""So many casks the usual spread counts for beside those that are on record."""
NOISE_AS_MANY = 5
"""So many casks what gauges are taken to err by counts for beside how far the fills lie apart: no source."""
FEW = 60
"""Of a group up to this size each fill is kept, so that a fill is not held against itself."""
MEDIAN_ERROR = 1.25
"""Standard deviation of a median, by that of a mean: the root of pi / 2."""


Key = tuple[str | None, str | None, str | None]
"""Type, store and band; None in the place of type or band stands for every one."""


@dataclass(frozen=True, slots=True)
class Middle:
    """A group of fills that are alike: how many, the middle of their rates as of a 200 L cask and their spread without measuring error, and of their
    drifts the middle and spread. `noise`: the middle of their measuring errors. `few`: (rate, error) of each where they are few."""

    key: Key
    count: int
    rate: float
    spread: float
    drift: float | None
    drift_spread: float
    noise: float = 0.0
    few: tuple[tuple[float, float], ...] = ()

    def as_row(self) -> tuple[str | None, str | None, str | None, int, float, float, float | None, float, float, str]:
        """As an index keeps it."""
        return (*self.key, self.count, self.rate, self.spread, self.drift, self.drift_spread, self.noise, json.dumps(self.few))

    @classmethod
    def from_row(cls, row: Sequence[Any]) -> Middle:
        """The inverse of `as_row`."""
        kind, store, band, count, rate, spread, drift, drift_spread, noise, few = row
        return cls((kind, store, band), count, rate, spread, drift, drift_spread, noise, tuple((one, sigma) for one, sigma in json.loads(few)))

    def noise_between(self) -> float:
        """The measuring error by which the fills differ: not more than they are seen to lie apart (`without_error`). What errs alike in all is none."""
        seen, others = min(3.0 * self.spread**2, self.noise**2), self.count - 1
        return math.sqrt((others * seen + NOISE_AS_MANY * self.noise**2) / (others + NOISE_AS_MANY))

    def without(self, figure: FillFigure) -> Middle | None:
        """The group but for this fill, which is no peer of its own; None where nothing is left. In a large group one fill hardly counts, and it stays."""
        if not is_peer(figure):
            return self
        own = (rate_of_200(figure), sigma_of_200(figure))
        if own not in self.few:
            return replace(self, count=self.count - 1) if self.count > 1 else None
        left = list(self.few)
        left.remove(own)
        if not left:
            return None
        middle, spread = spread_of([rate for rate, _ in left])
        sigmas = [sigma for _, sigma in left]
        return replace(self, count=len(left), rate=middle, spread=without_error(spread, sigmas), noise=median(sigmas), few=tuple(left))


@dataclass(slots=True)
class Group:
    """Rates of fills that are alike, their measuring errors, and their drifts."""

    rates: list[float] = field(default_factory=list)
    sigmas: list[float] = field(default_factory=list)
    drifts: list[float] = field(default_factory=list)

    def add(self, rate: float, sigma: float, drift: float | None) -> None:
        """One fill more: its rate and error as of a 200 L cask."""
        self.rates.append(rate)
        self.sigmas.append(sigma)
        if drift is not None:
            self.drifts.append(drift)

    def middle(self, key: Key) -> Middle:
        """Their figures; there is at least one."""
        drift, drift_spread = spread_of(self.drifts) if self.drifts else (None, 0.0)
        middle, spread = spread_of(self.rates)
        few = tuple(sorted(zip(self.rates, self.sigmas, strict=True))) if len(self.rates) <= FEW else ()
        return Middle(key, len(self.rates), middle, without_error(spread, self.sigmas), drift, drift_spread, median(self.sigmas), few)


def spread_of(values: list[float]) -> tuple[float, float]:
    """(median, 1.48 × the median distance from it)."""
    middle = median(values)
    return middle, MAD_TO_SIGMA * median(abs(value - middle) for value in values)


def without_error(spread: float, sigmas: list[float]) -> float:
    """The spread of the casks themselves: what gauges that err like these would spread them by is taken out, but half of it is left in any case, for what the
    wood takes, which is in those errors, is often nearly the same in all."""
    return math.sqrt(max(spread**2 / 4, spread**2 - median(sigma**2 for sigma in sigmas)))


def with_usual(spread: float, rate: float, count: int) -> float:
    """The spread of so many casks, leaned on the usual one: few that happen to lie close together tell little of the next."""
    return math.sqrt((count * spread**2 + AS_MANY * (USUAL_SPREAD * rate) ** 2) / (count + AS_MANY))


def is_peer(figure: FillFigure) -> bool:
    """Whether a fill counts among the peers: its loss known over a year or more, and not all of it gone."""
    return figure.steady is not None and figure.years >= LEAST_PEER_YEARS and figure.steady < 1.0


def rate_of_200(figure: FillFigure) -> float:
    """The yearly share a fill loses, as it would be from a 200 L cask; it must be known."""
    return (figure.steady or 0.0) / by_size(figure.litres)


def sigma_of_200(figure: FillFigure) -> float:
    """The measuring error of `rate_of_200`, one standard deviation."""
    return figure.sigma * (1.0 - (figure.steady or 0.0)) / by_size(figure.litres)


class PeerTable:
    """Every fill of the book by type, store and fill band. Built in one pass over the figures of all casks, or from kept middles."""

    def __init__(self, figures: Iterable[FillFigure] = ()) -> None:
        self._groups: dict[Key, Group] = {}
        self._middles: dict[Key, Middle] = {}
        self._of_size: dict[tuple[Middle, float, bool, int], Expected | None] = {}
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
        rate, sigma = rate_of_200(figure), sigma_of_200(figure)
        for key in _keys(figure):
            self._groups.setdefault(key, Group()).add(rate, sigma, figure.drift)
            self._middles.pop(key, None)

    def expected(self, figure: FillFigure, settings: Settings) -> Expected | None:
        """What this fill may be expected to lose; None where nobody can say.

        Its peers by type, store and band, where they are enough (`fewest_peers`). Fewer are leaned on the house's table, or on casks of every type in the
        store, scaled by size, of any band and of the same, or, in a temperate store, on what is usual: each by how well it is known. The fill itself is
        not counted as a peer; it is in the middle of its group, which one figure of fifteen hardly moves.
        """
        own, *wider = _keys(figure)
        whole = self.of_group(own, figure, settings)
        if whole is not None:
            return whole
        found = from_table(figure, settings)
        for key in wider:
            found = found or self.of_group(key, figure, settings)
        few, table = found is None or not found.count, found.rate if found is not None and not found.count else None
        if found is None:
            found = usual_of(figure, settings)
            for key in reversed(wider):
                found = self._leaned(found, key, figure)
        leaned = self._leaned(found, own, figure)
        return leaned if leaned is None else replace(leaned, few=few, table=table)

    def _leaned(self, wide: Expected | None, key: Key, figure: FillFigure) -> Expected | None:
        """What few peers tell together with what is expected of a wider kind, each by its error; `wide` itself where there are none."""
        middle = self._others(key, figure)
        if middle is None:
            return wide
        alone = _by_group(middle, key, figure, 0.0 if wide is None else wide.rate)
        if wide is None:
            return alone
        own, before = alone.middle_error**2, wide.middle_error**2 + (KINDS_APART * wide.rate) ** 2
        share = before / (before + own) if before + own > 0 else 1.0
        drifts, rate = alone if alone.drift is not None else wide, share * alone.rate + (1.0 - share) * wide.rate
        # What few lose that may leak says nothing of how far sound casks lie apart: that goes by what is expected of them.
        spread = alone.spread if wide.count else _spread_of(middle, figure, max(rate, wide.rate))
        return replace(
            alone, rate=rate, spread=spread, source=f"{alone.source}, with {wide.source}", drift=drifts.drift,
            drift_spread=drifts.drift_spread, middle_error=math.sqrt(share * own),
        )  # fmt: skip

    def middle(self, key: Key) -> Middle | None:
        """The figures of a group, None for one without fills."""
        if key not in self._middles and key in self._groups:
            self._middles[key] = self._groups[key].middle(key)
        return self._middles.get(key)

    def _others(self, key: Key, figure: FillFigure) -> Middle | None:
        middle = self.middle(key)
        return None if middle is None else middle.without(figure)

    def of_group(self, key: Key, figure: FillFigure, settings: Settings) -> Expected | None:
        """What a group lets expect of this fill by itself; None where it is too small for that."""
        whole = self.middle(key)
        if whole is not None and not whole.few:
            return self._of_many(whole, figure, settings.due.loss.fewest_peers)
        middle = None if whole is None else whole.without(figure)
        if middle is None or middle.count < settings.due.loss.fewest_peers:
            return None
        return _by_group(middle, key, figure)

    def _of_many(self, whole: Middle, figure: FillFigure, fewest: int) -> Expected | None:
        """The same of a group of which no fill is known apart, where it is alike for all fills of one size that are, or are not, in it."""
        which = whole, figure.litres, is_peer(figure), fewest
        if which not in self._of_size:
            middle = whole.without(figure)
            self._of_size[which] = None if middle is None or middle.count < fewest else _by_group(middle, whole.key, figure)
        return self._of_size[which]

    def in_store(self, store: str | None, figure: FillFigure, settings: Settings) -> Expected | None:
        """What the fill might be expected to lose, had it lain in this store alone."""
        return self.expected(figure if store == figure.store else replace(figure, store=store, steady=None), settings)


def _by_group(middle: Middle, key: Key, figure: FillFigure, about: float = 0.0) -> Expected:
    """What a group alone lets expect of a fill; `about`: the rate of a wider kind, which few of a low rate by chance are no surer than."""
    size, count = by_size(figure.litres), middle.count
    rate = max(0.0, middle.rate * size)
    spread = _spread_of(middle, figure, max(rate, about))
    error = MEDIAN_ERROR * math.hypot(spread, middle.noise_between() * size) / math.sqrt(count)
    return Expected(rate, spread, count, _source(count, key), middle.drift, middle.drift_spread, error, count + AS_MANY - 1.0)


def _spread_of(middle: Middle, figure: FillFigure, rate: float) -> float:
    """How far casks of a group lie apart, leaned on the usual spread about a rate."""
    return with_usual(middle.spread * by_size(figure.litres), rate, middle.count)


def _source(count: int, key: Key) -> str:
    scaled = " of every size, scaled by size" if key[0] is None else ""
    words = ", ".join(word for word in (key[0], key[1] or "no store", key[2]) if word)
    return f"{number_of(count, 'peer')}{scaled} ({words})"


def _keys(figure: FillFigure) -> tuple[Key, ...]:
    return (figure.type, figure.store, figure.band), (None, figure.store, figure.band), (None, figure.store, None)
