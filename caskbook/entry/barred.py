"""What a cask's state forbids, known from the job alone: told before anybody is asked for the job's fields."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace
from typing import cast

from caskbook.core.finding import CaskbookError, Fault
from caskbook.entry.build import read_day
from caskbook.entry.fields import NEW_FILE_JOBS
from caskbook.entry.page import Page
from caskbook.entry.plan import Desk, Plan, Refusal
from caskbook.entry.request import MANY_FILES, Request
from caskbook.ledger.whole import whole_life
from caskbook.life.needs import LOOKED_INTO, needs_broken
from caskbook.model.jobs import JOBS, Event

_BARRING = (
    "job-on-gone-cask", "job-on-missing-cask", "job-on-away-cask", "return-without-sending", "found-but-not-missing", "job-on-empty-cask",
    "job-on-full-cask", "fill-of-full-cask", "arrival-not-first",
)  # fmt: skip
"""Of the needs those that no field of the job, and no opening or closing put in unsaid, could still meet."""


def barred(desk: Desk, request: Request) -> Plan:
    """A plan that writes nothing and holds a refusal for each cask on which the first job cannot be done on its day.

    Nothing is refused where an entry is replaced, or one goes before another of its day: then the state is another.
    """
    plan = Plan([desk.page(cask) for cask in request.casks], [], [], [])
    job = request.jobs[0]
    if job in MANY_FILES or job in LOOKED_INTO or job not in JOBS or request.one("before") or request.one("replaces", job):
        return plan
    text = request.one("date")
    try:
        day = read_day(text, desk.today) if text else desk.work_day
    except CaskbookError:
        return plan
    by = request.one("by", job)
    plan.refusals = [Refusal(page.cask_id, job, fault, policy=False) for page in plan.pages if (fault := _fault(desk, page, job, day, by))]
    return plan


def _fault(desk: Desk, page: Page, job: str, day: date, by: str | None) -> Fault | None:
    """What the cask's state forbids of a job, known before its fields are; None where nothing does, or where the cask is not known."""
    if page.record is None or page.record.cask is None or day > desk.today:
        return None
    life = whole_life(desk.ledger, page.cask, day)
    if not life.begun or (job in NEW_FILE_JOBS and job != "receive"):
        return None
    # There is no entry yet: its fields are still to be asked for, so no place that it names can be looked for.
    bare = SimpleNamespace(id="a0000000", date=day, job=job, by=by, need=JOBS[job].need, lost=frozenset({"at"}))
    event = cast(Event, bare)
    faults = [fault for fault in needs_broken(event, 0, life.state, first=False) if fault.code in _BARRING]
    # A shop may have done it where nobody has said who did.
    return next((fault for fault in faults if by is not None or fault.code != "job-on-away-cask"), None)
