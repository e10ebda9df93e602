"""The summary of a fill: all that is needed to hold it against any peers and to say why, in plain values that an index can keep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, overload

from caskbook.life import Life
from caskbook.loss.aside import asides_of
from caskbook.loss.figures import FillFigure, figure_of
from caskbook.loss.fills import FillLoss, in_drink_of, loss_of
from caskbook.loss.intervals import Interval
from caskbook.loss.phrases import a_year, doubted_gauges, leak_words, notes_of, told_apart
from caskbook.loss.points import STAYS, Point, course_of
from caskbook.loss.records import fill_records

_MOST_LEAKS = 3
_MOST_NOTES = 2
_UNREAD = "cannot be read: "
_POINTS = 3
"""Where in a row the points stand."""


@dataclass(frozen=True, slots=True)
class FillSummary:
    """A fill. `points`: its course, gauge by gauge; empty without a second gauge. `in_drink`: share that the wood takes at first.

    `doubtful`: gauges that contradict each other, in words, None where none does; `usual`: the loss in words; `notes`: on its
    gauges; `leaks` seen; `aside`: gauges that were set aside, in words; `in_vain`: it was gauged again, and no figure comes of it.
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
    in_vain: bool = False

    @property
    def stores(self) -> set[str | None]:
        """The stores it lay in between its gauges."""
        return {store for point in self.points for store, _ in point.stays}

    @property
    def unread(self) -> bool:
        """Whether it is in doubt for what cannot be read of the cask's files."""
        return bool(self.doubtful) and self.doubtful[0].startswith(_UNREAD)  # type: ignore[index]

    def as_row(self, *, brief: bool = False) -> list[Any]:
        """In plain values, without the number and type of the cask; `brief` without what only the words need."""
        words = [] if brief else [self.usual, self.notes, self.leaks, self.aside]
        doubtful: tuple[str, ...] | None = () if brief and self.doubtful is not None else self.doubtful
        figure = self.figure.as_row()
        return [
            [figure[1], *figure[3:]],
            self.start.toordinal(),
            self.ended,
            [one.as_row(brief=brief) for one in self.points],
            self.in_drink,
            self.in_vain,
            doubtful,
            *words,
        ]

    @classmethod
    def from_row(cls, row: list[Any], cask: str, cask_type: str) -> FillSummary:
        """The inverse of `as_row`."""
        (fill, *rest), start, ended, points, in_drink, in_vain, doubtful, *words = row
        usual, *others = words or ("", (), (), ())
        notes, leaks, aside = (tuple(one) for one in others)
        figure = FillFigure(cask, fill, cask_type, *rest)
        course = tuple(map(Point.from_row, points))
        return cls(figure, date.fromordinal(start), ended, course, in_drink, None if doubtful is None else tuple(doubtful), usual, notes, leaks, aside, in_vain)


class RowSummaries(Sequence[FillSummary]):
    """Summaries by their rows; each is made when it is asked for, since of most casks one is."""

    def __init__(self, rows: Sequence[list[Any]], cask: str, cask_type: str) -> None:
        self._rows, self._cask, self._type = rows, cask, cask_type

    def __len__(self) -> int:
        return len(self._rows)

    @overload
    def __getitem__(self, at: int) -> FillSummary: ...
    @overload
    def __getitem__(self, at: slice) -> list[FillSummary]: ...
    def __getitem__(self, at: int | slice) -> FillSummary | list[FillSummary]:
        if isinstance(at, slice):
            return [FillSummary.from_row(row, self._cask, self._type) for row in self._rows[at]]
        return FillSummary.from_row(self._rows[at], self._cask, self._type)


@dataclass(frozen=True, slots=True)
class EarlierFill:
    """A fill before the latest, by its row alone, which has nothing that only the words need."""

    row: list[Any]
    figure: FillFigure

    @classmethod
    def from_row(cls, row: list[Any], cask: str, cask_type: str) -> EarlierFill:
        """That of a `FillSummary`, as it gives it when `brief`."""
        fill, *rest = row[0]
        return cls(row, FillFigure(cask, fill, cask_type, *rest))

    @property
    def stores(self) -> set[str | None]:
        """The stores it lay in between its gauges."""
        return {store for point in self.row[_POINTS] for store, _ in point[STAYS]}

    def as_row(self, *, brief: bool = True) -> list[Any]:
        """The row."""
        if not brief:
            raise ValueError("its words are not known")
        return self.row


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
        whole is None and len(loss.record.gauges) > 1,
    )  # fmt: skip


def _doubtful(loss: FillLoss) -> tuple[str, ...] | None:
    unread = loss.record.unread
    if unread:
        return (f"{_UNREAD}{', '.join(unread)}",)
    return doubted_gauges(loss) if loss.doubtful else None


def summaries_of(life: Life) -> Iterator[FillSummary]:
    """The summaries of all fills of spirit, the latest first, each worked out when it is asked for."""
    for record in reversed(fill_records(life)):
        yield summary_of(life, loss_of(record, life.state.settings))


def _usual(whole: Interval) -> str:
    after = told_apart(whole)
    return f"{a_year(whole)}{f', {after}' if after else ''}, {whole.first.day} to {whole.last.day}"
