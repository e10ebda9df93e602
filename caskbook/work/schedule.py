"""Jobs laid into weeks: what matters first, none before it is due, each week as full as its hours go. A pure function."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from caskbook.work.job import Job
from caskbook.work.weeks import Week, week_of

_EXACT = 1e-9
"""Hours are sums of decimals: a week that is filled to the minute is not over."""


HoursIn = Callable[[Job, int], float | None]
"""(job, number of a week) → the hours of the job in that week, None where nobody knows them."""


def _as_given(job: Job, week: int) -> float | None:
    return job.hours


def scheduled(jobs: Sequence[Job], weeks: tuple[Week, ...], hours_in: HoursIn = _as_given) -> tuple[Job, ...]:
    """The jobs as they were given, each with its week and its hours in that; None, and the hours as given, where no week takes it.

    They are laid in by rank, each into the first week that has room, not before the day on which it becomes due. What is done earlier in a
    visit to the bench, and is due by then too, goes into the same week or an earlier one; where that does not fit, what follows it
    does not either. A job longer than any of its weeks has one to itself, the first that is empty. Without hours a job takes no room, and
    without a capacity there is room for all.
    """
    board = _Board(jobs, weeks, hours_in)
    for at in sorted(range(len(jobs)), key=lambda at: jobs[at].rank):
        board.lay(at)
    return tuple(replace(job, week=week, hours=job.hours if week is None else hours_in(job, week)) for at, job in enumerate(jobs) for week in (board.week[at],))


@dataclass
class _Board:
    """The weeks while they fill. `week`: place of a job → the number of its week; `load`: hours by week; `ready`: the first week a job is due in."""

    jobs: Sequence[Job]
    weeks: tuple[Week, ...]
    hours_in: HoursIn
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
            self.week[at] = None if ready is None or len(known) < len(before) else self._room(self.jobs[at], max([ready, *known]))
        return self.week[at]

    def _before(self, at: int) -> list[int]:
        """Jobs on the same cask that come earlier in a visit, and are due no later."""
        job, ready = self.jobs[at], self.ready[at]
        if not job.turn or ready is None:
            return []
        return [one for one in self.of_cask[job.cask] if self.jobs[one].turn < job.turn and (due := self.ready[one]) is not None and due <= ready]

    def _room(self, job: Job, start: int) -> int | None:
        """The first week from `start` on that takes the hours of the job, which are then taken."""
        open_weeks = self.weeks[start - 1 :]
        taker = next((week for week in open_weeks if self._takes(week, self._wanted(job, week))), None)
        if taker is None and all(week.capacity is not None and self._wanted(job, week) > week.capacity + _EXACT for week in open_weeks):
            taker = next((week for week in open_weeks if week.capacity and not self.load[week.number - 1]), None)
        if taker is None:
            return None
        self.load[taker.number - 1] += self._wanted(job, taker)
        return taker.number

    def _wanted(self, job: Job, week: Week) -> float:
        return self.hours_in(job, week.number) or 0.0

    def _takes(self, week: Week, hours: float) -> bool:
        return not hours or week.capacity is None or self.load[week.number - 1] + hours <= week.capacity + _EXACT
