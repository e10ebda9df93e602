"""One model of a fill over all its gauges: what a sound cask would have lost, how sure that is, and the deficit that stands out.

Y, the logarithm of what was lost until each gauge, is taken as normal: its mean is what the wood takes at first and the peers' rates in the stores
where the cask lay; its covariance is that of the in-drink, of the cask's own rate among its peers, of the seasons, of years unlike each other, of moves, and
of measuring, part of which is the same at every gauge by one method. A leak adds a course to it: from a gauge on at a rate that goes on, or once.
For each such course the deficit is estimated by generalized least squares and divided by its standard deviation: its score.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from caskbook.core.days import years_between
from caskbook.loss.chances import as_normal, limit_of
from caskbook.loss.expected import Expected
from caskbook.loss.linear import Vector, cholesky, dot, forward
from caskbook.loss.points import Point

SEASON = 0.5
"""How far the rate swings about its yearly mean with the seasons, as a share of it: common practice, no source."""
YEARS_APART = 0.18
"""How far one year's rate lies from another's (a hot summer), as a share of it: common practice, no source."""
STORE_WARM, YEAR_WARM = 0.5, 0.4
"""Parts of the variance for want of a temperature (10 °C make about 1 %) that are the same at every gauge in a store, which lies about 7 °C from 20 °C, and that
follow the seasons, 9 °C up and down; the rest, 3 °C, is of the day and the place: common practice, no source."""
LEAST_SPREAD = 0.08
"""Casks alike differ by so much of their rate at least, however alike those on record are: no source."""
LEAST_RATE = 2e-4
MOST_RATE = 0.9
Kind = Literal["running", "once"]


@dataclass(frozen=True, slots=True)
class Deficit:
    """What is gone beyond what a sound cask would have lost.

    `begun`: place of the gauge after which it begins. `kind`: a rate that runs on, or once. `size`: logarithm of the alcohol that is gone by the last
    gauge; `sigma` its standard deviation. `score`: size by sigma, as a normal score. `share`: of its variance, what the cask's own rate among its peers
    makes. `looks`, `years`: gauges after the first that it rests on, and their time.
    """

    begun: int
    kind: Kind
    size: float
    sigma: float
    score: float
    share: float
    looks: int
    years: float

    def limit(self, false_alarms: float) -> float:
        """The score above which it is told, where so many false alarms of 1000 casks a year are allowed."""
        return limit_of(false_alarms, self.years, self.looks, self.share, from_first=self.begun == 0 and self.kind == "running")


class Sound:
    """A sound fill with these gauges: `mean` and covariance of Y at every gauge after the first, as far as the peers tell.

    `expected`: what is expected in a store. `in_drink`: share that the wood takes at first, 0 where the fill did not begin with a filling. `allowed`: false
    alarms of 1000 casks a year; at their score the spread among peers, which is one of shares, is read.
    """

    def __init__(self, points: Sequence[Point], expected: Callable[[str | None], Expected], in_drink: float, allowed: float) -> None:
        """Work out mean, covariance and what is not as expected, whitened, once for all scores."""
        self.points = points
        self.years = [years_between(points[0].day, point.day) for point in points[1:]]
        self.own = _natural(points, expected)
        first = -math.log1p(-in_drink)
        self.mean = [first + rate for rate in self.own]
        self.freedom = min((expected(store).freedom for store, _ in points[-1].stays), default=math.inf)
        self.allowed = allowed
        self._apart = _spread(points, expected, limit_of(allowed, self.years[-1], len(self.years), 1.0, from_first=True))
        self._lower = cholesky(self._covariance(first / 2))
        self.residual = forward(self._lower, [point.fallen - mean for point, mean in zip(points[1:], self.mean, strict=True)])
        self._own = forward(self._lower, self.own)

    def _covariance(self, in_drink: float) -> list[Vector]:
        """The covariance of Y, the gauges' errors included."""
        points, own, n = self.points[1:], self.own, len(self.own)
        shared = [[in_drink] * n, [rate * self._apart for rate in own], *self._seasons(), *_methods(self.points), *_warmths(self.points)]
        alone = [_alone(point) for point in self.points]
        walked, years = [], 0.0
        for point, rate, before in zip(points, own, [0.0, *own], strict=False):
            step = rate - before
            years += point.walk + (YEARS_APART * step) ** 2 / max(sum(length for _, length in point.stays), 0.05)
            walked.append(years)
        found, at = [], list(zip(*shared, strict=True))
        for k in range(n):
            row = [alone[0] + walked[m] + dot(at[k], at[m]) for m in range(k + 1)]
            row[k] += alone[k + 1]
            found.append(row)
        return found

    def _seasons(self) -> list[Vector]:
        """What the time of the year may add: the rate swings by an unknown part, and nobody knows which months are warm."""
        swing = SEASON / (2.0 * math.pi) * (self.own[-1] / self.years[-1] if self.years[-1] > 0 else 0.0)
        angles = [_angle(point) for point in self.points]
        return [[swing * (turn(angle) - turn(angles[0])) for angle in angles[1:]] for turn in (math.sin, math.cos)]

    def band(self, place: int, known: int = 0) -> tuple[float, float]:
        """(mean, standard deviation) of Y at a gauge after the first (0 is that), the gauge's own error included, once so many of them are known."""
        row = self._lower[place]
        seen = min(known, place)
        return self.mean[place] + dot(row[:seen], self.residual), math.sqrt(dot(row[seen:], row[seen:]))

    def fit(self) -> float:
        """The squared length of what is not as expected, in standard deviations: no score can be above its root."""
        return dot(self.residual, self.residual)

    def score(self, course: Vector, upto: int | None = None) -> tuple[float, float, float]:
        """(size, standard deviation, share of its variance that is of the cask's own rate) of a deficit that takes this course, one unit long."""
        whitened = forward(self._lower[:upto], course[:upto])
        weight = dot(whitened, whitened)
        if weight <= 0:
            return 0.0, math.inf, 0.0
        return dot(whitened, self.residual[:upto]) / weight, 1.0 / math.sqrt(weight), min(1.0, (self._apart * dot(whitened, self._own[:upto])) ** 2 / weight)

    def worst(self, upto: int | None = None) -> Deficit:
        """The deficit that lies furthest above its limit, of the gauges before place `upto`: whether there is one."""
        return max(self._deficits(upto), key=lambda one: one.score - one.limit(self.allowed))

    def likeliest(self, allowed: float) -> Deficit:
        """The deficit that the gauges bear out best, of those above their limit: what the loss is. How few the peers are, which decides whether there is
        one at all, tells nothing of its course."""
        found = self._deficits()
        above = [one for one in found if one.score > one.limit(allowed)]
        return max(above or found, key=lambda one: one.size / one.sigma)

    def _deficits(self, upto: int | None = None) -> list[Deficit]:
        """Those of every course, of the gauges before place `upto`."""
        n = len(self.own) if upto is None else upto
        return [self._deficit(begun, kind, n) for begun in range(n) for kind in _kinds(begun, n)]

    def _deficit(self, begun: int, kind: Kind, upto: int) -> Deficit:
        """The deficit of one course. Few peers count only as far as it is they that leave it open (Welch 1947)."""
        course = course_from(self.years, begun, kind)
        size, sigma, share = self.score(course, upto)
        freedom = self.freedom / share**2 if share > 0 else math.inf
        score = as_normal(size / sigma, freedom) if sigma < math.inf else 0.0
        return Deficit(begun, kind, size * course[upto - 1], sigma * course[upto - 1], score, share, upto, self.years[upto - 1])

    def log_chance(self, shifts: dict[int, float] | None = None) -> float:
        """Logarithm of the likelihood as a sound cask, up to a constant; `shifts`: place of a gauge → by how much less was gone there."""
        if not shifts:
            return -self.fit() / 2
        moved = [point.fallen - mean - shifts.get(k, 0.0) for k, (point, mean) in enumerate(zip(self.points[1:], self.mean, strict=True))]
        whitened = forward(self._lower, moved)
        return -dot(whitened, whitened) / 2


def course_from(years: Sequence[float], begun: int, kind: Kind) -> Vector:
    """What a deficit of one unit (a year's, or once) has taken by each gauge, where it begins after gauge number `begun`."""
    if kind == "once":
        return [1.0 if k >= begun else 0.0 for k in range(len(years))]
    start = years[begun - 1] if begun else 0.0
    return [max(0.0, year - start) for year in years]


def _kinds(begun: int, count: int) -> tuple[Kind, ...]:
    """A loss that runs on and one of once; from the last gauge but one both are the same, and count as the running one where there is no other."""
    if begun < count - 1:
        return ("running", "once")
    return ("once",) if count > 1 else ("running",)


def log_rate(rate: float) -> float:
    """A yearly share as a rate of the logarithm."""
    return -math.log1p(-min(MOST_RATE, max(0.0, rate)))


def _angle(point: Point) -> float:
    """Where in the year a gauge was made."""
    day = point.day
    return 2.0 * math.pi * (day.toordinal() - date(day.year, 1, 1).toordinal() + 1) / 365.25


def _natural(points: Sequence[Point], expected: Callable[[str | None], Expected]) -> Vector:
    """What the peers would have lost by each gauge, where it lay."""
    found, lost = [], 0.0
    for point in points[1:]:
        lost += sum(max(LEAST_RATE, log_rate(expected(store).rate)) * years for store, years in point.stays)
        found.append(lost)
    return found


def _spread(points: Sequence[Point], expected: Callable[[str | None], Expected], limit: float) -> float:
    """How far the cask's own rate may lie from its peers', as a share of it.

    Casks differ by shares: one that loses twice the middle is as rare as one that loses half. At `limit` standard deviations this reaches further up than
    the plain spread does; it is the spread that reaches as far.
    """
    by_store: dict[str | None, float] = {}
    for point in points[1:]:
        for store, years in point.stays:
            by_store[store] = by_store.get(store, 0.0) + years
    main = expected(max(by_store, key=lambda store: by_store[store], default=None))
    middle = max(LEAST_RATE, main.rate)
    spread = min(1.0, math.hypot(max(LEAST_SPREAD, main.spread / middle), main.middle_error / middle))
    return math.expm1(limit * spread) / limit if limit > 0 else spread


def _alone(point: Point) -> float:
    """The variance of a gauge that is its own."""
    return max(0.0, point.error**2 - point.same**2 - (STORE_WARM + YEAR_WARM) * point.warm**2)


def _methods(points: Sequence[Point]) -> list[Vector]:
    """The part of the error that gauges by one method share: it goes out between two of them, and stays between two methods."""
    found = []
    for method in {point.method for point in points}:
        errors = [point.same if point.method == method else 0.0 for point in points]
        found.append([error - errors[0] for error in errors[1:]])
    return found


def _warmths(points: Sequence[Point]) -> list[Vector]:
    """The error for want of a temperature: those in the store share how far it lies from 20 °C, and the first, a filling as a rule, was measured elsewhere;
    gauges of one season err alike, and nobody knows how warm it is."""
    if not any(point.warm for point in points):
        return []
    share = math.sqrt(STORE_WARM)
    found = [[-share * points[0].warm for _ in points[1:]], [share * point.warm for point in points[1:]]]
    for turn in (math.sin, math.cos):
        errors = [math.sqrt(YEAR_WARM) * point.warm * turn(_angle(point)) for point in points]
        found.append([error - errors[0] for error in errors[1:]])
    return found
