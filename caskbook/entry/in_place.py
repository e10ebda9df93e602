"""What an entry in the place of another takes over from it, and where the reason of putting it right goes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, Any

from caskbook.entry.entry import own_note
from caskbook.entry.figures import without_contradicted
from caskbook.model.jobs import own_why
from caskbook.model.jobs.base import event_words
from caskbook.model.jobs.spirit import EMPTIED_WHY

if TYPE_CHECKING:
    from caskbook.entry.page import Page
    from caskbook.model.jobs import Event

_CARRIED_NOT = ("id", "date", "job", "replaces", "moved_from", "source")


def carried(page: Page, target: Event | None, job: str, typed: Collection[str]) -> dict[str, Any]:
    """What a replacement takes over from the entry it puts right, if it is the same job: every field not given anew, the reason of the work
    too; of another job the sheet alone, so that what is done with a sheet is done with it. Where `why` is no field of the job itself it may be that of an entry put right before, and is left out."""
    if target is None:
        return {}
    if target.job != job:
        return {"sheet": target.sheet} if target.sheet else {}
    found = {key: value for key, value in page.as_written(target.id).items() if key not in _CARRIED_NOT}
    if not own_why(job) or free_reason(job, found.get("why")):
        found.pop("why", None)
    return without_contradicted(found, typed)


def free_reason(job: str, why: object) -> bool:
    """Whether the `why` of an emptying is none of its list: the reason for which an entry of an older book was put right."""
    return job == "empty" and why not in EMPTIED_WHY


def with_old_note(data: Mapping[str, Any], page: Page, target: Event, typed: Collection[str]) -> dict[str, Any]:
    """The same with what the note of the entry before said, where the reason of putting it right is told in the note."""
    job = str(data["job"])
    old = page.as_written(target.id).get("note")
    if "note" not in typed or target.job != job or not own_why(job) or not old:
        return dict(data)
    return {**data, "note": own_note(str(old), str(data.get("note") or ""))}


def reason_lacking(data: Mapping[str, Any], page: Page, target: Event, typed: Collection[str]) -> str | None:
    """The key at which it is still to be said why an entry is put right; None where it is said. In `typed` stands "row" where it is a row of
    a sheet: one that gives the work another reason may be in the book already, and is asked about like any that changes it."""
    if not own_why(str(data["job"])):
        return None if data.get("why") else "why"
    said = "note" in typed or data.get("note") != page.as_written(target.id).get("note")
    return None if said and data.get("note") or {"row", "why"} <= {*typed} else "note"


def old_of(page: Page, data: Mapping[str, Any]) -> Event | None:
    """The entry in whose place one of the run comes; None where it comes in that of none."""
    named = data.get("replaces")
    return next((event for event in page.events if event.id == named), None) if named else None


def old_words(old: Event) -> str:
    """ "2026-01-12 fill: 195.0 L at 63.0 %, malt": an entry as `void` tells it."""
    return f"{old.date} {old.job}: {event_words(old)}".removesuffix(": ")
