"""The summary of a fill: all that is needed to hold it against any peers and to say why, in plain values that an index can keep."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from caskbook.life import Life
from caskbook.loss.aside import asides_of
from caskbook.loss.figures import FillFigure, figure_of
from caskbook.loss.fills import FillLoss, in_drink_of, loss_of
from caskbook.loss.intervals import Interval
from caskbook.loss.phrases import a_year, doubted_gauges, leak_words, notes_of, told_apart
from caskbook.loss.points import Point, course_of
from caskbook.loss.records import fill_records

_MOST_LEAKS = 3
_MOST_NOTES = 2
_UNREAD = "cannot be read: "
_NO_FIGURE = "gauged again, but no loss can be worked out"


@dataclass(frozen=True, slots=True)
class FillSummary:
    """A fill. `points`: its course, gauge by gauge; empty without a second gauge. `in_drink`: share that the wood takes at first.

    `doubtful`: gauges that contradict each other, or of which nothing can be worked out, in words, None where none does; `usual`: the loss in words; `notes`: on its
    gauges; `leaks` seen; `aside`: gauges that were set aside, in words.
    """

    figure: FillFigure
    start: date
    ended: bool
    points: tuple[Point, ...]
    in_drink: float = 0.0
    doubtful: tuple[str, ...] | None = None
    usual: str = ""
    notes: tuple[str, ...] = ()
    leaks: tuple[str, ...] = ()
    aside: tuple[str, ...] = ()

    @property
    def unread(self) -> bool:
        """Whether it is in doubt for what cannot be read of the cask's files."""
        return bool(self.doubtful) and self.doubtful[0].startswith(_UNREAD)  # type: ignore[index]

    @property
    def no_figure(self) -> bool:
        """Whether it was gauged again, and nothing can be worked out of that."""
        return bool(self.doubtful) and self.doubtful[0] == _NO_FIGURE  # type: ignore[index]

    def as_row(self, *, brief: bool = False) -> list[Any]:
        """In plain values, without the number and type of the cask; `brief` without what only the words need."""
        words = [] if brief else [self.usual, self.notes, self.leaks, self.aside]
        doubtful: tuple[str, ...] | None = () if brief and self.doubtful is not None else self.doubtful
        figure = self.figure.as_row()
        return [[figure[1], *figure[3:]], self.start.toordinal(), self.ended, [one.as_row(brief=brief) for one in self.points], self.in_drink, doubtful, *words]

    @classmethod
    def from_row(cls, row: list[Any], cask: str, cask_type: str) -> FillSummary:
        """The inverse of `as_row`."""
        (fill, *rest), start, ended, points, in_drink, doubtful, *words = row
        told = (words[0], *(tuple(one) for one in words[1:])) if words else ()
        figure = FillFigure(cask, fill, cask_type, *rest)
        course = tuple(map(Point.from_row, points))
        return cls(figure, date.fromordinal(start), ended, course, in_drink, None if doubtful is None else tuple(doubtful), *told)


def summary_of(life: Life, loss: FillLoss) -> FillSummary:
    """The summary of one fill of a life."""
    return summary_from(figure_of(life, loss), loss, in_drink_of(life.state.settings))


def summary_from(figure: FillFigure, loss: FillLoss, in_drink: float) -> FillSummary:
    """The same, by its figure; `in_drink`: the share that a filling loses to the wood at first."""
    whole = loss.whole
    fresh = loss.record.fresh and bool(loss.used) and loss.used[0].event == loss.record.filling.event
    seen = [leak_words(event) for event in loss.record.leaks if event.job == "leak"][-_MOST_LEAKS:]
    return FillSummary(
        figure, loss.record.filling.start, loss.ended, course_of(loss), in_drink if fresh else 0.0,
        _doubtful(loss), "" if whole is None else _usual(whole),
        tuple(notes_of(loss)[:_MOST_NOTES]) if whole is None else (), tuple(seen), tuple(aside.words for aside in asides_of(loss)),
    )  # fmt: skip


def _doubtful(loss: FillLoss) -> tuple[str, ...] | None:
    unread = loss.record.unread
    if unread:
        return (f"{_UNREAD}{', '.join(unread)}",)
    if loss.doubtful:
        return doubted_gauges(loss)
    again = loss.whole is None and any(gauge.job == "regauge" for gauge in loss.record.gauges[1:])
    return (_NO_FIGURE, *notes_of(loss)[:_MOST_NOTES]) if again else None


def summaries_of(life: Life) -> Iterator[FillSummary]:
    """The summaries of all fills of spirit, the latest first, each worked out when it is asked for."""
    for record in reversed(fill_records(life)):
        yield summary_of(life, loss_of(record, life.state.settings))


def _usual(whole: Interval) -> str:
    after = told_apart(whole)
    return f"{a_year(whole)}{f', {after}' if after else ''}, {whole.first.day} to {whole.last.day}"
