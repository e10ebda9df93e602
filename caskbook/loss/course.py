"""How the loss of a fill ran from day to day: between two gauges it is shared out by time, and to the hundredth it adds up to what the
gauges say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Protocol

from caskbook.loss.gauges import CENT
from caskbook.loss.leak import Gone

NONE = Decimal("0.00")
_LEAST_KEPT = 1e-9
_MOST_OFF = 1e-6


class Gauged(Protocol):
    """What a course needs of a gauge, or of what was put in or taken out: its day, the litres of pure alcohol, and those that count."""

    @property
    def day(self) -> date: ...
    @property
    def lpa(self) -> float | None: ...
    @property
    def counted(self) -> Decimal | None: ...


class Stretch(Protocol):
    """What a course needs of an interval between two gauges: it may be one just worked out, or one that an index kept."""

    @property
    def first(self) -> Gauged: ...
    @property
    def last(self) -> Gauged: ...
    @property
    def moves(self) -> Sequence[Gauged]: ...
    @property
    def lost(self) -> Decimal | None: ...
    @property
    def litres(self) -> Decimal | None: ...
    @property
    def in_drink(self) -> float: ...
    @property
    def kept(self) -> float | None: ...


class Course:
    """What went of one fill by the end of each day, in litres of pure alcohol and in litres at 20 °C, rounded once from the beginning:
    so the parts of any division in time add up to the whole, to the hundredth.

    Before the first gauge and after the last one nothing is known: there it stays as it is.
    """

    def __init__(self, whole: Stretch, intervals: Sequence[Stretch]) -> None:
        """`whole` has a figure of what was lost, and so has each of the intervals it is made of, at least one."""
        self.whole, self.intervals = whole, intervals
        self._gone: dict[date, tuple[Decimal, Decimal]] = {}

    def leaked(self, leak: Gone | None, day: date) -> Decimal:
        """Litres of pure alcohol that had gone by a leak by the end of the day, of those of `gone`: the leak's litres are shared out over the time from the gauge
        after which it begins to the last one, or, of one that went once, to the gauge that shows it, as all that went then."""
        if leak is None:
            return NONE
        start, whole = self.gone(leak.after)[0], self.gone(leak.end)[0]
        went = whole - start
        if went <= 0:
            return NONE
        part = min(max(self.gone(min(day, leak.end))[0] - start, NONE), went)
        return (min(Decimal(leak.lpa), went) * part / went).quantize(CENT, ROUND_HALF_UP)

    def known(self, before: date, end: date) -> bool:
        """Whether anything is known of what went after the day `before` up to the end of the day `end`."""
        return before < self.whole.last.day and end >= self.whole.first.day

    def gone(self, day: date) -> tuple[Decimal, Decimal]:
        """(litres of pure alcohol, litres at 20 °C) that had gone by the end of the day."""
        found = self._gone.get(day)
        if found is None:
            found = self._gone[day] = self._gone_by(day)
        return found

    def _gone_by(self, day: date) -> tuple[Decimal, Decimal]:
        lpa = litres = NONE
        for one in self.intervals:
            if day < one.first.day:
                break
            share = share_gone(one, day)
            lpa += part_gone(one.lost, share)
            litres += part_gone(one.litres, share)
        return lpa, litres

    def put_in(self, day: date) -> Decimal:
        """Litres of pure alcohol put in by the end of the day, those of the first gauge with them."""
        if day < self.whole.first.day:
            return NONE
        moved = (move.counted for move in self.whole.moves if move.day <= day)
        return sum((one for one in moved if one is not None and one > 0), self.whole.first.counted or NONE)

    def there(self, day: date) -> Decimal:
        """Litres of pure alcohol in the cask at the end of the day, by its gauges."""
        if day < self.whole.first.day:
            return NONE
        moved = (move.counted for move in self.whole.moves if move.day <= day)
        return sum((one for one in moved if one is not None), self.whole.first.counted or NONE) - self.gone(day)[0]


def part_gone(whole: Decimal | None, share: float) -> Decimal:
    """A share of litres, to the hundredth; none of what is not known."""
    return NONE if whole is None else (whole * Decimal(share)).quantize(CENT, ROUND_HALF_UP)


def share_gone(one: Stretch, day: date) -> float:
    """Which share of what went between two gauges had gone by the end of the day: 0 before the first one, 1 from the last one on.

    What the wood took at first went on the day of the first gauge, the filling; the rest goes at a constant rate in the logarithm,
    so that of what was put in or taken out between only what was there loses. Where no such rate is, since nothing was left or the
    draws do not go together with it, the rest goes evenly by the day.
    """
    first, last = one.first.day, one.last.day
    if day < first:
        return 0.0
    if day >= last:
        return 1.0
    time = (day - first).days / (last - first).days
    start = one.first.lpa or 0.0
    lost = start + math.fsum(move.lpa or 0.0 for move in one.moves) - (one.last.lpa or 0.0)
    if not lost:
        return time
    left = _there(one, 1.0)
    if left is None or abs(left - (one.last.lpa or 0.0)) > _MOST_OFF * max(1.0, start):
        in_wood = start * one.in_drink
        gone = in_wood + (lost - in_wood) * time
    else:
        gone = start + math.fsum(move.lpa or 0.0 for f, move in _timed(one) if f <= time) - (_there(one, time) or 0.0)
    return min(1.0, max(0.0, gone / lost))


def _there(one: Stretch, time: float) -> float | None:
    """Litres of pure alcohol in the cask at a fraction of the time between two gauges, at the constant rate; None where there is none."""
    if one.kept is None or one.kept < _LEAST_KEPT:
        return None
    start = (one.first.lpa or 0.0) * (1.0 - one.in_drink)
    return start * math.pow(one.kept, time) + math.fsum((move.lpa or 0.0) * math.pow(one.kept, time - f) for f, move in _timed(one) if f <= time)


def _timed(one: Stretch) -> list[tuple[float, Gauged]]:
    days = (one.last.day - one.first.day).days
    return [((move.day - one.first.day).days / days, move) for move in one.moves]
