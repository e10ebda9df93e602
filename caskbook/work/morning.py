"""The work of one day for one sheet of paper: which jobs stand on it, as one walks, and what has no place there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from caskbook.words.job_table import row_of
from caskbook.work.job import Job
from caskbook.work.plan import WorkPlan
from caskbook.work.route import walk_of


class Held(NamedTuple):
    """A cask on which nothing is to be done but to decide: why, in words."""

    cask: str
    type: str
    berth: str | None
    store: str | None
    why: str


@dataclass(frozen=True, slots=True)
class Morning:
    """The sheet of a day. `plan`: that of the day alone; `pages`: the jobs of each page, as one walks; `over_page`: those that the hours take and the
    pages do not, by rank; `held`: casks held or rejected, as one walks; `each`: how many jobs go on a page."""

    plan: WorkPlan
    pages: tuple[tuple[Job, ...], ...]
    over_page: tuple[Job, ...]
    held: tuple[Held, ...]
    each: int

    @property
    def jobs(self) -> tuple[Job, ...]:
        """The jobs of all pages."""
        return tuple(job for page in self.pages for job in page)

    @property
    def over_hours(self) -> tuple[Job, ...]:
        """The jobs for which the day has no hours, by rank."""
        return self.plan.not_fitting

    @property
    def to_follow(self) -> tuple[Job, ...]:
        """The test of each cask that work on the sheet leaves untested, and that is not planned."""
        worked = {job.cask for job in self.jobs if row_of(job.job).loosens}
        return tuple(job for job in self.plan.to_follow if job.cask in worked)

    @property
    def left_over(self) -> tuple[Job, ...]:
        """All that is due and stands on no page, by rank."""
        return tuple(sorted((*self.over_hours, *self.over_page), key=lambda job: job.rank))


def morning_of(plan: WorkPlan, held: Sequence[Held], each: int, pages: int) -> Morning:
    """The sheet of a plan of one day: so many pages at most, of `each` jobs. What matters most has a place first, and what goes before it at the bench."""
    wanted = _by_need(plan.of_week(1))
    taken, over = wanted[: each * pages], wanted[each * pages :]
    walk = walk_of(plan.stores)
    along = sorted(taken, key=lambda job: (walk(job.store, job.berth, job.cask), job.turn, job.rank))
    kept = sorted(held, key=lambda one: walk(one.store, one.berth, one.cask))
    cut = tuple(tuple(along[at : at + each]) for at in range(0, len(along), each))
    return Morning(plan, cut or ((),), tuple(over), tuple(kept), each)


def _by_need(jobs: Sequence[Job]) -> list[Job]:
    """The jobs by rank, each behind those on its cask that come earlier in a visit to the bench."""
    of_cask: dict[str, list[int]] = {}
    for at, job in sorted(enumerate(jobs), key=lambda one: (one[1].turn, one[1].rank)):
        of_cask.setdefault(job.cask, []).append(at)
    order: dict[int, None] = {}
    for at in sorted(range(len(jobs)), key=lambda at: jobs[at].rank):
        turn = jobs[at].turn
        order.update(dict.fromkeys(one for one in of_cask[jobs[at].cask] if 0 < jobs[one].turn < turn))
        order[at] = None
    return [jobs[at] for at in order]
