"""Putting right by adding: voids with their companions, entries moved to the cask they belong to, ids for hand-written ones."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from caskbook.core.finding import CaskbookError, Fault
from caskbook.entry.entry import Entry
from caskbook.entry.moved_copy import moved_copy
from caskbook.entry.other_side import every_side, standing_copies, voids_with
from caskbook.entry.page import Page, event_named, judge, mint_for
from caskbook.entry.plan import Desk, Plan, plan_run, standing_event
from caskbook.ledger.files import is_cask_id
from caskbook.model.ids import RandomBits, mint_between, mint_id
from caskbook.model.jobs import Event
from caskbook.model.standing import CORRECTORS, corrections, target_of
from caskbook.words.job_table import jobs_with
from caskbook.yaml.document import read_document
from caskbook.yaml.insertion import Splice, stamp
from caskbook.yaml.source import Source

_UNSAID = re.compile(r"heads (?:out|in) for the [a-z-]+ ([0-9a-hjkmnp-tv-z]{8,64})")


@dataclass(frozen=True, slots=True)
class Target:
    """An event that shall be put out of force, and why it came along (empty for the one that was named)."""

    cask: str
    event: Event
    because: str = ""


def targets_of(desk: Desk, cask: str, text: str, *, alone: bool = False) -> list[Target]:
    """The event named, the other files' share of the same id, the copy of what it moved, and what the book wrote of itself with it."""
    page = known_page(desk, cask)
    named = standing_event(page, text)
    found = [Target(cask, named), *other_files(desk, cask, named), *copies_of(desk, cask, named)]
    found += [Target(other, one, f"the other side of that void on {cask}") for other, one in voids_with(desk.page, cask, named)]
    if not alone:
        found += [Target(one.cask, event, f"written with the {one.event.job}") for one in list(found) for event in written_with(desk.page(one.cask), one.event)]
    for one in found:
        known = corrections(desk.page(one.cask).events)
        if one.event.id in known.fallen and one.event is named and named.id not in known.rivals:
            raise CaskbookError(f"{named.id} of {cask} is out of force already, by {known.fallen[named.id]}")
    mine = {(one.cask, one.event.id) for one in found}
    killers = [(one, _killer(desk, one)) for one in found]
    # What this puts out may give another back; but an opening or closing that was replaced comes back with the job that was.
    return [one for one, killer in killers if killer is None or ((one.cask, killer) in mine and not _was_replaced(desk, one, killer))]


def _was_replaced(desk: Desk, target: Target, killer: str) -> bool:
    """Whether an opening or closing that was written with a job is out of force by one that was put in its place."""
    by = event_named(desk.page(target.cask), killer)
    return target.because.startswith("written with") and by is not None and by.replaces == target.event.id


def _killer(desk: Desk, target: Target) -> str | None:
    """What puts an entry out of force; nothing where it only lost against another replacement, which is to be settled by a void."""
    known = corrections(desk.page(target.cask).events)
    return None if target.event.id in known.rivals else known.fallen.get(target.event.id)


def known_page(desk: Desk, cask: str) -> Page:
    """The page of a cask that is in the book. CaskbookError otherwise."""
    page = desk.page(cask)
    if page.record is None:
        raise CaskbookError(desk.ledger.absent(cask))
    return page


def other_files(desk: Desk, cask: str, event: Event) -> list[Target]:
    """The other sides of an event, in the files that it or its counterparts name."""
    return [Target(other, twin, f"the other side of that {event.job} on {cask}") for other, twin in every_side(desk.page, cask, event)]


def copies_of(desk: Desk, cask: str, event: Event) -> list[Target]:
    """What stands on other casks for the entry that a `moved` took out here, and what that replaced there: else it would stand again."""
    found: list[Target] = []
    for other, copy in standing_copies(desk.page, cask, event):
        at: Event | None = copy
        known, seen = {one.id: one for one in desk.page(other).events}, set[str]()
        while at is not None and at.id not in seen:
            seen.add(at.id)
            found.append(Target(other, at, f"the copy of what was moved from {cask}" if at is copy else f"what {copy.id} replaced"))
            at = known.get(at.replaces or "")
    return found


def move_of(desk: Desk, target: Target) -> Target | None:
    """The standing `moved` by which an entry came to its cask as a copy; None where it came by none."""
    cask, _, origin = (target.event.moved_from or "").partition("/")
    try:
        events = desk.page(cask).events if origin and is_cask_id(cask) else ()
    except CaskbookError:  # The other file cannot be added to, which is no matter of this void.
        return None
    fallen = corrections(events).fallen
    return next((Target(cask, one) for one in events if one.job == "moved" and target_of(one) == origin and one.id not in fallen), None)


def companions(page: Page, event_id: str) -> list[Event]:
    """Opens and closes that the book put in of itself for this event, or for one that it replaced."""
    known, ids = {event.id: event for event in page.events}, {event_id}
    at = known.get(event_id)
    while at is not None and at.replaces and at.replaces not in ids:
        ids.add(at.replaces)
        at = known.get(at.replaces)
    return [event for event in page.events if _named_in(event) in ids]


def _named_in(event: Event) -> str | None:
    """The id of the job for which an opening or closing was put in unasked, as its note tells; None of any other entry."""
    found = _UNSAID.fullmatch(event.note or "") if event.job in jobs_with("heads") else None
    return found[1] if found else None


def unsaid_for(page: Page, event: Event) -> Event | None:
    """The job for which an opening or closing was put in, or what stands in its place by now; None of any other entry."""
    job = event_named(page, _named_in(event) or "")
    heirs = corrections(page.events).heirs(page.events)
    return (event_named(page, heirs[job.id]) if job.id in heirs else job) if job is not None else None


def written_with(page: Page, event: Event) -> list[Event]:
    """The opens and closes of an event; of a void or `moved`, the voids by which it took out those of its target."""
    if event.job not in CORRECTORS:
        return companions(page, event.id)
    taken = {one.id for one in companions(page, target_of(event) or "")}
    run = (event.date, event.by, event.sheet, event.why)
    return [one for one in page.events if one.job == "void" and target_of(one) in taken and (one.date, one.by, one.sheet, one.why) == run]


def plan_voids(desk: Desk, targets: Sequence[Target], common: Mapping[str, Any], *, anyway: bool = False) -> Plan:
    """The voids of these events. A companion stays where taking it away would make a later entry impossible."""
    sure = [one for one in targets if not one.because.startswith("written with")]
    along = [one for one in targets if one not in sure]
    kept = [one for cask in dict.fromkeys(one.cask for one in along) for one in not_needed(desk, cask, sure, along)]
    return plan_run(desk, [Entry(one.cask, {"job": "void", **common, "of": one.event.id}) for one in (*sure, *kept)], anyway=anyway)


def not_needed(desk: Desk, cask: str, sure: Iterable[Target], along: Iterable[Target], **how: Any) -> list[Target]:
    """Those openings and closings of a cask without which no standing entry becomes impossible, once the others are put out (`how`: by
    another job than a void): all of them together, else one after the other from the last."""
    base = without(desk, desk.page(cask), [one for one in sure if one.cask == cask], **how)
    mine, allowed = [one for one in along if one.cask == cask], len(_broken(desk, base))
    if len(_broken(desk, without(desk, base, mine))) <= allowed:
        return mine
    gone: list[Target] = []
    for one in reversed(mine):
        if len(_broken(desk, without(desk, base, [*gone, one]))) <= allowed:
            gone.append(one)
    return gone[::-1]


def without(desk: Desk, page: Page, targets: Iterable[Target], **how: Any) -> Page:
    """The page with these entries put out of force, to see what becomes of the others."""
    trial = page.copy()
    for number, one in enumerate(targets):
        trial.put(_trial_void(desk, trial, one.event.id, number) | how)
    return trial


def _trial_void(desk: Desk, page: Page, of: str, number: int) -> dict[str, Any]:
    event_id = mint_for([page], desk.today, desk.now, desk.bits)
    return {"id": event_id, "date": desk.today, "job": "void", "of": of, "why": f"trial {number}"}


def _broken(desk: Desk, page: Page) -> list[Fault]:
    return [fault for fault in judge(page, desk.ledger).later if fault.severity == "error"]


def plan_move(desk: Desk, cask: str, text: str, to: str, common: Mapping[str, Any], *, anyway: bool) -> Plan:
    """`moved` in the wrong file, with what the book wrote there of itself; the copy in the right one: same day, an id of its own, `moved_from`."""
    page = known_page(desk, cask)
    event = standing_event(page, text)
    if cask == to:
        raise CaskbookError(f"{event.id} is in {cask} already")
    if event.job in (*jobs_with("corrects"), "same-as") or event.shared_with():
        raise CaskbookError(f"a {event.job} cannot be moved: void it, and enter it anew on {to}")
    known_page(desk, to)
    fallen = corrections(page.events).fallen
    if event.id in fallen:
        raise CaskbookError(f"{event.id} of {cask} is out of force already, by {fallen[event.id]}: its copy on {to} would count")
    copy = moved_copy(desk.ledger, page, event, page.as_written(event.id), desk.page(to))
    wrong, moved = Target(cask, event), {"job": "moved", **common, "of": event.id, "to": to}
    unsaid = [Target(cask, one) for one in companions(page, event.id) if one.id not in fallen]
    voids = [{"job": "void", **common, "of": one.event.id} for one in not_needed(desk, cask, [wrong], unsaid, job="moved", to=to)]
    return plan_run(desk, [Entry(to, copy), *(Entry(cask, data) for data in (moved, *voids))], anyway=anyway)


def stamp_file(now: datetime, bits: RandomBits, source: Source) -> Splice | None:
    """Ids for the events of a file that have none, in the order they stand in; None where all have one."""
    document = read_document(source)
    events = (document.data or {}).get("events")
    if document.data is None and document.findings:
        raise CaskbookError(f"{source.path}: {document.findings[0].message}")
    if not isinstance(events, list):
        raise CaskbookError(f"{source.path}: no list of events")
    rows = [one if isinstance(one, dict) else {} for one in events]
    taken = {str(one["id"]) for one in rows if one.get("id") is not None}
    days = [str(one.get("date")) for one in rows]  # A plain date and its ten characters in quotes are one day.
    ids: dict[int, str] = {}
    for at, row in enumerate(rows):
        if row.get("id") is not None or not row:
            continue
        day = days[at]
        above = [str(rows[k].get("id") or ids.get(k)) for k in range(at) if days[k] == day]
        below = next((str(rows[k]["id"]) for k in range(at + 1, len(rows)) if days[k] == day and rows[k].get("id") is not None), None)
        if below is not None:
            ids[at] = mint_between(max(above, default=None), below, random_bits=bits, taken=taken)
        else:
            ids[at] = mint_id(now, day_ids=above, random_bits=bits, taken=taken)
        taken.add(ids[at])
    return stamp(source, ids) if ids else None


def common_of(day: date, by: str | None, why: str, sheet: str | None) -> dict[str, Any]:
    """What every correcting entry of a run bears."""
    found = {"date": day, "by": by, "why": why, "sheet": sheet}
    return {key: value for key, value in found.items() if value}
