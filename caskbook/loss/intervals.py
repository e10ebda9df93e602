"""The loss between two gauges, what was put in or taken out allowed for: litres, share, and the rate a year with its error."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from caskbook.core.days import years_between
from caskbook.gauging.roots import root
from caskbook.loss.gauges import Gauge, Move

LEAST_YEARS = 30 / 365.2425
"""A shorter stretch is not stretched out to a year: its error would be larger than any loss."""
COVERAGE = 2.0
"""± is two standard deviations. What the wood takes at first is known to about half of it: no source."""
_MOST_GAIN = 100.0
_MOST_LOG = 700.0

GAIN = "gain"
WITHIN = "within-error"
UNCORRECTED = "uncorrected"
NO_FIGURE = "no-figure"


@dataclass(frozen=True, slots=True)
class Interval:
    """From one gauge to another. Fractions of one, not percent; None where it cannot be told.

    `share`: lost of what was there and put in, moves allowed for. `per_year`: r = 1 - (LPA2/LPA1)^(1/years). `steady`: the same without `in_drink`, the share of the first gauge that went
    into the wood. `gauged`: standard deviation of the logarithmic rate a year, of gauging alone; `sigma` with that of `in_drink`. `drift`: % vol a year, `drift_sigma` its error.
    `flags`: gain, within-error, uncorrected, no-figure.
    """

    first: Gauge
    last: Gauge
    moves: tuple[Move, ...]
    years: float
    share: float | None
    per_year: float | None
    steady: float | None
    in_drink: float
    kept: float | None
    gauged: float
    sigma: float
    drift: float | None
    drift_sigma: float
    flags: tuple[str, ...]

    @property
    def lost(self) -> Decimal | None:
        """Litres of pure alcohol that went, as they count: the difference of what is shown, moves allowed for."""
        return _lost(self.first, self.last, self.moves)

    @property
    def there(self) -> Decimal:
        """Litres of alcohol that were there and came in, to the hundredth."""
        return sum((move.counted for move in self.moves if move.counted is not None and move.counted > 0), self.first.counted or Decimal(0))

    @property
    def told_share(self) -> float | None:
        """The share as it is told: of the litres as they are shown, so that who reckons with what stands on a paper comes to the same. `share` is of those
        before they were rounded, by which the rates are worked out."""
        return None if self.lost is None or self.there <= 0 else float(self.lost / self.there)

    @property
    def percent(self) -> Decimal | None:
        """How many percent went, to the tenth: the same."""
        return None if self.lost is None or self.there <= 0 else in_percent(self.lost, self.there)

    @property
    def litres(self) -> Decimal | None:
        """Litres at 20 °C that went."""
        return _litres(self.first, self.last, self.moves)

    @property
    def plus_minus(self) -> float | None:
        """± of `per_year`: two standard deviations, carried through r = 1 - exp(-rate)."""
        return None if self.per_year is None else COVERAGE * self.gauged * (1.0 - self.per_year)

    @property
    def steady_plus_minus(self) -> float | None:
        """± of `steady`, what is not known of the share that went into the wood included."""
        return None if self.steady is None else COVERAGE * self.sigma * (1.0 - self.steady)

    @property
    def days(self) -> tuple[date, date]:
        """From and to."""
        return self.first.day, self.last.day


def interval(first: Gauge, last: Gauge, moves: Sequence[Move], in_drink: float = 0.0, *, strength_error: float = 0.1) -> Interval:
    """The loss from `first` to `last`; `in_drink` is the share of the first gauge that the wood may have taken at first."""
    years = years_between(first.day, last.day)
    share = _share(first, last, moves)
    taken = min(in_drink, max(0.0, share)) if share is not None else 0.0
    gross = kept_of(first, last, moves, 0.0)
    kept = kept_of(first, last, moves, taken) if taken else gross
    long_enough = years >= LEAST_YEARS
    gauged = sigma_of(first, last, moves, gross) / years if long_enough else 0.0
    sigma = math.hypot(gauged, in_drink / 2 / years) if long_enough else 0.0
    drift = (last.abv - first.abv) / years if long_enough and last.abv and first.abv and not _mixed(moves) else None
    return Interval(
        first, last, tuple(moves), years, share, _rate(gross, years), _rate(kept, years), taken, kept, gauged, sigma,
        drift, strength_error * math.sqrt(2) / years if long_enough else 0.0, _flags(first, last, moves, share),
    )  # fmt: skip


def kept_of(first: Gauge, last: Gauge, moves: Sequence[Move], in_drink: float) -> float | None:
    """The share of the alcohol kept over the whole stretch, as if it went at one rate all the time.

    Without moves LPA2 / LPA1. A part put in or taken out at a fraction f of the time has been kept, or would have been, for
    the rest of it: K with LPA1 K + sum of m K^(1 - f) = LPA2.
    """
    if first.lpa is None or last.lpa is None or any(move.lpa is None for move in moves) or first.lpa <= 0:
        return None
    start = first.lpa * (1.0 - in_drink)
    if not moves:
        return last.lpa / start
    whole = (last.day - first.day).days
    parts = [((move.day - first.day).days / whole if whole else 0.0, move.lpa or 0.0) for move in moves]
    end = last.lpa

    guess = _by_newton(start, end, parts)
    if guess is not None:
        return guess

    def too_much(kept: float) -> float:
        return start * kept + math.fsum(lpa * math.pow(kept, 1.0 - f) for f, lpa in parts) - end

    if too_much(0.0) >= 0.0 or too_much(_MOST_GAIN) <= 0.0:
        put_in, out = sum(lpa for _, lpa in parts if lpa > 0), sum(lpa for _, lpa in parts if lpa < 0)
        return max(0.0, end - out) / (start + put_in)
    return root(too_much, 0.0, _MOST_GAIN)


def _by_newton(start: float, end: float, parts: list[tuple[float, float]]) -> float | None:
    """The same root by tangents from what was kept without regard to when; None where that does not settle at once.

    Samples and draws are small beside what is in the cask, so two or three steps do.
    """
    kept = end / start
    for _ in range(8):
        if not 1e-6 < kept < _MOST_GAIN:
            return None
        value, slope = start * kept - end, start
        for f, lpa in parts:
            power = lpa * math.pow(kept, -f)
            value += power * kept
            slope += (1.0 - f) * power
        if slope <= start / 2:
            return None
        step = value / slope
        kept -= step
        if abs(step) < 1e-14 * abs(kept):
            return kept
    return None


def carried(moves: Sequence[Move]) -> float | None:
    """Litres of pure alcohol that moves put in, less what they took out; None where one is not known."""
    return None if any(move.lpa is None for move in moves) else sum(move.lpa or 0.0 for move in moves)


def rate_of(kept: float, years: float) -> float:
    """Yearly rate: 1 - kept^(1/years); 1 where nothing was kept."""
    return 1.0 - math.exp(min(_MOST_LOG, math.log(kept) / years)) if kept > 0 else 1.0


def _rate(kept: float | None, years: float) -> float | None:
    return None if kept is None or years < LEAST_YEARS else rate_of(kept, years)


def _share(first: Gauge, last: Gauge, moves: Sequence[Move]) -> float | None:
    moved = carried(moves)
    if first.lpa is None or last.lpa is None or moved is None:
        return None
    base = first.lpa + sum(move.lpa or 0.0 for move in moves if (move.lpa or 0.0) > 0)
    return (first.lpa + moved - last.lpa) / base if base > 0 else None


def _lost(first: Gauge, last: Gauge, moves: Sequence[Move]) -> Decimal | None:
    counted = [move.counted for move in moves]
    if first.counted is None or last.counted is None or None in counted:
        return None
    return first.counted + sum((one for one in counted if one is not None), Decimal(0)) - last.counted


def _litres(first: Gauge, last: Gauge, moves: Sequence[Move]) -> Decimal | None:
    if first.litres is None or last.litres is None or not all(move.known for move in moves):
        return None
    return first.litres + sum((move.litres for move in moves), Decimal(0)) - last.litres


def sigma_of(first: Gauge, last: Gauge, moves: Sequence[Move], kept: float | None) -> float:
    """Standard deviation of the logarithm of what was kept, of gauging alone.

    `kept` is the root K of LPA1 K + sum of m K^(1 - f) = LPA2 (`kept_of`): each error counts by how far it moves that root. After half was drawn the
    error of the first gauge counts twice; what was put in, and measured well, makes it count for less.
    """
    start, end = first.lpa or 0.0, last.lpa or 0.0
    if not kept or not start or any(move.lpa is None for move in moves):
        return math.hypot(first.error, last.error if end else 0.0)
    whole = (last.day - first.day).days
    carried = [((move.day - first.day).days / whole if whole else 0.0, move.lpa or 0.0, move.error) for move in moves]
    slope = start + sum((1.0 - f) * lpa * kept**-f for f, lpa, _ in carried)
    errors = [kept * start * first.error, end * last.error, *(kept ** (1.0 - f) * lpa * error for f, lpa, error in carried)]
    return float(math.hypot(*errors) / max(abs(kept * slope), 0.01 * kept * start))


def _mixed(moves: Sequence[Move]) -> bool:
    """Whether something was put in, so that the strength tells of what was put in too."""
    return any(move.litres_20 > 0 for move in moves)


def excess_of(first: Gauge, last: Gauge, moves: Sequence[Move]) -> float:
    """By how many times the error (two standard deviations) more is there than there was; 0 and less is no gain."""
    moved = carried(moves)
    if first.lpa is None or last.lpa is None or moved is None:
        return 0.0
    error = COVERAGE * math.hypot(first.error * first.lpa, last.error * last.lpa)
    more = last.lpa - first.lpa - moved
    return more / error if error > 0 else math.inf if more > 0 else 0.0


def _flags(first: Gauge, last: Gauge, moves: Sequence[Move], share: float | None) -> tuple[str, ...]:
    flags = [] if share is not None else [NO_FIGURE]
    if share is not None and share < 0:
        flags.append(GAIN if excess_of(first, last, moves) > 1.0 else WITHIN)
    if not (first.corrected and last.corrected):
        flags.append(UNCORRECTED)
    return tuple(flags)


def in_percent(part: Decimal, whole: Decimal) -> Decimal:
    """How many percent, to the tenth, half up: by decimal, so that 0.29 of 1 is 29.0."""
    return (part * 100 / whole).quantize(Decimal("0.1"), ROUND_HALF_UP)
