"""Jobs counted and summed: how many casks, jobs and hours, and how many jobs nobody knows the hours of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from caskbook.model.jobs import JOBS
from caskbook.model.jobs.work import BenchJob
from caskbook.work.job import KINDS, Job, Kind
from caskbook.work.plan import WorkPlan


@dataclass(frozen=True, slots=True)
class Sum:
    """Jobs in figures. `hours`: those that are known; `unknown`: how many jobs are without."""

    casks: int
    jobs: int
    hours: float
    unknown: int


@dataclass(frozen=True, slots=True)
class KindRow:
    """The jobs of a kind (`kind` None: of all kinds) as a whole, by week, and those that fit into none."""

    kind: Kind | None
    whole: Sum
    weeks: tuple[Sum, ...]
    not_fitting: Sum


def sum_of(jobs: Iterable[Job]) -> Sum:
    """These jobs in figures."""
    found = list(jobs)
    return Sum(len({job.cask for job in found}), len(found), sum(job.hours or 0 for job in found), sum(job.hours is None for job in found))


def kind_rows(plan: WorkPlan) -> list[KindRow]:
    """A row for each kind of which there is a job, in their order, and one of all."""
    rows = [_row(plan, kind, [job for job in plan.jobs if job.kind == kind]) for kind in KINDS]
    return [*(row for row in rows if row.whole.jobs), _row(plan, None, list(plan.jobs))]


def _row(plan: WorkPlan, kind: Kind | None, jobs: list[Job]) -> KindRow:
    by_week: dict[int | None, list[Job]] = {}
    for job in jobs:
        by_week.setdefault(job.week, []).append(job)
    return KindRow(kind, sum_of(jobs), tuple(sum_of(by_week.get(week.number, ())) for week in plan.weeks), sum_of(by_week.get(None, ())))


def over_capacity(plan: WorkPlan) -> list[Job]:
    """Jobs longer than the week they have to themselves."""
    capacity = {week.number: week.capacity for week in plan.weeks}
    return [job for job in plan.jobs if job.week is not None and (most := capacity[job.week]) is not None and (job.hours or 0) > most + 1e-9]


def jobs_by_word(jobs: Iterable[Job]) -> Counter[str]:
    """Job → how many, the most first."""
    return Counter(dict(Counter(job.job for job in jobs).most_common()))


def takes_minutes(job: str) -> bool:
    """Whether an entry of the job may say the minutes of work: one at the bench, at the fire or on the wood."""
    return issubclass(JOBS[job], BenchJob)
