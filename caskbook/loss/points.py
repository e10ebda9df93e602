"""The course of a fill as a model sees it: for each gauge after the first the logarithm of what was lost until then, with its
errors, the stores it lay in, and what else the gauge may have meant. Plain values, which an index can keep."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.core.days import DAYS_PER_YEAR, years_between
from caskbook.loss.fills import FillLoss
from caskbook.loss.gauges import Gauge, Move
from caskbook.loss.intervals import COVERAGE, Interval, kept_of, sigma_of
from caskbook.loss.misread import Misread, misreadings
from caskbook.loss.records import FillRecord

LEAST_KEPT = 0.005
"""Less than this of what there was is nothing: a logarithm needs more."""
ERROR_OF_NOTHING = 0.5
"""Standard deviation of the logarithm of such a rest."""
BROKEN = 1e4
"""Variance of a step of which nothing is known, as with a draw whose litres nobody wrote: larger than that of any loss."""
USUAL_FIRST, USUAL_A_YEAR = 0.03, 0.03
"""A step that loses more, of all there was and a year, has its figures read another way too: common practice, no source."""
STAYS = 9
"""Where in a row of a point the stays stand."""
MOST_POINTS = 48
"""Of more gauges the older ones are thinned: the model grows with the cube of their number."""


@dataclass(frozen=True, slots=True)
class Point:
    """One gauge of a fill.

    `fallen`: -log of what is kept since the first gauge, what was put in and taken out allowed for. `error`: standard deviation of the
    logarithm of this gauge; `same`: of it what is the same at every gauge by the method, `warm`: what a lacking temperature makes. `walk`: variance that moves since the gauge before add. `stays`: (store, years) since the gauge before.
    `lpa`: litres of pure alcohol; `litres` at 20 °C as shown. `mixed`: something was put in since the gauge before. `readings`: what else
    may have been meant.
    """

    day: date
    event: str
    fallen: float
    error: float
    method: str
    lpa: float
    abv: float | None = None
    litres: str | None = None
    walk: float = 0.0
    stays: tuple[tuple[str | None, float], ...] = ()
    mixed: bool = False
    emptied: bool = False
    uncorrected: bool = False
    readings: tuple[Misread, ...] = ()
    same: float = 0.0
    warm: float = 0.0

    def as_row(self, *, brief: bool) -> list[Any]:
        """In plain values; `brief` without what only the words need."""
        errors = [self.error, self.same, self.warm]
        row = [self.day.toordinal(), self.event, self.fallen, errors, self.method, self.lpa, self.abv, self.litres, self.walk, self.stays]
        tail = [self.mixed, self.emptied, self.uncorrected, [one.as_row() for one in self.readings]]
        return row if brief and not any(tail) else [*row, *tail]

    @classmethod
    def from_row(cls, row: Sequence[Any]) -> Point:
        """The inverse of `as_row`."""
        day, event, fallen, (error, same, warm), method, lpa, abv, litres, walk, stays, *tail = row
        mixed, emptied, uncorrected, found = tail or (False, False, False, ())
        lain, meant = tuple((store, years) for store, years in stays), tuple(Misread(*one) for one in found)
        return cls(date.fromordinal(day), event, fallen, error, method, lpa, abv, litres, walk, lain, mixed, emptied, uncorrected, meant, same, warm)


def course_of(loss: FillLoss) -> tuple[Point, ...]:
    """The points of a fill, that of the first gauge before all; empty where there are not two gauges with a figure. Gauges set aside are left out."""
    if not loss.intervals:
        return ()
    steps = [_step(one) for one in loss.intervals]
    odd = [_is_odd(step, n == 0) for n, step in enumerate(steps)]
    points = [_first(loss.used[0])]
    for n, step in enumerate(steps):
        doubted = odd[n] or odd[n + 1 : n + 2] == [True]
        points.append(_point(loss.record, step, points[-1].fallen, doubted=doubted))
    return tuple(_thinned(points))


@dataclass(frozen=True, slots=True)
class _Step:
    """From one gauge to the next. `kept`: the share kept, moves allowed for; None where it cannot be told."""

    first: Gauge
    last: Gauge
    moves: tuple[Move, ...]
    kept: float | None

    @property
    def fallen(self) -> float:
        """-log of what was kept; 0 where it cannot be told."""
        return 0.0 if self.kept is None else -math.log(max(self.kept, LEAST_KEPT))

    @property
    def beyond(self) -> float:
        """How much more is gone than `fallen` tells, a logarithm: 0 unless next to nothing is left."""
        return 0.0 if not self.kept else max(0.0, -math.log(self.kept) - self.fallen)


def _step(one: Interval) -> _Step:
    return _Step(one.first, one.last, one.moves, kept_of(one.first, one.last, one.moves, 0.0))


def _is_odd(step: _Step, at_first: bool) -> bool:
    """Whether a step loses more than is usual anywhere in a cool climate, so that a slip is looked for at both its gauges."""
    usual = (USUAL_FIRST if at_first else 0.0) + USUAL_A_YEAR * years_between(step.first.day, step.last.day)
    return step.kept is not None and step.fallen > usual + COVERAGE * math.hypot(step.first.error, step.last.error)


def _first(gauge: Gauge) -> Point:
    return Point(
        gauge.day, gauge.event, 0.0, gauge.error, gauge.method, gauge.lpa or 0.0, gauge.abv or None, _shown(gauge), uncorrected=not gauge.corrected,
        same=gauge.same, warm=gauge.warm,
    )  # fmt: skip


def _point(record: FillRecord, step: _Step, fallen: float, *, doubted: bool) -> Point:
    gauge, before = step.last, step.first
    lpa = gauge.lpa or 0.0
    nothing = lpa <= LEAST_KEPT * (before.lpa or 0.0)
    return Point(
        gauge.day, gauge.event, fallen + step.fallen, ERROR_OF_NOTHING if nothing else gauge.error, gauge.method, lpa, gauge.abv or None, _shown(gauge),
        BROKEN if step.kept is None else _walk(step), stays_between(record, before.day, gauge.day),
        any(move.litres_20 > 0 for move in step.moves), not lpa and gauge.event == record.filling.end_event, not gauge.corrected,
        tuple(replace(one, shift=one.shift - step.beyond) for one in misreadings(gauge)) if doubted else (), *((0.0, 0.0) if nothing else (gauge.same, gauge.warm)),
    )  # fmt: skip


def _shown(gauge: Gauge) -> str | None:
    return None if gauge.litres is None else str(gauge.litres)


def _walk(step: _Step) -> float:
    """The variance that moves add to that of both gauges: after half was drawn, the error of the gauge before counts twice in what is left."""
    if not step.moves or not step.kept:
        return 0.0
    first, last = step.first, step.last
    return float(max(0.0, sigma_of(first, last, step.moves, step.kept) ** 2 - first.error**2 - last.error**2))


def stays_between(record: FillRecord, first: date, last: date) -> tuple[tuple[str | None, float], ...]:
    """(store, years) of the days between two gauges, in order; the store of the fill where no stay tells."""
    found: dict[str | None, float] = {}
    for stay, after in zip(record.stays, [*record.stays[1:], None], strict=True):
        end = last if after is None else min(after.since, last)
        days = (end - max(stay.since, first)).days
        if days > 0:
            store = stay.store if stay.berth is not None else record.store
            found[store] = found.get(store, 0.0) + days / DAYS_PER_YEAR
    rest = years_between(first, last) - sum(found.values())
    if rest > 0.5 / DAYS_PER_YEAR:
        found[record.store] = found.get(record.store, 0.0) + rest
    return tuple(found.items())


def _thinned(points: list[Point]) -> list[Point]:
    """At most so many points, of the older ones every n-th: what lies between is carried on to the next."""
    if len(points) <= MOST_POINTS:
        return points
    late = points[-MOST_POINTS // 2 :]
    early = points[1 : -MOST_POINTS // 2]
    step = -(-len(early) // (MOST_POINTS // 2 - 1))
    found, waiting = [points[0]], []
    for n, point in enumerate([*early, *late]):
        waiting.append(point)
        if n >= len(early) - 1 or (n + 1) % step == 0:
            found.append(_joined(waiting))
            waiting = []
    return found


def _joined(points: list[Point]) -> Point:
    """The last of these points, with the stays and moves of all."""
    last = points[-1]
    if len(points) == 1:
        return last
    stays: dict[str | None, float] = {}
    for point in points:
        for store, years in point.stays:
            stays[store] = stays.get(store, 0.0) + years
    return Point(
        last.day, last.event, last.fallen, last.error, last.method, last.lpa, last.abv, last.litres, sum(point.walk for point in points),
        tuple(stays.items()), any(point.mixed for point in points), last.emptied, last.uncorrected, last.readings, last.same, last.warm,
    )  # fmt: skip
