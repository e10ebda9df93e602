"""Which rows of a day sheet are filled in, and what holds for all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.entry.fields import job_fields
from caskbook.entry.kept_vat import OF_VAT, goes_along
from caskbook.entry.request import Request, read_jobs
from caskbook.entry.sheet_columns import fields_headed
from caskbook.entry.sheet_text import TICK, Row

if TYPE_CHECKING:
    from caskbook.model.house import Settings

_PRINTED = ("job", "cask", "sheet")
"""What a blank sheet has of itself."""
_NO_TICK = ("no", "n", "0", "-", "false", "not done", "nein", "non")
_NOT_BESIDE = {("test", "psi"): ("method", "water")}
"""A field for all rows that does not go to rows of which another field says this word."""


def filled_in(rows: Sequence[Row], faults: list[tuple[int, str]]) -> list[Row]:
    """The rows that say something was done. One of which the tick says no, and that is filled in all the same, is a fault."""
    found = []
    for row in rows:
        own = set(row.cells) - {*_PRINTED, "date", "by"}
        if row.tick is not None and row.tick.casefold() in _NO_TICK:
            if own:
                faults.append((row.line, f"`{TICK}` says {row.tick[:10]}, and {min(own)[:30]} is filled in: was it done?"))
        elif row.tick or own if row.tick is not None else not set(row.cells) <= set(_PRINTED) or not _must_say_more(row):
            found.append(row)
    return found


def _must_say_more(row: Row) -> bool:
    """Whether the row's job cannot have been done with nothing said of it."""
    try:
        return any(one.must and one.key != "by" for job in read_jobs(row.cells.get("job", "")) for one in job_fields(job))
    except CaskbookError:
        return False  # The row is told with what is wrong about its job.


def refuse_unused(rows: Sequence[Row], alike: Mapping[str, str]) -> None:
    """CaskbookError for a field given for all rows that no row has."""
    jobs = {row.cells.get("job", "") for row in rows}
    for name in alike:
        errors = [error for job in sorted(jobs) if (error := _why_none(job, name))]
        if len(errors) == len(jobs):
            raise CaskbookError(f"--{name}: {errors[0]}")


def _why_none(job: str, name: str) -> str:
    try:
        fields_headed(read_jobs(job), name.replace("-", "_"))
    except CaskbookError as error:
        return str(error)
    return ""


def give_alike(request: Request, alike: Mapping[str, str], house: Settings) -> None:
    """What was given for all rows into the request of one row, where its jobs have such a field and the row does not say it itself, a vat
    only where it goes along with the row."""
    meant = [(place, text) for name, text in alike.items() for place in _places(request, name)]
    for (job, key), text in meant:
        if key == "why" and not any(one.key == key and one.must for one in job_fields(job)):
            continue  # It is the reason of rows that were changed, and of no other.
        if key in OF_VAT and not goes_along(request, job, key, {other: said for (of, other), said in meant if of == job}, house):
            continue
        beside = _NOT_BESIDE.get((job, key))
        if (job, key) not in request.given and not (beside and request.one(beside[0], job) == beside[1]):
            request.given[job, key] = [text]


def _places(request: Request, name: str) -> list[tuple[str, str]]:
    """The fields of a row's jobs that an option means; none where these have no such field."""
    try:
        return fields_headed(request.jobs, name.replace("-", "_"))
    except CaskbookError:
        return []
