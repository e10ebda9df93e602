"""The book as a lead sees it: on every day of a gauge the verdict on that fill, held against the casks as they are known by then."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from typing import Any

from caskbook.life import Life, live
from caskbook.loss import PeerTable, figures_of
from caskbook.loss.figures import FillFigure
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.loss.verdicts import judge_fill
from caskbook.model.cask import Cask, read_cask
from caskbook.model.house import House
from loss.simulator.house import World
from loss.simulator.story import CaskStory, FillTruth

ALARMS = ("act", "watch")


@dataclass(slots=True)
class Watched:
    """One fill and what was said of it: each day on which somebody looked, and the level."""

    fill: FillTruth
    said: list[tuple[date, str]] = field(default_factory=list)

    def first(self, levels: tuple[str, ...], until: date) -> date | None:
        """The first day up to `until` on which one of these was said."""
        return next((day for day, level in self.said if level in levels and day <= until), None)

    def found(self) -> bool:
        """Whether `act` was said on a day after the onset of its leak."""
        assert self.fill.leak is not None
        return any(level == "act" and day > self.fill.leak.onset for day, level in self.said)

    def kept(self) -> bool:
        """Whether the last word was `act`."""
        return self.said[-1][1] == "act"


@dataclass(slots=True)
class _Now:
    """A cask as it is known: its last life and the loss of its last fill."""

    cask: Cask
    watched: dict[str, Watched]
    figures: list[FillFigure] = field(default_factory=list)
    life: Life | None = None
    loss: FillLoss | None = None


def watch(world: World, stories: list[CaskStory]) -> list[list[Watched]]:
    """The fills of every cask, judged on each day of its gauges, and once a year with all that stands in the book by then."""
    house = House(world.settings)
    book = [_Now(_read(told.data), {fill.event: Watched(fill) for fill in told.fills}) for told in stories]
    looks = sorted({(gauge.day, n) for n, told in enumerate(stories) for fill in told.fills for gauge in fill.gauges})
    for (_, quarter), part in groupby(looks, key=lambda look: (look[0].year, (look[0].month - 1) // 3)):
        rounds: list[dict[int, date]] = []
        for day, n in part:
            fitting = next((one for one in rounds if n not in one), None)
            if fitting is None:
                rounds.append(fitting := {})
            fitting[n] = day
        for one in rounds:
            _look(book, one, house)
        if quarter == 3:
            _look_over(book, day)
    return [list(now.watched.values()) for now in book]


def _read(data: dict[str, Any]) -> Cask:
    cask, faults = read_cask(data)
    assert cask is not None and not faults, faults
    return cask


def _look(book: list[_Now], days: dict[int, date], house: House) -> None:
    """A season's gauges: of each cask one, all entered before the first verdict."""
    for n, day in days.items():
        now = book[n]
        now.life = live(now.cask, house, day)
        now.figures, now.loss = figures_of(now.life), fill_losses(now.life)[-1]
    peers = PeerTable(figure for now in book for figure in now.figures)
    for n, day in days.items():
        _judge(book[n], peers, day)


def _look_over(book: list[_Now], day: date) -> None:
    """At the end of a year: every fill that is still in its cask, as the peers are by then."""
    peers = PeerTable(figure for now in book for figure in now.figures)
    for now in book:
        if now.loss is not None and not now.loss.ended:
            _judge(now, peers, day)


def _judge(now: _Now, peers: PeerTable, day: date) -> None:
    assert now.life is not None and now.loss is not None
    level = judge_fill(now.life, now.loss, peers).level
    now.watched[now.loss.record.filling.event].said.append((day, level))
