"""Whether corrections correct something: voids, replacements, moved entries, and other names of events."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.model.entered import entered_on
from caskbook.model.invalid import shown
from caskbook.model.jobs import Event, own_why
from caskbook.model.standing import CORRECTORS, contrary, target_of
from caskbook.words.job_table import jobs_with


def targets(view: View) -> Iterable[Fault]:
    """no-such-event: an entry names an event that this file does not hold.

    Why: a correction of nothing corrects nothing, and the entry it was meant for still counts.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000003, date: 2020-01-02, job: void, by: ab, of: e1000002, why: wrong cask}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000003, date: 2020-01-02, job: void, by: ab, of: e1000002, why: wrong cask}
    """
    absent = set(view.life.corrections.absent)
    for event, row in view.events if absent else []:
        field = _field(event)
        if event.id in absent and not view.is_spoiled(row, field):
            yield fault(
                row,
                "no-such-event",
                f"`{field}` is {shown(target_of(event))}: no event here has that id",
                "correct the id (caskbook show lists them)",
                field,
                of=event,
            )


def circles(view: View) -> Iterable[Fault]:
    """correction-cycle: corrections that name each other in a circle.

    Why: none of them can be said to count; all are left out.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: void, by: ab, of: e1000003, why: wrong cask}
        - {id: e1000003, date: 2020-01-02, job: void, by: ab, of: e1000002, why: wrong cask}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: void, by: ab, of: e1000001, why: wrong cask}
        - {id: e1000003, date: 2020-01-02, job: void, by: ab, of: e1000002, why: it was right}
    """
    cyclic = set(view.life.corrections.cyclic)
    told: set[str] = set()
    for event, row in view.events if cyclic else []:
        if event.id in cyclic and event.id not in told:
            circle = _circle(event.id, {e.id: target_of(e) for e, _ in view.events})
            told |= set(circle)
            yield _cycle(event, row, _field(event), circle) if len(circle) > 1 else _itself(event, row, _field(event))


def _field(event: Event) -> str:
    return "of" if event.job in CORRECTORS else "replaces"


def _itself(event: Event, row: int, field: str) -> Fault:
    """void-of-itself: a correction names itself.

    Why: it would have to count and not to count at once; it is left out.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000003, date: 2020-01-02, job: void, by: ab, of: e1000003, why: wrong cask}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000003, date: 2020-01-02, job: void, by: ab, of: e1000002, why: wrong cask}
    """
    return fault(row, "void-of-itself", f"`{field}` is {shown(event.id)}: that is this entry itself", "write the id of the entry meant", field, of=event)


def _cycle(event: Event, row: int, field: str, circle: list[str]) -> Fault:
    text = f"`{field}` is {shown(target_of(event))}: {len(circle)} entries correct each other in a circle"
    return fault(row, "correction-cycle", text, "void the last of them by a new entry", field, of=event)


def _circle(start: str, to: dict[str, str | None]) -> list[str]:
    found, at = [start], to.get(start)
    while at is not None and at not in found:
        found.append(at)
        at = to.get(at)
    return found


def rivals(view: View) -> Iterable[Fault]:
    """replaced-twice: two entries that count replace the same event.

    Why: two people put one thing right, each in their own way; the later id counts until one of them is voided.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 25, replaces: e1000002,
           why: misread}
        - {id: e1000004, date: 2020-01-02, job: measure, by: kd, stave_mm: 26, replaces: e1000002,
           why: misread}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 25, replaces: e1000002,
           why: misread}
        - {id: e1000004, date: 2020-01-02, job: measure, by: kd, stave_mm: 26, replaces: e1000003,
           why: misread}
    """
    lost = view.life.corrections.rivals
    for event, row in view.events if lost else []:
        if event.id in lost:
            yield fault(
                row,
                "replaced-twice",
                f"`replaces` is {shown(event.replaces)}: {lost[event.id]} replaces it too, and counts",
                "void the one of the two that is wrong",
                "replaces",
                of=event,
            )


def twice(view: View) -> Iterable[Fault]:
    """put-right-twice: two corrections of one entry count, and only one of them can be true.

    Why: two people put one thing right, each in their own way: moved to two casks the job is done twice, and what one took out
    stands by the other's replacement or move.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 25, replaces: e1000002,
           why: misread}
        - {id: e1000004, date: 2020-01-02, job: void, by: kd, of: e1000002, why: never measured}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000003, date: 2020-01-02, job: measure, by: ab, stave_mm: 25, replaces: e1000002,
           why: misread}
        - {id: e1000004, date: 2020-01-02, job: void, by: kd, of: e1000003, why: never measured}
    """
    found = contrary([event for event, _ in view.events], view.life.corrections)
    for event, row in view.events if found else []:
        if event.id in found:
            text = f"`{_field(event)}` is {shown(target_of(event))}: {found[event.id]} puts the same entry right, and counts too"
            yield fault(row, "put-right-twice", text, "void the one of the two that is wrong", _field(event), of=event)


def reasons(view: View) -> Iterable[Fault]:
    """correction-without-why: an event replaces another and does not say why.

    Why: a correction without its reason looks like a forgery to whoever reads the book years later. Where `why` is a field of
    the job itself, as of an emptying, the reason stands in `note`.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-01, job: receive, by: ab, verdict: hold, replaces: e1000001}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-01, job: receive, by: ab, verdict: hold, replaces: e1000001,
           why: verdict misheard}
    """
    for event, row in view.events:
        said = event.why or (own_why(event.job) and event.note)
        if event.replaces is not None and not said and not view.is_spoiled(row, "why", "replaces"):
            yield fault(
                row, "correction-without-why", "`replaces` without `why`: expected the reason", "add `why:` with the reason in one line", "replaces", of=event
            )


def early_voids(view: View) -> Iterable[Fault]:
    """void-before-its-target: an entry was put out of force on a day before its own.

    Why: the day of a void is the day of voiding; nobody voids what is not done yet, so one of the two days is wrong.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: f0hc8002, date: 2020-01-02, job: void, by: ab, of: f0j2r003, why: wrong cask}
        - {id: f0j2r003, date: 2020-01-03, job: measure, by: ab, stave_mm: 24}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: f0j2r003, date: 2020-01-03, job: measure, by: ab, stave_mm: 24}
        - {id: f0js8004, date: 2020-01-04, job: void, by: ab, of: f0j2r003, why: wrong cask}
    """
    known = {event.id: (event, row) for event, row in view.events}
    for event, row in view.standing:
        target, at = known.get(target_of(event) or "", (event, row)) if event.job in CORRECTORS else (event, row)
        if event.date >= target.date or row in view.early or view.is_spoiled(row, "date", "of") or view.is_spoiled(at, "date"):
            continue
        if target.date <= view.context.today and not _was_there(target, event.date, view.context.house.timezone):
            text = f"`date` is {event.date}: the {target.job} it takes out is of {target.date}"
            yield fault(row, "void-before-its-target", text, "void it, and enter it again on the day it was done", of=event)


def _was_there(event: Event, day: date, timezone: str) -> bool:
    """Whether an entry had been made by that day, its own being ahead: then a void of that day puts just this right."""
    entered = entered_on(event.id, timezone)
    return entered is not None and entered <= day


def named_events(view: View) -> Iterable[Fault]:
    """Other ids that an event names (no-such-event); of a cask with several numbers it may stand in any of its files."""
    ids: set[str] | None = None
    pairs = view.standing if "answers" in view.things else [pair for job in _NAMING for pair in view.of(job)]
    for event, row in pairs:
        for where, name in _names(event):
            ids = _ids(view) if ids is None else ids
            if ids is not None and name not in ids:
                yield fault(
                    row,
                    "no-such-event",
                    f"`{where[0]}` is {shown(name)}: no event here has that id",
                    "correct the id (caskbook show lists them)",
                    *where,
                    of=event,
                )


def _ids(view: View) -> set[str] | None:
    """The ids of all entries of the cask, under whichever of its numbers; None where one of its files cannot be read, or is not to be known."""
    own = {e.id for e, _ in view.events}
    others = [number for number in view.context.several(view.cask.id) if number != view.cask.id]
    if not others:
        return None if "same-as" in view.jobs else own
    casks = [peer.cask if peer is not None else None for peer in map(view.context.peer, others)]
    return None if None in casks else own.union(e.id for cask in casks if cask is not None for e in cask.events)


_OF_ENTRY, _CLOSES_LEAK = jobs_with("of-entry"), jobs_with("closes-leak")
_NAMING = (*_OF_ENTRY, *_CLOSES_LEAK)


def _names(event: Any) -> list[tuple[tuple[str | int, ...], str]]:
    found: list[tuple[tuple[str | int, ...], str]] = []
    if event.job in _OF_ENTRY and event.of is not None:
        found.append((("of",), event.of))
    if event.job in _CLOSES_LEAK and event.closes is not None:
        found.append((("closes",), event.closes))
    for n, answer in enumerate(event.answered()):
        found.append((("answers",) if isinstance(event.answers, str) else ("answers", n), answer.partition("/")[0]))
    return found


_CORRECTING = ("void", "moved", "replaces")


RULES = (
    Rule(targets, {"no-such-event": "error"}, on=_CORRECTING),
    Rule(circles, {"void-of-itself": "error", "correction-cycle": "error"}, on=_CORRECTING),
    Rule(rivals, {"replaced-twice": "error"}, on=_CORRECTING),
    Rule(twice, {"put-right-twice": "error"}, on=_CORRECTING),
    Rule(reasons, {"correction-without-why": "error"}, on=("replaces",)),
    Rule(early_voids, {"void-before-its-target": "warning"}, on=("void", "moved")),
    Rule(named_events, {"no-such-event": "error"}, on=(*_NAMING, "answers")),
)
