"""Jobs laid into weeks: what matters first, none before it is due, each week as full as its hours go. A pure function."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from caskbook.work.job import Job
from caskbook.work.weeks import Week, week_of

_EXACT = 1e-9
"""Hours are sums of decimals: a week that is filled to the minute is not over."""


def scheduled(jobs: Sequence[Job], weeks: tuple[Week, ...]) -> tuple[Job, ...]:
    """The jobs as they were given, each with its week; None where no week takes it.

    They are laid in by rank, each into the first week that has room, not before the day on which it becomes due. What is done earlier in a
    visit to the bench, and is due by then too, goes into the same week or an earlier one; where that does not fit, what follows it
    does not either. A job longer than any of its weeks has one to itself, the first that is empty. Without hours a job takes no room, and
    without a capacity there is room for all.
    """
    board = _Board(jobs, weeks)
    for at in sorted(range(len(jobs)), key=lambda at: jobs[at].rank):
        board.lay(at)
    return tuple(replace(job, week=board.week[at]) for at, job in enumerate(jobs))


@dataclass
class _Board:
    """The weeks while they fill. `week`: place of a job → the number of its week; `load`: hours by week; `ready`: the first week a job is due in."""

    jobs: Sequence[Job]
    weeks: tuple[Week, ...]
    week: dict[int, int | None] = field(default_factory=dict)
    load: list[float] = field(default_factory=list)
    ready: list[int | None] = field(default_factory=list)
    of_cask: dict[str, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.load = [0.0] * len(self.weeks)
        self.ready = [week_of(job.due, self.weeks) for job in self.jobs]
        for at, job in enumerate(self.jobs):
            if job.turn:
                self.of_cask.setdefault(job.cask, []).append(at)
        for found in self.of_cask.values():
            found.sort(key=lambda at: (self.jobs[at].turn, self.jobs[at].rank))

    def lay(self, at: int) -> int | None:
        """Lay a job into its week, what goes before it at the bench first."""
        if at not in self.week:
            before = [self.lay(one) for one in self._before(at)]
            ready = self.ready[at]
            known = [number for number in before if number is not None]
            self.week[at] = None if ready is None or len(known) < len(before) else self._room(self.jobs[at].hours, max([ready, *known]))
        return self.week[at]

    def _before(self, at: int) -> list[int]:
        """Jobs on the same cask that come earlier in a visit, and are due no later."""
        job, ready = self.jobs[at], self.ready[at]
        if not job.turn or ready is None:
            return []
        return [one for one in self.of_cask[job.cask] if self.jobs[one].turn < job.turn and (due := self.ready[one]) is not None and due <= ready]

    def _room(self, hours: float | None, start: int) -> int | None:
        """The first week from `start` on that takes so many hours, which are then taken."""
        wanted, open_weeks = hours or 0.0, self.weeks[start - 1 :]
        taker = next((week for week in open_weeks if not wanted or self._takes(week, wanted)), None)
        if taker is None and all(week.capacity is not None and wanted > week.capacity + _EXACT for week in open_weeks):
            taker = next((week for week in open_weeks if week.capacity and not self.load[week.number - 1]), None)
        if taker is None:
            return None
        self.load[taker.number - 1] += wanted
        return taker.number

    def _takes(self, week: Week, hours: float) -> bool:
        return week.capacity is None or self.load[week.number - 1] + hours <= week.capacity + _EXACT
