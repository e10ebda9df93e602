"""Entries that several files share, as the two sides of a racking or of a move: whoever puts one out of force puts them all out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from caskbook.core.finding import Fault
from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, event_named
from caskbook.entry.refusal import Refusal
from caskbook.ledger.files import is_cask_id
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit import RackIn, RackOut
from caskbook.model.standing import corrections, target_of
from caskbook.words.job_table import jobs_with

_HALF = {"rack-out": "rack-in", "rack-in": "rack-out", "swap-heads": "swap-heads"}
"""The job by which the other file tells of the same work, where each side may have an id of its own."""
_SHARED = frozenset(jobs_with("shared-id"))


def half_put_out(page_of: Callable[[str], Page], entry: Entry, entries: Sequence[Entry]) -> Refusal | None:
    """Why a void or a replacement may not be written: its target stands in another file too, where the run leaves it in force.

    `entries`: all of the run, so that a void of every side goes through.
    """
    target = _target(entry)
    event = event_named(page_of(entry.cask), target) if target else None
    if event is None:
        return None
    for other, copy in standing_copies(page_of, entry.cask, event):
        if not any(one.cask == other and _target(one) == copy.id for one in entries):
            message = f"{entry.job} of {target} alone would count the {copy.job} twice: its copy stands in {other} ({copy.id})"
            remedy = f'put out both: caskbook void {entry.cask} {target} --why "…"'
            return Refusal(entry.cask, entry.job, Fault("copy-without-its-original", "error", message, (), remedy), policy=False, row=entry.row)
    for other, half in other_sides(page_of, entry.cask, event):
        stands = half.id not in corrections(page_of(other).events).fallen
        if stands and not any(one.cask == other and _target(one) == half.id for one in entries):
            where = f"it stands in {other} as well" + ("" if half.id == event.id else f" ({half.id})")
            message = f"{entry.job} of {target} would put out one side alone: {where}"
            remedy = f'put out both sides: caskbook void {entry.cask} {target} --why "…"'
            return Refusal(entry.cask, entry.job, Fault(_code(event.job), "error", message, (), remedy), policy=False, row=entry.row)
    for other, twin in voids_with(page_of, entry.cask, event):
        if not any(one.cask == other and _target(one) == twin.id for one in entries):
            message = f"{entry.job} of {target} would give back one side alone: what {twin.id} put out in {other} stays out"
            remedy = f'give back both: caskbook void {entry.cask} {target} --why "…"'
            return Refusal(entry.cask, entry.job, Fault(_code(_put_out(page_of, entry).job), "error", message, (), remedy), policy=False, row=entry.row)
    return None


def other_sides(page_of: Callable[[str], Page], cask: str, event: Event, *, standing: bool = True) -> list[tuple[str, Event]]:
    """(cask, entry) of the same work in each file that the event names: the entry of the same id; of a racking or a swap written by
    hand, with an id for each side, the one that a check takes for its other half, among those that stand or those that do not."""
    found = []
    for other in dict.fromkeys(event.shared_with()):
        twin = next((one for one in page_of(other).events if one.id == event.id and one.job in _SHARED), None) or _paired(page_of, cask, event, other, standing)
        if twin is not None:
            found.append((other, twin))
    return found


def voids_with(page_of: Callable[[str], Page], cask: str, void: Event) -> list[tuple[str, Event]]:
    """(cask, void) of the standing voids in other files by which the same run put out the other sides, or the copies, of what this
    void put out: whoever gives one side back gives them all back."""
    found = _taken_along(page_of, cask, void) if void.job == "void" else []
    return [(other, one) for other, one in found if one.id not in corrections(page_of(other).events).fallen]


def _void_chain(page: Page, void: Event) -> tuple[list[Event], Event | None]:
    """(a void and the voids that it puts out in turn, what the last of these puts out)."""
    voids = [void]
    while (target := event_named(page, target_of(voids[-1]) or "")) is not None and target.job == "void" and target not in voids:
        voids.append(target)
    return voids, target


def _put_out(page_of: Callable[[str], Page], entry: Entry) -> Event:
    """What the void that an entry puts out has put out itself, through all voids between."""
    void = event_named(page_of(entry.cask), _target(entry))
    assert void is not None
    return _void_chain(page_of(entry.cask), void)[1] or void


def _taken_along(page_of: Callable[[str], Page], cask: str, event: Event) -> list[tuple[str, Event]]:
    """(cask, entry) of all in other files that goes out of force with an event, whether it stands or not."""
    voids, target = _void_chain(page_of(cask), event)
    found = _sides(page_of, cask, target) if target is not None else []
    for void in reversed(voids):
        of = {(other, one.id) for other, one in found}
        there = [(other, one) for other in dict.fromkeys(other for other, _ in found) for one in page_of(other).events]
        found = [(other, one) for other, one in there if one.job == "void" and (other, target_of(one)) in of and _run(one) == _run(void)]
    return found


def _sides(page_of: Callable[[str], Page], cask: str, event: Event) -> list[tuple[str, Event]]:
    """(cask, entry) of all in other files that belongs together with an entry that is no void, whether it stands or not."""
    if event.job == "moved":
        return _all_copies(page_of, cask, event)
    origin = _origin(page_of(cask), event)
    if origin is None:
        return every_side(page_of, cask, event, standing=False)
    other, _, of = origin.partition("/")
    return [(other, one) for one in page_of(other).events if one.job == "moved" and target_of(one) == of] if is_cask_id(other) else []


def every_side(page_of: Callable[[str], Page], cask: str, event: Event, *, standing: bool = True) -> list[tuple[str, Event]]:
    """As `other_sides`, with those of the files that these name in turn."""
    found: list[tuple[str, Event]] = []
    seen, todo = {cask}, [(cask, event)]
    while todo:
        here, one = todo.pop(0)
        for other, twin in other_sides(page_of, here, one, standing=standing):
            if other not in seen:
                seen.add(other)
                found.append((other, twin))
                todo.append((other, twin))
    return found


def _run(event: Event) -> tuple[Any, ...]:
    return (event.date, event.by, event.sheet, event.why)


def _origin(page: Page, event: Event) -> str | None:
    """CASK/EVENT of which an entry is a copy, or of which the one is that it replaced."""
    at, seen = event, set[str]()
    while at.moved_from is None and at.replaces and at.id not in seen and (before := event_named(page, at.replaces)) is not None:
        seen.add(at.id)
        at = before
    return at.moved_from


def _all_copies(page_of: Callable[[str], Page], cask: str, moved: Event) -> list[tuple[str, Event]]:
    """(cask, entry) of the copies of what a `moved` took out, of what replaced them, and of the copies of further moves."""
    found: list[tuple[str, Event]] = []
    todo = _copies(page_of, cask, moved)
    while todo:
        other, one = todo.pop(0)
        if (other, one) in found:
            continue
        found.append((other, one))
        for event in page_of(other).events:
            todo += [(other, event)] if event.replaces == one.id else []
            todo += _copies(page_of, other, event) if event.job == "moved" and target_of(event) == one.id else []
    return found


def _paired(page_of: Callable[[str], Page], cask: str, event: Event, other: str, standing: bool) -> Event | None:
    if event.job not in _HALF:
        return None
    from caskbook.model.halves import other_half  # It is wanted only where something is put out of force.

    mine, theirs = _telling(page_of(cask), event.job, other, standing), _telling(page_of(other), _HALF[event.job], cask, standing)
    half = other_half(event, mine, theirs, lambda one, another: one[1] == another[1])
    return half[0] if half is not None else None


def _telling(page: Page, job: str, cask: str, standing: bool) -> list[tuple[Event, tuple[Event, Any]]]:
    """What stood in a file before the run, or was out of force, and tells of another cask: (entry, (entry, what it tells)), in the
    order of the work."""
    fallen, laid = corrections(page.events).fallen, {one["id"] for one in page.added}
    events = [one for one in page.events if one.job == job and (one.id not in fallen) is standing and one.id not in laid and cask in one.shared_with()]
    return [(one, (one, what)) for one in events for what in _figures(one, cask)]


def _figures(event: Event, cask: str) -> list[Any]:
    """What the two sides of a piece of work tell alike: litres and strength of each part racked, or the heads that were swapped."""
    if isinstance(event, RackIn | RackOut):
        return [(part.litres, part.abv) for part in event.shares if part.cask == cask]
    return [sorted(getattr(event, "heads", None) or [])]


def standing_copies(page_of: Callable[[str], Page], cask: str, event: Event) -> list[tuple[str, Event]]:
    """(cask, entry) that stands for what a `moved` of this cask took out: the copy, what replaced it, or the copy of a further move.
    Where another `moved` took the same entry to the same cask, one of the copies is its own."""
    if event.job != "moved":
        return []
    found: list[tuple[str, Event]] = []
    seen: set[tuple[str, str]] = set()
    todo = _copies(page_of, cask, event)
    spared = _moved_alike(page_of(cask), event)
    while todo:
        other, one = todo.pop(0)
        killer = corrections(page_of(other).events).fallen.get(one.id)
        if (other, one.id) in seen:
            continue
        seen.add((other, one.id))
        if killer is None:
            found.append((other, one))
            continue
        by = event_named(page_of(other), killer)
        if by is not None:
            todo += _copies(page_of, other, by) if by.job == "moved" else [(other, by)] if by.replaces else []
    return found[spared:]


def _moved_alike(page: Page, event: Event) -> int:
    """How many other standing entries moved the same one to the same cask, as two sides of a merge may have done."""
    fallen, what = corrections(page.events).fallen, (target_of(event), getattr(event, "to", None))
    return sum(one.job == "moved" and one.id not in (event.id, *fallen) and (target_of(one), getattr(one, "to", None)) == what for one in page.events)


def _copies(page_of: Callable[[str], Page], cask: str, moved: Event) -> list[tuple[str, Event]]:
    to, origin = getattr(moved, "to", None), f"{cask}/{getattr(moved, 'of', None)}"
    return [] if to is None else [(to, one) for one in page_of(to).events if one.moved_from == origin]


def _target(entry: Entry) -> str:
    """The id of the entry that this one puts out of force; empty where there is none."""
    return str(entry.data.get("replaces") or (entry.data.get("of") if entry.job == "void" else None) or "")


def _code(job: str) -> str:
    """What a check says of one side left alone."""
    if job not in ("convert", "made-from", *_HALF):
        return "copy-without-its-original"
    of = job.partition("-")[0]
    return f"{of}-without-its-pair" if of in ("rack", "swap") else "conversion-without-its-pair"
