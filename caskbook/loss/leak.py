"""A deficit in figures a person can use: since when, how many litres of alcohol, at what rate, how many times what the peers lose."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from caskbook.core.days import years_between
from caskbook.loss.intervals import COVERAGE, LEAST_YEARS
from caskbook.loss.model import Deficit, Kind, Sound
from caskbook.loss.points import Point


class Gone(NamedTuple):
    """Litres of pure alcohol that went by a leak, after one day up to the end of another."""

    after: date
    end: date
    lpa: float


@dataclass(frozen=True, slots=True)
class Leak:
    """What is gone beyond what a sound cask would have lost.

    `after`, `seen`: the gauges between which it begins. `last`: the last gauge. `kind`: a rate that runs on, or once. `lpa`: litres of pure alcohol,
    `least` and `most` two standard deviations from it. `rate`: share lost a year from `after` to `last`, the wood's part left out, `plus_minus` its
    error of two standard deviations, None where that is too short for a rate; `peers`: what a sound cask would have lost a year then, `times` the one by the other.
    """

    after: Point
    seen: Point
    last: Point
    kind: Kind
    lpa: float
    least: float
    most: float
    rate: float | None
    plus_minus: float | None
    peers: float | None
    times: float

    @property
    def onset(self) -> tuple[date, date]:
        """The days between which it began."""
        return self.after.day, self.seen.day

    @property
    def gone(self) -> Gone:
        """What went by it, and when: of one that runs on up to the last gauge, of one that went once up to the gauge that shows it."""
        return Gone(self.after.day, self.last.day if self.kind == "running" else self.seen.day, self.lpa)


def leak_of(sound: Sound, found: Deficit) -> Leak:
    """A deficit of a fill in litres and rates."""
    points, begun = sound.points, found.begun
    after, last = points[begun], points[-1]
    years = years_between(after.day, last.day)
    wood = sound.mean[0] - sound.own[0] if begun == 0 else 0.0
    lost = last.fallen - after.fallen - wood
    usual = sound.own[-1] - (sound.own[begun - 1] if begun else 0.0)
    long_enough = years >= LEAST_YEARS
    error = COVERAGE * math.sqrt(after.error**2 + last.error**2 + (wood / 2) ** 2)
    rate = -math.expm1(-lost / years) if long_enough else None
    peers = -math.expm1(-usual / years) if years > 0 else 0.0
    return Leak(
        after, points[begun + 1], last, found.kind, *_litres(after, last, found, usual + wood), rate, None if rate is None else error / years * (1.0 - rate),
        peers if long_enough else None, rate / peers if rate is not None and peers > 0 else lost / usual if usual > 0 else math.inf,
    )  # fmt: skip


def _litres(after: Point, last: Point, found: Deficit, usual: float) -> tuple[float, float, float]:
    """(litres of pure alcohol that would be there more, at the least, at the most): of what is left, or, where next to nothing is left, of what a sound cask
    would hold after `usual`, a logarithm."""
    if last.lpa <= after.lpa / 100:
        gone = after.lpa * math.exp(-usual) - last.lpa
        return gone, gone, gone
    room = COVERAGE * found.sigma
    least, most = (max(0.0, last.lpa * math.expm1(size)) for size in (found.size - room, found.size + room))
    return last.lpa * math.expm1(found.size), least, most
