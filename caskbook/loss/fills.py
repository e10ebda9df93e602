"""What each fill of a cask has lost: the whole of it, gauge by gauge, and the line through all gauges."""

from __future__ import annotations

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import Literal

from caskbook.core.days import years_between
from caskbook.life import Life
from caskbook.loss.consistent import told_apart
from caskbook.loss.gauges import Gauge, Move
from caskbook.loss.intervals import Interval, interval
from caskbook.loss.records import FillRecord, fill_records
from caskbook.loss.trend import theil_sen, theil_sen_bounds
from caskbook.model.house import Settings

USUAL_IN_DRINK = 2.0
"""% of the fill that goes into the wood in the first days (trade press), where the house sets none."""
ENOUGH_AFTER = 3
"""Gauges after the filling from which the share taken by the wood can be read off a line."""

MOST_FITTED = 0.055
"""More than this is no in-drink: up to 11 L in a barrel of 200 L over time (trade press)."""
Source = Literal["house", "gauges", "usual"]


@dataclass(frozen=True, slots=True)
class FillLoss:
    """One fill's loss. `whole`: from the first gauge that is used to the last, None with fewer than two.

    `set_aside`: gauges that cannot be true beside the others. `doubtful`: some gauge is above an earlier one, and it cannot be
    told which is wrong, or what the cask's files say cannot be read whole. `trend`: yearly rate by Theil and Sen, with three gauges or more. `fitted_in_drink`: share the wood took
    at first as the later gauges have it. `in_drink_from`: whose figure of it was used: house, gauges or usual. `used`: the gauges it rests on.
    """

    record: FillRecord
    intervals: tuple[Interval, ...]
    whole: Interval | None
    set_aside: tuple[Gauge, ...]
    doubtful: bool
    trend: float | None
    fitted_in_drink: float | None
    in_drink_from: Source
    used: tuple[Gauge, ...] = ()

    @property
    def ended(self) -> bool:
        """Whether the fill is over."""
        return self.record.filling.end is not None


def fill_losses(life: Life) -> list[FillLoss]:
    """The loss of every fill of spirit up to the day of the life, oldest first."""
    return [loss_of(record, life.state.settings) for record in fill_records(life)]


def losses_beside(life: Life, known: Container[str]) -> list[FillLoss | str]:
    """The same, where of some fills it is `known`, by the event that began them: that event in the place of each that has ended, but for the last."""
    return [loss_of(record, life.state.settings) if record.entries else record.filling.event for record in fill_records(life, known)]


def loss_now(life: Life) -> FillLoss | None:
    """The loss of the fill that is in the cask, else of the last one."""
    found = fill_records(life)
    return loss_of(found[-1], life.state.settings) if found else None


def in_drink_of(settings: Settings) -> float:
    """The share of a fill that goes into the wood at first: the house's, else the usual one."""
    percent = settings.in_drink_percent
    return (USUAL_IN_DRINK if percent is None else percent) / 100


def loss_of(record: FillRecord, settings: Settings) -> FillLoss:
    """Work out one fill. What the wood takes at first is told apart from the loss after it, where it begins with a filling: the
    house's figure; where it names none, that of the line through the later gauges if it is a likely one; else the usual one."""
    used, aside, doubtful = told_apart(record.entries)
    if record.unread:  # What was put in, taken out or measured may stand in what cannot be read: there is no figure.
        return FillLoss(record, (), None, tuple(aside), True, None, None, "usual" if settings.in_drink_percent is None else "house", tuple(used))
    fresh = record.fresh and bool(used) and used[0].event == record.filling.event
    found = _worked_out(record, used, in_drink_of(settings) if fresh else 0.0, settings)
    source: Source = "usual" if settings.in_drink_percent is None else "house"
    fitted = found[3]
    if source == "usual" and fitted is not None and 0.0 <= fitted <= MOST_FITTED:
        found, source = _worked_out(record, used, fitted, settings), "gauges"
    return FillLoss(record, found[0], found[1], tuple(aside), doubtful, found[2], fitted, source, tuple(used))


def _worked_out(
    record: FillRecord, used: list[Gauge], share: float, settings: Settings
) -> tuple[tuple[Interval, ...], Interval | None, float | None, float | None]:
    """(intervals, the whole, trend, fitted share) with this share taken by the wood at first."""
    steps = [_between(record, one, other, share if n == 0 else 0.0, settings) for n, (one, other) in enumerate(zip(used, used[1:], strict=False))]
    whole = steps[0] if len(steps) == 1 else _between(record, used[0], used[-1], share, settings) if steps else None
    fresh = record.fresh and bool(used) and used[0].event == record.filling.event
    return (tuple(steps), whole, *_line(steps, fresh))


def _between(record: FillRecord, first: Gauge, last: Gauge, share: float, settings: Settings) -> Interval:
    entries = record.entries
    start, end = _place(entries, first), _place(entries, last)
    moves = [entry for entry in entries[start:end] if isinstance(entry, Move)]
    return interval(first, last, moves, share, strength_error=settings.strength_error)


def _place(entries: list[Gauge | Move], gauge: Gauge) -> int:
    return next(n for n, entry in enumerate(entries) if entry is gauge)


def _line(steps: list[Interval], fresh: bool) -> tuple[float | None, float | None]:
    """(yearly rate, share taken at first) by the slope of the logarithm of what was kept, moves allowed for."""
    points = _points(steps)
    line = theil_sen(points)
    if line is None:
        return None, None
    return 1.0 - math.exp(line[0]), _at_first(steps[0], points[1:]) if fresh else None


def _points(steps: Sequence[Interval]) -> list[tuple[float, float]]:
    """(years, logarithm of what is kept) at each gauge, the first at (0, 0); empty with fewer than two steps, or where one cannot be told."""
    if len(steps) < 2 or any(step.kept is None or step.kept <= 0 for step in steps):
        return []
    points, fallen = [(0.0, 0.0)], 0.0
    for step in steps:
        fallen += math.log(step.kept or 1.0)
        points.append((years_between(steps[0].first.day, step.last.day), fallen))
    return points


def trend_bounds(loss: FillLoss) -> tuple[float, float] | None:
    """(least, most) of `trend`, a yearly share each, with a chance of 95 %; None where there is no trend."""
    found = theil_sen_bounds(_points(loss.intervals), 0.95)
    return None if found is None else (1.0 - math.exp(found[1]), 1.0 - math.exp(found[0]))


def _at_first(first: Interval, later: list[tuple[float, float]]) -> float | None:
    """Where the line through the gauges after the filling meets the day of the filling."""
    line = theil_sen(later) if len(later) >= ENOUGH_AFTER else None
    return None if line is None else 1.0 - math.exp(line[1]) * (1.0 - first.in_drink)
