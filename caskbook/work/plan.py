"""The plan of work: calls made into jobs with hours, laid into the weeks, and what goes with them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, cast

from caskbook.due import ranked
from caskbook.ledger.files import Ledger
from caskbook.model.house import Settings
from caskbook.words.job_table import row_of
from caskbook.words.repairs import Part, mended_by
from caskbook.work.gather import Call, Gathering
from caskbook.work.hours import HoursByWeek, Source
from caskbook.work.job import Job, LeftOut, kind_of
from caskbook.work.known import Known
from caskbook.work.schedule import scheduled
from caskbook.work.weeks import Week, weeks_from
from caskbook.work.wood import parts_wanted

_EACH_BY_ITSELF = "decide"
"""Two rules call for two decisions; any other job is done once for both."""


_PROVES = "test"


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan is asked for: how many weeks, the coopers and hours that take the place of the house's, cask → the day it is emptied on;
    `begin`: the first day, None for the Monday on or after the day."""

    weeks: int
    coopers: int | None = None
    hours_a_week: float | None = None
    tips: Mapping[str, date] = field(default_factory=dict)
    begin: date | None = None


@dataclass(frozen=True, slots=True)
class WorkPlan:
    """A plan. `jobs`: all that are planned, with their weeks, by rank; `left_out`: those that are not, and why; `sources`: where the hours of jobs
    come from; `wood`: type of cask → parts wanted; `refused`: casks that cannot be tipped, and why; `open_on_tipped`: findings open on those tipped;
    `to_follow`: the test of each cask that planned work leaves untested, which is not planned yet; `casks`: how many were asked about; `unknown`: verdicts that cannot be told; `stores`: prefix of a berth → store."""

    day: date
    asked: Asked
    weeks: tuple[Week, ...]
    jobs: tuple[Job, ...]
    left_out: tuple[LeftOut, ...]
    sources: tuple[Source, ...]
    wood: Mapping[str, Counter[Part]]
    refused: tuple[tuple[str, str], ...]
    open_on_tipped: int
    to_follow: tuple[Job, ...]
    casks: int
    unknown: int
    stores: Mapping[str, str]

    @property
    def not_fitting(self) -> tuple[Job, ...]:
        """The jobs that no week takes."""
        return tuple(job for job in self.jobs if job.week is None)

    def of_week(self, number: int) -> tuple[Job, ...]:
        """The jobs of a week."""
        return tuple(job for job in self.jobs if job.week == number)

    @property
    def tipped(self) -> Mapping[str, date]:
        """Cask → day, of the planned emptyings that can be."""
        refused = {cask for cask, _ in self.refused}
        return {cask: day for cask, day in self.asked.tips.items() if cask not in refused}


def plan_work(known: Known, ledger: Ledger, day: date, asked: Asked) -> WorkPlan:
    """The plan of the weeks after a day; of its casks what is not known is read in the ledger."""
    return plan_into(weeks_from(day, asked.weeks, ledger.house.on, asked.coopers, asked.hours_a_week, asked.begin), known, ledger, day, asked)


def plan_into(weeks: tuple[Week, ...], known: Known, ledger: Ledger, day: date, asked: Asked) -> WorkPlan:
    """The plan of these weeks, whatever they begin with."""
    house = ledger.house
    gathering = Gathering(known, ledger, day, weeks[0].first, weeks[-1].last, asked.tips)
    calls = gathering.calls()
    hours = HoursByWeek(weeks, house.on, known.minutes)
    jobs, left_out = _jobs(calls, hours, house.on(day))
    laid = scheduled(jobs, weeks, lambda job, week: hours.of(job.job, job.type, week))
    to_follow = _to_follow(laid, hours)
    return WorkPlan(
        day, asked, weeks, laid, tuple(left_out), tuple(hours.sources()), _wood(calls, laid), tuple(gathering.refused), gathering.open_on_tipped, to_follow,
        known.casks, known.unknown, house.on(day).stores,
    )  # fmt: skip


def _jobs(calls: Sequence[Call], hours: HoursByWeek, settings: Settings) -> tuple[list[Job], list[LeftOut]]:
    """(the jobs that these call for, by rank, those that are left out). A job that two rules call for is done once, under the one that matters more."""
    rank = {id(verdict): n for n, verdict in enumerate(ranked(cast(Any, [call.verdict for call in calls])))}
    jobs: dict[tuple[str, ...], Job] = {}
    left_out: list[LeftOut] = []
    for call in sorted(calls, key=lambda call: rank[id(call.verdict)]):
        for word in call.jobs:
            job = _job(call, word, hours, settings, rank[id(call.verdict)])
            if call.why is not None:
                left_out.append(LeftOut(job, call.why))
                continue
            key = (job.cask, word, job.rule) if word == _EACH_BY_ITSELF else (job.cask, word)
            first = jobs.setdefault(key, job)
            if first.due is not None and (job.due is None or job.due < first.due):
                jobs[key] = replace(first, due=job.due, hours=hours.first(word, job.type, job.due))
    return list(jobs.values()), left_out


def _job(call: Call, word: str, hours: HoursByWeek, settings: Settings, rank: int) -> Job:
    about = call.verdict
    kind = about.type or "?"
    return Job(
        about.cask, kind, about.berth, settings.store_of(about.berth), word, call.rule.name, kind_of(call.rule.kind, tip=call.tip),
        hours.first(word, kind, call.due), call.due, rank, row_of(word).turn, reasons=tuple(about.reasons),
    )  # fmt: skip


def _to_follow(jobs: Sequence[Job], hours: HoursByWeek) -> tuple[Job, ...]:
    """A test of each cask on which some planned work unproves it, and none is planned: it follows as surely as the work is done, with the hours of that week."""
    tested = {job.cask for job in jobs if job.job == _PROVES}
    worked = {job.cask: job for job in jobs if row_of(job.job).loosens and job.cask not in tested}
    turn = row_of(_PROVES).turn

    def takes(job: Job) -> float | None:
        return hours.first(_PROVES, job.type, job.due) if job.week is None else hours.of(_PROVES, job.type, job.week)

    return tuple(replace(job, job=_PROVES, hours=takes(job), turn=turn, week=None) for job in worked.values())


def _wood(calls: Iterable[Call], jobs: Iterable[Job]) -> dict[str, Counter[Part]]:
    """Type of cask → the parts that the findings ask for whose mending is planned into a week."""
    planned = {(job.cask, job.job) for job in jobs if job.week is not None}
    found: dict[str, Counter[Part]] = {}
    for call in calls:
        about = call.verdict
        wanted = parts_wanted(one for one in call.defects if (about.cask, mended_by(one.defect, one.at)) in planned)
        if wanted:
            found.setdefault(about.type or "?", Counter()).update(wanted)
    return dict(sorted(found.items()))
