"""The sheet of a day for programs: every job that is due, whether it stands on the sheet or not, and every cask that is held."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from typing import Any

from caskbook.render.morning import About
from caskbook.render.plain_json import data_json, safe_json
from caskbook.work.job import Job
from caskbook.work.morning import Morning
from caskbook.work.route import job_word

_COLUMNS = ("stands", "page", "line", "store", "berth", "cask", "type", "job", "rule", "reasons", "hours", "due")


def morning_json(morning: Morning, about: About) -> str:
    """An object: as_of, house, for, casks, only (the filters in words), unknown, hours (that the day has, null where nobody says), jobs_a_page, pages, limits_psi by type of cask, cautions by page, and
    the rows as `morning_csv` has them."""
    plan = morning.plan
    found = {
        "as_of": plan.day.isoformat(), "house": about.house, "for": about.by, "casks": plan.casks, "only": list(about.narrowed), "unknown": plan.unknown,
        "hours": plan.weeks[0].capacity, "jobs_a_page": morning.each, "pages": len(morning.pages), "limits_psi": dict(about.limits),
        "cautions": [list(lines) for lines in about.cautions], "rows": list(_rows(morning)),
    }  # fmt: skip
    return safe_json(json.dumps(found, ensure_ascii=False, indent=2))


def morning_lines(morning: Morning) -> str:
    """JSON lines: the rows of `morning_json`, one a line."""
    return data_json(_rows(morning), "jsonl")


def morning_csv(morning: Morning) -> str:
    """RFC 4180: a row for each job on the sheet, page and line counted from 1; behind them those that the hours or the lines do not take, those that are not
    planned and those that will follow, and a row for each cask held; `stands` says which it is."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(_COLUMNS)
    for row in _rows(morning):
        writer.writerow([_cell("; ".join(row[name]) if name == "reasons" else row[name]) for name in _COLUMNS])
    return out.getvalue()


def _cell(value: Any) -> Any:
    """As a sheet may have it: unknown is empty, and nothing begins like a formula."""
    return "" if value is None else f"'{value}" if str(value)[:1] in ("=", "+", "-", "@", "\t") else value


def _rows(morning: Morning) -> Iterator[dict[str, Any]]:
    for number, page in enumerate(morning.pages, 1):
        yield from (_row(job, "on the sheet", number, line) for line, job in enumerate(page, 1))
    yield from (_row(job, "for want of hours") for job in morning.over_hours)
    yield from (_row(job, "for want of lines") for job in morning.over_page)
    yield from (_row(one.job, one.why) for one in morning.plan.left_out)
    yield from (_row(job, "will follow") for job in morning.to_follow)
    for held in morning.held:
        about = {"store": held.store, "berth": held.berth, "cask": held.cask, "type": held.type, "reasons": [held.why]}
        yield {**dict.fromkeys(_COLUMNS), "stands": "held", **about}


def _row(job: Job, stands: str, page: int | None = None, line: int | None = None) -> dict[str, Any]:
    return {
        "stands": stands, "page": page, "line": line, "store": job.store, "berth": job.berth, "cask": job.cask, "type": job.type, "job": job_word(job), "rule": job.rule,
        "reasons": list(job.reasons), "hours": None if job.hours is None else round(job.hours, 4), "due": job.due.isoformat() if job.due else None,
    }  # fmt: skip
