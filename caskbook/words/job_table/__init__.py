"""The table of jobs: one row for each, in the order help shows them. Plain data: no model is made to read it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from caskbook.words.job_table import arrival, bench, custody, fire, repair, spirit
from caskbook.words.job_table.row import JobRow, Trait

_ROWS: tuple[JobRow, ...] = (
    *arrival.ROWS,
    *bench.ROWS,
    *repair.ROWS,
    *fire.ROWS,
    *spirit.ROWS,
    *custody.ROWS,
)
# Every word that `enter` understands as a job, `rack` among them, which is written as two others.
JOB_TABLE: Mapping[str, JobRow] = {row.job: row for row in _ROWS}
NO_JOB = JobRow("", "", "")
"""Stands for the row of a word that is no job: an entry that nobody could read bears one."""


def row_of(job: str) -> JobRow:
    """The row of a job; one without texts and traits for a word that is none."""
    return JOB_TABLE.get(job, NO_JOB)


@cache
def jobs_with(*traits: Trait) -> tuple[str, ...]:
    """The jobs that have any of these traits, in the order of the table."""
    return tuple(row.job for row in _ROWS if any(trait in row.traits for trait in traits))


def jobs_of_family(family: str) -> tuple[str, ...]:
    """The stored jobs under one heading of the help."""
    return tuple(row.job for row in _ROWS if row.family == family and row.model)


__all__ = ["JOB_TABLE", "NO_JOB", "JobRow", "Trait", "jobs_of_family", "jobs_with", "row_of"]
