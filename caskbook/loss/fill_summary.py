"""The summary of a fill: all that is needed to hold it against any peers and to say why, in plain values that an index can keep."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.core.days import years_between
from caskbook.life import Life
from caskbook.loss.figures import FillFigure, figure_of
from caskbook.loss.fills import FillLoss, loss_of
from caskbook.loss.intervals import COVERAGE, UNCORRECTED, Interval
from caskbook.loss.phrases import a_year, doubted_gauges, leak_words, notes_of, told_apart
from caskbook.loss.records import fill_records

_MOST_LEAKS = 3
_MOST_NOTES = 2


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one gauge to another: `steady`, the share lost a year once the wood has had its part, and `sigma`, its measuring error.

    `lpa`, litres of pure alcohol at both ends; `litres` at the last one, as shown. `drift`: % vol a year, `drift_sigma` its
    error. `emptied`: nothing came out at the last one; `uncorrected`: a gauge has no temperature.
    """

    first: date
    last: date
    steady: float | None
    sigma: float
    in_drink: bool = False
    lpa: tuple[float | None, float | None] = (None, None)
    litres: str | None = None
    drift: float | None = None
    drift_sigma: float = 0.0
    emptied: bool = False
    uncorrected: bool = False

    @property
    def years(self) -> float:
        """Its length."""
        return years_between(self.first, self.last)

    @property
    def plus_minus(self) -> float:
        """± of `steady`, two standard deviations, what is not known of the wood's part included."""
        return COVERAGE * self.sigma * (1.0 - (self.steady or 0.0))

    def as_row(self, *, brief: bool) -> list[Any]:
        """In plain values; `brief` without what only the words need."""
        row = [self.first.toordinal(), self.last.toordinal(), self.steady, self.sigma]
        return row if brief else [*row, self.in_drink, self.lpa, self.litres, self.drift, self.drift_sigma, self.emptied, self.uncorrected]

    @classmethod
    def from_row(cls, row: list[Any]) -> Stretch:
        """The inverse of `as_row`."""
        first, last, steady, sigma, *more = row
        if more:
            more[1] = tuple(more[1])
        return cls(date.fromordinal(first), date.fromordinal(last), steady, sigma, *more)


@dataclass(frozen=True, slots=True)
class FillSummary:
    """A fill. `stretches`: the whole first, then, where there are several, from gauge to gauge; empty without a second gauge.

    `doubtful`: gauges that contradict each other, in words, None where none does; `usual`: the loss in words; `notes`: on its
    gauges; `leaks` seen; `aside`: days of gauges that were set aside.
    """

    figure: FillFigure
    start: date
    ended: bool
    stretches: tuple[Stretch, ...]
    doubtful: tuple[str, ...] | None = None
    usual: str = ""
    notes: tuple[str, ...] = ()
    leaks: tuple[str, ...] = ()
    aside: tuple[str, ...] = ()

    def as_row(self, *, brief: bool = False) -> list[Any]:
        """In plain values, without the number and type of the cask; `brief` without what only the words need."""
        words = [] if brief else [self.usual, self.notes, self.leaks, self.aside]
        doubtful: tuple[str, ...] | None = () if brief and self.doubtful is not None else self.doubtful
        figure = self.figure.as_row()
        return [[figure[1], *figure[3:]], self.start.toordinal(), self.ended, [one.as_row(brief=brief) for one in self.stretches], doubtful, *words]

    @classmethod
    def from_row(cls, row: list[Any], cask: str, cask_type: str) -> FillSummary:
        """The inverse of `as_row`."""
        (fill, *rest), start, ended, stretches, doubtful, *words = row
        told = (words[0], *(tuple(one) for one in words[1:])) if words else ()
        figure = FillFigure(cask, fill, cask_type, *rest)
        return cls(figure, date.fromordinal(start), ended, tuple(map(Stretch.from_row, stretches)), None if doubtful is None else tuple(doubtful), *told)


def summary_of(life: Life, loss: FillLoss) -> FillSummary:
    """The summary of one fill of a life."""
    return summary_from(figure_of(life, loss), loss)


def summary_from(figure: FillFigure, loss: FillLoss) -> FillSummary:
    """The same, by its figure."""
    whole = loss.whole
    parts = [] if whole is None else [whole, *(loss.intervals if len(loss.intervals) > 1 else ())]
    seen = [leak_words(event) for event in loss.record.leaks if event.job == "leak"][-_MOST_LEAKS:]
    return FillSummary(
        figure, loss.record.filling.start, loss.ended, tuple(stretch_of(one, loss.record.filling.end_event) for one in parts),
        doubted_gauges(loss) if loss.doubtful else None, "" if whole is None else _usual(whole),
        tuple(notes_of(loss)[:_MOST_NOTES]) if whole is None else (), tuple(seen), tuple(str(gauge.day) for gauge in loss.set_aside),
    )  # fmt: skip


def summaries_of(life: Life) -> Iterator[FillSummary]:
    """The summaries of all fills of spirit, the latest first, each worked out when it is asked for."""
    for record in reversed(fill_records(life)):
        yield summary_of(life, loss_of(record, life.state.settings))


def stretch_of(one: Interval, end_event: str | None = None) -> Stretch:
    """An interval as a stretch; `end_event` is what ended the fill."""
    last = one.last
    return Stretch(
        one.first.day, last.day, one.steady, one.sigma, bool(one.in_drink), (one.first.lpa, last.lpa), None if last.litres is None else str(last.litres),
        one.drift, one.drift_sigma, not last.lpa and last.event == end_event, UNCORRECTED in one.flags,
    )  # fmt: skip


def _usual(whole: Interval) -> str:
    after = told_apart(whole)
    return f"{a_year(whole)}{f', {after}' if after else ''}, {whole.first.day} to {whole.last.day}"
