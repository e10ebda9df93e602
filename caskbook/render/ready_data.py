"""The empty casks by how far each is from ready, for programs: JSON with all that the screen tells, CSV with a row for each cask."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from caskbook.render.plain_json import data_json, safe_json
from caskbook.render.ready import steps_words
from caskbook.render.table import table_csv
from caskbook.work.readiness import GROUPS
from caskbook.work.ready import Empty, Readiness, amount, work_of

_COLUMNS = ("walk", "store", "berth", "cask", "type", "litres", "group", "take", "jobs", "hours", "without_hours", "held", "until", "why")


def ready_json(found: Readiness, narrowed: Sequence[str] = (), *, settings_unread: bool = False) -> str:
    """An object: as_of, only (the filters in words), for, want and want_litres (null where not asked), have, short and most in what is wanted, empty, filled,
    unclear, to_take, groups with their casks as one walks, job_hours with their sources, settings_unread (whether settings of the house that cannot
    be read stand at their defaults). Hours and litres are null where nobody knows them."""
    places = {one.cask: at for at, one in enumerate(found.casks, 1)}
    answer: dict[str, Any] = {
        "as_of": found.day.isoformat(), "only": list(narrowed), "for": found.asked.spirit, "want": found.asked.want, "want_litres": found.asked.litres,
        "have": found.have, "short": None if found.wanted is None else found.short, "most": found.most, "empty": len(found.casks),
        "fit_but_rechar": sum(one.fit and any(step.rule == "rechar" for step in one.way.steps) for one in found.casks),
        "filled": found.filled, "unclear": found.unclear, "to_take": _sum(found.taken),
        "groups": [{"group": group, **_sum(found.of(group)), "of": [_cask(one, places[one.cask]) for one in found.of(group)]} for group in GROUPS],
        "job_hours": [
            {"job": one.job, "type": one.type, "hours": _hours(one.hours), "source": None if one.hours is None else "median" if one.entries else "house.yaml",
             "entries": one.entries}
            for one in found.sources
        ],
        "settings_unread": settings_unread,
    }  # fmt: skip
    return safe_json(json.dumps(answer, ensure_ascii=False, indent=2))


def ready_lines(found: Readiness) -> str:
    """JSON lines: a line for each cask as one walks, as `ready_json` has it, with the `group` it is in."""
    return data_json(({"group": one.way.group, **_cask(one, at)} for at, one in enumerate(found.casks, 1)), "jsonl")


def ready_csv(found: Readiness) -> str:
    """RFC 4180: a row for each cask, as one walks; `take` says whether it is one of those to take."""
    rows = []
    for at, one in enumerate(found.casks, 1):
        work = work_of([one])
        hours = _hours(work.hours) if work.unknown < work.jobs or not work.jobs else None
        known = one.way.why is None
        rows.append([
            at, one.store, one.berth, one.cask, one.type, one.litres, one.way.group, one.taken, steps_words(one) if known else None, hours if known else None,
            work.unknown if known else None, "+".join(one.held or ()) or None, one.until, one.way.why,
        ])  # fmt: skip
    return table_csv(_COLUMNS, rows)


def _cask(one: Empty, walk: int) -> dict[str, Any]:
    return {
        "cask": one.cask, "type": one.type, "berth": one.berth, "store": one.store, "walk": walk, "litres": one.litres, "fit": one.fit, "until": one.until.isoformat() if one.until else None, "take": one.taken,
        "jobs": [
            {"job": step.word, "rule": step.rule, "reason": step.reason, "hours": _hours(hours)} for step, hours in zip(one.way.steps, one.hours, strict=True)
        ],
        "held": None if one.held is None else list(one.held), "why": one.way.why, "unsure": list(one.way.unsure),
    }  # fmt: skip


def _sum(casks: Sequence[Empty]) -> dict[str, Any]:
    """The hours are those that are known: null where no job of several has any."""
    work = work_of(casks)
    return {
        "casks": len(casks), "litres": amount(casks, litres=True), "litres_unknown": sum(one.litres is None for one in casks), "jobs": work.jobs,
        "hours": None if work.jobs and work.unknown == work.jobs else _hours(work.hours), "without_hours": work.unknown,
    }  # fmt: skip


def _hours(hours: float | None) -> float | None:
    return None if hours is None else round(hours, 4)
