"""Entries that several files share, as the two sides of a racking or of a move: whoever puts one out of force puts them all out."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from caskbook.core.finding import Fault
from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, event_named
from caskbook.entry.refusal import Refusal
from caskbook.model.jobs import Event
from caskbook.model.standing import corrections


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
    for other in event.shared_with():
        events = page_of(other).events
        stands = any(one.id == target for one in events) and target not in corrections(events).fallen
        if stands and not any(one.cask == other and _target(one) == target for one in entries):
            message = f"{entry.job} of {target} would put out one side alone: it stands in {other} as well"
            remedy = f'put out both sides: caskbook void {entry.cask} {target} --why "…"'
            return Refusal(entry.cask, entry.job, Fault(_code(event.job), "error", message, (), remedy), policy=False, row=entry.row)
    return None


def standing_copies(page_of: Callable[[str], Page], cask: str, event: Event) -> list[tuple[str, Event]]:
    """(cask, entry) that stands for what a `moved` of this cask took out: the copy, what replaced it, or the copy of a further move."""
    if event.job != "moved":
        return []
    found: list[tuple[str, Event]] = []
    seen: set[tuple[str, str]] = set()
    todo = _copies(page_of, cask, event)
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
    return found


def _copies(page_of: Callable[[str], Page], cask: str, moved: Event) -> list[tuple[str, Event]]:
    to, origin = str(getattr(moved, "to", None)), f"{cask}/{getattr(moved, 'of', None)}"
    return [(to, one) for one in page_of(to).events if one.moved_from == origin]


def _target(entry: Entry) -> str:
    """The id of the entry that this one puts out of force; empty where there is none."""
    return str(entry.data.get("replaces") or (entry.data.get("of") if entry.job == "void" else None) or "")


def _code(job: str) -> str:
    """What a check says of one side left alone."""
    of = job.partition("-")[0]
    return f"{of}-without-its-pair" if of in ("rack", "swap") else "conversion-without-its-pair"
