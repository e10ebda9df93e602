"""What an account of losses tells of one fill, whatever its peers lose, in plain values that an index can keep; and what its peers make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import chain, pairwise
from typing import Any, NamedTuple

from caskbook.core.days import UnknownDay
from caskbook.loss.course import Course, part_gone, share_gone
from caskbook.loss.doubts import MISREAD, doubt_of
from caskbook.loss.fills import FillLoss
from caskbook.loss.gauges import Gauge, Move
from caskbook.loss.intervals import GAIN, Interval
from caskbook.loss.leak import Gone
from caskbook.loss.records import Stay
from caskbook.loss.verdicts import Level, LossVerdict


class Rates(NamedTuple):
    """Of a whole fill, as its interval has them."""

    share: float | None
    per_year: float | None
    plus_minus: float | None
    steady: float | None
    steady_plus_minus: float | None


@dataclass(frozen=True, slots=True)
class AccountFill:
    """One fill. `fill`: the event that began it; `end`: None while it lasts, and where nobody can read the day. `store`: where it lay longest; `stays`: where it lay
    from when on. `doubts`: what is to be said of the gauges; `doubt`: why it is in no sum, (kind, reason). `course`, `rates`: how it ran, None where that is in
    doubt, or not known."""

    fill: str
    start: date
    end: date | None
    band: str
    store: str | None
    stays: tuple[Stay, ...]
    doubts: tuple[str, ...]
    doubt: tuple[str, str] | None
    course: Course | None
    rates: Rates | None

    def as_row(self) -> list[Any]:
        """In plain values."""
        known = None if self.course is None or self.rates is None else [list(self.rates), *_course_row(self.course)]
        end = None if self.end is None else self.end.toordinal()
        stays = [[stay.since.toordinal(), stay.berth, stay.store] for stay in self.stays]
        return [self.fill, self.start.toordinal(), end, self.band, self.store, stays, self.doubts, self.doubt, known]

    @classmethod
    def from_row(cls, row: Sequence[Any]) -> AccountFill:
        """The inverse of `as_row`."""
        fill, start, end, band, store, stays, doubts, doubt, known = row
        lain = tuple(Stay(date.fromordinal(since), berth, place) for since, berth, place in stays)
        rates, course = (None, None) if known is None else (Rates(*known[0]), _course(*known[1:]))
        return cls(
            fill, date.fromordinal(start), None if end is None else date.fromordinal(end), band, store, lain, tuple(doubts),
            None if doubt is None else (doubt[0], doubt[1]), course, rates,
        )  # fmt: skip


class Judged(NamedTuple):
    """What the peers make of a fill: the verdict, the rate that is expected, what went by a leak that is acted on, and the reason where a gauge is likely misread."""

    level: Level
    expected: float | None
    gone: Gone | None = None
    misread: str | None = None

    def as_row(self) -> list[Any]:
        """In plain values: two, where there is nothing to be said beside the level and the rate."""
        if self.gone is None and self.misread is None:
            return [self.level, self.expected]
        gone = None if self.gone is None else [self.gone.after.toordinal(), self.gone.end.toordinal(), self.gone.lpa]
        return [self.level, self.expected, gone, self.misread]

    @classmethod
    def from_row(cls, row: Sequence[Any]) -> Judged:
        """The inverse of `as_row`."""
        level, expected, gone, misread = (*row, None, None)[:4]
        return cls(level, expected, None if gone is None else Gone(date.fromordinal(gone[0]), date.fromordinal(gone[1]), gone[2]), misread)


def account_fill(loss: FillLoss) -> AccountFill:
    """One fill as it was worked out."""
    record, whole, doubt = loss.record, loss.whole, doubt_of(loss)
    filling, end = record.filling, record.filling.end
    known = whole if whole is not None and doubt is None and None not in [one.lost for one in (whole, *loss.intervals)] else None
    return AccountFill(
        filling.event, filling.start, None if end is None or isinstance(end, UnknownDay) else end, record.band, record.store,
        tuple(stay for stay in record.stays if not isinstance(stay.since, UnknownDay)), _doubts(loss), doubt,
        None if known is None else _course_of(loss.intervals),
        None if known is None else Rates(known.told_share, known.per_year, known.plus_minus, known.steady, known.steady_plus_minus),
    )  # fmt: skip


def judged(verdict: LossVerdict) -> Judged:
    """What a verdict says to an account."""
    leak, doubt = verdict.leak if verdict.level == "act" else None, verdict.doubt
    rate = verdict.expected.rate if verdict.expected else None
    return Judged(verdict.level, rate, None if leak is None else leak.gone, None if doubt is None else f"{doubt.day}: {doubt.words}")


def in_doubt(fill: AccountFill, judged: Judged) -> tuple[str, str] | None:
    """Why the fill is in no sum, by its own gauges or by its peers; None where it is in one."""
    return fill.doubt or (None if judged.misread is None else (MISREAD, judged.misread))


def _doubts(loss: FillLoss) -> tuple[str, ...]:
    flags = {flag for one in loss.intervals for flag in one.flags}
    words = ["gain"] if GAIN in flags else []
    words += ["gauge set aside"] if loss.set_aside else []
    return (*words, *sorted(flags - {GAIN}))


class _Gauged(NamedTuple):
    """A gauge or a move as a course needs it."""

    day: date
    lpa: float | None
    counted: Decimal | None


class _Stretch(NamedTuple):
    """An interval as a course needs it."""

    first: _Gauged
    last: _Gauged
    moves: tuple[_Gauged, ...]
    lost: Decimal | None
    litres: Decimal | None
    in_drink: float
    kept: float | None


def hundredths(value: Decimal | None) -> int | None:
    """Litres as a whole number of hundredths."""
    return None if value is None else int(value.scaleb(2))


def litres_of(value: int | None) -> Decimal | None:
    """The inverse of `hundredths`."""
    return None if value is None else Decimal(value).scaleb(-2)


def _course_row(course: Course) -> list[Any]:
    """The gauges of a course, each with its litres of pure alcohol, and what is told of each stretch between two of them."""
    steps = course.intervals
    gauges = [_gauged_row(one) for one in (steps[0].first, *(step.last for step in steps))]
    return [gauges, [[[_gauged_row(move) for move in one.moves], hundredths(one.lost), hundredths(one.litres), one.in_drink, one.kept] for one in steps]]


def _gauged_row(one: Any) -> list[Any]:
    day = one.day.toordinal()
    return [-day if isinstance(one.day, UnknownDay) else day, one.lpa, hundredths(one.counted)]


def _gauged(row: Sequence[Any]) -> _Gauged:
    day, lpa, counted = row
    return _Gauged(date.fromordinal(day) if day > 0 else UnknownDay.fromordinal(-day), lpa, litres_of(counted))


def _course_of(intervals: Sequence[Interval]) -> Course:
    """The course of a fill as it was worked out; what counts of each gauge and move is reckoned once, for each division asks it again."""
    seen = [_plain(intervals[0].first), *(_plain(one.last) for one in intervals)]
    return _joined([
        _Stretch(first, last, tuple(map(_plain, one.moves)), one.lost, one.litres, one.in_drink, one.kept)
        for (first, last), one in zip(pairwise(seen), intervals, strict=True)
    ])  # fmt: skip


def _plain(one: Gauge | Move) -> _Gauged:
    return _Gauged(one.day, one.lpa, one.counted)


def _joined(steps: Sequence[_Stretch]) -> Course:
    """Stretches that follow on one another, and the whole of them."""
    return Course(_Stretch(steps[0].first, steps[-1].last, tuple(move for one in steps for move in one.moves), None, None, 0.0, None), steps)


def _course(gauges: Sequence[Sequence[Any]], steps: Sequence[Sequence[Any]]) -> Course:
    """A course as it was kept; of the whole it needs the first and the last gauge, and all that was put in or taken out between them."""
    seen = [_gauged(one) for one in gauges]
    return _joined([
        _Stretch(first, last, tuple(_gauged(move) for move in moves), litres_of(lost), litres_of(litres), in_drink, kept)
        for (first, last), (moves, lost, litres, in_drink, kept) in zip(pairwise(seen), steps, strict=True)
    ])  # fmt: skip


def gone_by(known: Sequence[Any], day: int) -> tuple[int, int, int, int]:
    """(litres of pure alcohol and litres at 20 °C that had gone by the end of the day, litres of pure alcohol put in by then, what of it was there) of a course
    as it is kept, in hundredths, as `Course` has them; `day` as an ordinal."""
    _, gauges, steps = known
    if day < abs(gauges[0][0]):
        return 0, 0, 0, 0
    lpa = litres = 0
    put_in = there = gauges[0][2] or 0
    for at, _, counted in chain.from_iterable(step[0] for step in steps):
        if counted is not None and abs(at) <= day:
            put_in += max(counted, 0)
            there += counted
    for first, last, (moves, lost, of_liquid, in_drink, kept) in zip(gauges, gauges[1:], steps, strict=False):
        if day < abs(first[0]):
            break
        if day >= abs(last[0]):
            lpa, litres = lpa + (lost or 0), litres + (of_liquid or 0)
            continue
        stretch = _Stretch(_gauged(first), _gauged(last), tuple(map(_gauged, moves)), litres_of(lost), litres_of(of_liquid), in_drink, kept)
        share = share_gone(stretch, date.fromordinal(day))
        lpa += hundredths(part_gone(stretch.lost, share)) or 0
        litres += hundredths(part_gone(stretch.litres, share)) or 0
    return lpa, litres, put_in, there - lpa
