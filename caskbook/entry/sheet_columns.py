"""The columns of a day sheet: a heading for each field of its jobs, and which fields a heading means."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

from caskbook.core.finding import CaskbookError
from caskbook.entry.fields import COMMON, HEAD_FILE, NEW_FILE_JOBS, JobField, head_fields, job_fields, meant_by
from caskbook.entry.labels import label_of, short_unit

_FOR_ALL = ("by", "sheet", "note", "why", "photo")
_HEAD_NOT_TYPED = ("yaml", "event", "flag")


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `job`: whose field it is, the head of a new file among them; `key`: its heading in a CSV; `label`: what it is called on
    paper, with its unit."""

    job: str
    key: str
    label: str
    field: JobField


def columns_of(jobs: Sequence[str]) -> list[Column]:
    """A column for each field that a hand may fill in, those that have to be given first of each job, the note last."""
    own = {job: [one for one in job_fields(job) if one.kind not in _HEAD_NOT_TYPED and (one.key not in COMMON or one.must)] for job in jobs}
    found = []
    for job, fields in own.items():
        for one in sorted(fields, key=lambda one: not one.must):
            shared = sum(one.key in {other.key for other in others} for others in own.values()) > 1
            told = f"{job}: {label_of(one)}" if shared else label_of(one)
            found.append(Column(job, f"{job.replace('-', '_')}_{one.key}" if shared else one.key, told + _unit(one), one))
        if job in NEW_FILE_JOBS:
            keys = {one.key for one in fields}
            found += [Column(HEAD_FILE, f"head_{one.key}" if one.key in keys else one.key, label_of(one) + _unit(one), one) for one in head_fields()]
    return found


def _unit(one: JobField) -> str:
    unit, label = short_unit(one.unit), label_of(one)
    return f", {unit}" if unit and f"({unit})" not in label and not any(word in label for word in ("litres", one.unit)) else ""


def fields_headed(jobs: Sequence[str], heading: str) -> list[tuple[str, str]]:
    """(job or head, key) of each field that a heading means. CaskbookError where it means none, or may mean those of several jobs."""
    found = [(job, one.key) for job in jobs for one in job_fields(job) if heading in (*one.names, *(f"{job.replace('-', '_')}_{name}" for name in one.names))]
    found = [(job, key) for job, key in meant_by(heading, found)]
    if not found and set(jobs) & set(NEW_FILE_JOBS):
        found = [(HEAD_FILE, one.key) for one in head_fields() if heading in (*one.names, f"head_{one.key}")]
    if not found:
        found = [(one.job, one.field.key) for one in columns_of(jobs) if heading in (_as_heading(one.label), _as_heading(label_of(one.field)))]
    if not found:
        known = [name for job in jobs for one in job_fields(job) for name in one.names]
        near = difflib.get_close_matches(heading, known, 1, 0.7)
        raise CaskbookError(f"`{heading[:30]}` is no field of {'+'.join(jobs)}" + (f": did you mean {near[0]}?" if near else ""))
    if len({job for job, _ in found}) > 1 and found[0][1] not in _FOR_ALL:
        which = " or ".join(f"{job.replace('-', '_')}_{key}" for job, key in found)
        raise CaskbookError(f"`{heading[:30]}`: of which job? {which}")
    return found


def _as_heading(label: str) -> str:
    """A label as a heading is read."""
    return label.strip().casefold().replace("-", "_").replace(" ", "_")
