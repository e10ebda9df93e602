"""The plan of work for programs: JSON with all that the screen tells, CSV with a row for each job."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

from caskbook.render.plain_json import data_json, safe_json
from caskbook.work.figures import Sum, kind_rows, sum_of
from caskbook.work.job import Job
from caskbook.work.plan import WorkPlan
from caskbook.work.route import route

_COLUMNS = ("week", "walk", "store", "berth", "cask", "type", "job", "rule", "kind", "hours", "due", "planned")


def plan_json(plan: WorkPlan, narrowed: Sequence[str] = (), *, settings_unread: bool = False) -> str:
    """An object: as_of, from, to, casks, only (the filters in words), unknown, settings with their sources, weeks, kinds, jobs by rank, wood, left_out, to_follow (tests that planned work will call for), tips, refused, settings_unread (whether some that cannot be read stand at their defaults). Hours are
    rounded to the ten-thousandth, null where nobody knows them; `walk` is the place of the cask on the way of its week, from 1."""
    weeks = [
        {"week": week.number, "from": week.first.isoformat(), "to": week.last.isoformat(), "coopers": week.coopers, "hours_a_week": week.hours_each,
         "working_days": week.working_days, "capacity": _hours(week.capacity), **_sum(whole)}
        for week, whole in zip(plan.weeks, kind_rows(plan)[-1].weeks, strict=True)
    ]  # fmt: skip
    walk = _walk(plan)
    found: dict[str, Any] = {
        "as_of": plan.day.isoformat(), "from": plan.weeks[0].first.isoformat(), "to": plan.weeks[-1].last.isoformat(), "casks": plan.casks,
        "only": list(narrowed), "unknown": plan.unknown, "settings": _settings(plan), "weeks": weeks, "kinds": _kinds(plan), "total": _sum(kind_rows(plan)[-1].whole),
        "not_fitting": _sum(kind_rows(plan)[-1].not_fitting), "jobs": [_job(job, walk) for job in plan.jobs],
        "wood": [{"type": kind, "part": part, "count": count} for kind, parts in plan.wood.items() for part, count in sorted(parts.items())],
        "left_out": [{**_job(one.job, walk), "why": one.why} for one in plan.left_out],
        "to_follow": {"job": "test", **_sum(sum_of(plan.to_follow))},
        "tips": [{"cask": cask, "date": day.isoformat()} for cask, day in plan.tipped.items()], "open_on_tipped": plan.open_on_tipped,
        "refused": [{"cask": cask, "why": why} for cask, why in plan.refused],
        "settings_unread": settings_unread,
    }  # fmt: skip
    return safe_json(json.dumps(found, ensure_ascii=False, indent=2))


def plan_csv(plan: WorkPlan) -> str:
    """RFC 4180: the rows of `plan_rows`."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_COLUMNS)
    for row in plan_rows(plan):
        writer.writerow([_cell(row[name]) for name in _COLUMNS])
    return out.getvalue()


def plan_lines(plan: WorkPlan) -> str:
    """JSON lines: the rows of `plan_rows`, one a line."""
    return data_json(plan_rows(plan), "jsonl")


def plan_rows(plan: WorkPlan) -> list[dict[str, Any]]:
    """A row for each job, by week and as one walks; behind them those that do not fit, those left out, and casks that cannot be
    tipped, with `planned` saying so."""
    walk = _walk(plan)
    rows = [{**_job(job, walk), "planned": "yes" if job.week else "does not fit"} for job in plan.jobs]
    rows.sort(key=lambda row: (row["week"] or len(plan.weeks) + 1, row["walk"] or 0))
    rows += [{**_job(one.job, walk), "planned": one.why} for one in plan.left_out]
    rows += [{**dict.fromkeys(_COLUMNS), "cask": cask, "planned": f"cannot be tipped: {why}"} for cask, why in plan.refused]
    return rows


def _cell(value: Any) -> Any:
    """As a sheet may have it: unknown is empty, and nothing begins like a formula."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t"):
        return "'" + value
    return "" if value is None else value


def _walk(plan: WorkPlan) -> dict[tuple[int, str], int]:
    """(week, cask) → its place on the way."""
    return {(week.number, stop.cask): n for week in plan.weeks for n, stop in enumerate(route(plan.of_week(week.number), plan.stores), 1)}


def _job(job: Job, walk: dict[tuple[int, str], int]) -> dict[str, Any]:
    return {
        "cask": job.cask, "type": job.type, "berth": job.berth, "store": job.store, "job": job.job, "rule": job.rule, "kind": job.kind,
        "week": job.week, "walk": walk.get((job.week, job.cask)) if job.week else None, "hours": _hours(job.hours),
        "due": job.due.isoformat() if job.due else None,
    }  # fmt: skip


def _settings(plan: WorkPlan) -> dict[str, Any]:
    """Coopers and hours a week of the first week, and the hours of each job, with where they come from."""
    first, asked = plan.weeks[0], plan.asked
    return {
        "coopers": {"value": first.coopers, "source": _from(first.coopers, asked.coopers, "--coopers")},
        "hours_a_week": {"value": first.hours_each, "source": _from(first.hours_each, asked.hours_a_week, "--hours-a-week")},
        "job_hours": [
            {"job": one.job, "type": one.type, "hours": _hours(one.hours), "source": None if one.hours is None else "median" if one.entries else "house.yaml",
             "entries": one.entries, "since": one.since.isoformat() if one.since else None}
            for one in plan.sources
        ],
    }  # fmt: skip


def _from(value: float | None, given: float | None, option: str) -> str | None:
    return option if given is not None else "house.yaml" if value is not None else None


def _kinds(plan: WorkPlan) -> list[dict[str, Any]]:
    return [
        {"kind": row.kind, **_sum(row.whole), "weeks": [_sum(one) for one in row.weeks], "not_fitting": _sum(row.not_fitting)}
        for row in kind_rows(plan) if row.kind
    ]  # fmt: skip


def _sum(found: Sum) -> dict[str, Any]:
    return {"casks": found.casks, "jobs": found.jobs, "hours": _hours(found.hours), "without_hours": found.unknown}


def _hours(hours: float | None) -> float | None:
    return None if hours is None else round(hours, 4)
