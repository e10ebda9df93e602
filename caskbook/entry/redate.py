"""Entries that were written for the wrong day: each is replaced by itself on the right one, in the order of the work, all or none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.correct import Target, companions, known_page
from caskbook.entry.entry import Entry, put_right_for
from caskbook.entry.of_sheet import OfSheet
from caskbook.entry.other_side import every_side
from caskbook.entry.page import refuse_replaced
from caskbook.entry.plan import Desk, Plan, plan_run, standing_event
from caskbook.entry.refusal import Refusal
from caskbook.model.ids import mint_between, mint_id
from caskbook.model.jobs import Event
from caskbook.model.standing import CORRECTORS, corrections, own_reasons
from caskbook.words.plural import number_of

TIMELESS = (*CORRECTORS, "correct", "same-as")
"""Jobs that hold for all days: theirs is the day on which they were entered."""
_LEFT_OUT = ("id", "date", "replaces", "moved_from", "source")


@dataclass(frozen=True)
class Redating:
    """`targets`: the entries that get another day, cask by cask in the order of the work; `remarks`: what is to be said of the others."""

    targets: list[Target]
    remarks: tuple[str, ...] = ()


def one_redated(desk: Desk, cask: str, text: str, day: date) -> Redating:
    """One entry with its other sides, and the openings and closings of its day that were put in for it. CaskbookError where it
    has no day of its own, is out of force, or is of that day already."""
    page = known_page(desk, cask)
    event = standing_event(page, text)
    if event.job in TIMELESS:
        raise CaskbookError(f"{event.id} of {cask} is a {event.job}, which holds for all days: its own is the one on which it was entered")
    if event.id in (fallen := corrections(page.events).fallen):
        refuse_replaced(page, event)
        raise CaskbookError(f"{event.id} of {cask} is out of force already, by {fallen[event.id]}")
    if event.date == day:
        raise CaskbookError(f"{event.id} of {cask} is of {day} already")
    return Redating(_with_others(desk, [(cask, event)]))


def sheet_redated(desk: Desk, found: OfSheet, day: date, only: date | None) -> Redating:
    """The entries of a sheet that are of another day. `only`: of them those of that day. CaskbookError where they are of several, for
    then it is not told which of these is wrong."""
    dated = [(cask, event) for cask, event in found.standing if event.job not in TIMELESS]
    remarks = []
    if left := len(found.standing) - len(dated):
        remarks.append(f"{number_of(left, 'entry')} of the sheet {'holds' if left == 1 else 'hold'} for all days and stay{'s' if left == 1 else ''} as it is")
    if only is not None and not any(event.date == only for _, event in dated):
        raise CaskbookError(f"sheet {found.name} has no entry of {only}: {_days(dated)}")
    wrong = [(cask, event) for cask, event in dated if event.date != day and only in (None, event.date)]
    if len({event.date for _, event in wrong}) > 1:
        raise CaskbookError(f"sheet {found.name} has entries of several days: {_days(dated)}; say which are wrong, as: --from {wrong[0][1].date}")
    if stay := len(dated) - len(wrong):
        remarks.append(
            f"{number_of(stay, 'entry')} of the sheet {'is' if stay == 1 else 'are'} of another day or of {day} already: left as {'it is' if stay == 1 else 'they are'}"
        )
    return Redating(_with_others(desk, wrong), tuple(remarks))


def _days(entries: Iterable[tuple[str, Event]]) -> str:
    """ "2026-11-24 (40 entries), 2026-11-25 (2 entries)"."""
    counted: dict[date, int] = {}
    for _, event in entries:
        counted[event.date] = counted.get(event.date, 0) + 1
    return ", ".join(f"{day} ({number_of(count, 'entry')})" for day, count in sorted(counted.items()))


def _with_others(desk: Desk, entries: Sequence[tuple[str, Event]]) -> list[Target]:
    """These entries, the other sides of each, and the openings and closings of its day, in the order of the work."""
    found: dict[tuple[str, str], Target] = {}
    for cask, event in entries:
        found.setdefault((cask, event.id), Target(cask, event))
    for cask, event in entries:
        for other, side in every_side(desk.page, cask, event):
            found.setdefault((other, side.id), Target(other, side, f"the other side of that {event.job} on {cask}"))
    for one in list(found.values()):
        page = desk.page(one.cask)
        fallen = corrections(page.events).fallen
        for event in companions(page, one.event.id):
            if event.id not in fallen and event.date == one.event.date:
                found.setdefault((one.cask, event.id), Target(one.cask, event, f"written with the {one.event.job}"))
    return sorted(found.values(), key=lambda one: (one.cask, one.event.date, one.event.id))


def plan_redating(desk: Desk, targets: Sequence[Target], day: date, why: str | None, *, before: str | None = None, anyway: bool = False) -> Plan:
    """Each entry anew on its right day, in the place of the old one. It stands behind whatever its casks have of that day, or before
    the entry `before`. What would make an entry there already impossible is refused."""
    ids = _ids(desk, targets, day, before)
    plan = plan_run(
        desk, [Entry(one.cask, _redated(desk, one, day, why), event_id=ids[one.cask, one.event.id], puts_right=True) for one in targets], anyway=anyway
    )
    for cask, fault in plan.later if not anyway else ():
        if fault.severity == "error":
            message = f"an entry there already would no longer fit: {fault.message} ({fault.related[0] if fault.related else fault.code})"
            told = replace(fault, message=message, help="look whether that one is of the wrong day too, and redate it first")
            plan.refusals.append(Refusal(cask, "redate", told, policy=True))
    return plan


def _ids(desk: Desk, targets: Sequence[Target], day: date, before: str | None) -> dict[tuple[str, str], str]:
    """(cask, old id) → new id, so that entries keep their order among each other, over all casks, and sides of one id share the new one."""
    laid: dict[str, list[str]] = {}
    found: dict[tuple[str, str], str] = {}
    shared: dict[str, list[str]] = {}
    for one in targets:
        if one.event.shared_with():
            shared.setdefault(one.event.id, []).append(one.cask)
    for one in sorted(targets, key=lambda one: (one.event.date, one.event.id)):
        if (one.cask, one.event.id) in found:
            continue
        casks = shared.get(one.event.id) or [one.cask]
        pages = [desk.page(cask) for cask in casks]
        there = [event_id for page in pages for event_id in (*page.ids_of(day), *laid.get(page.cask_id, ()))]
        taken = {event_id for page in pages for event_id in page.ids} | {event_id for cask in casks for event_id in laid.get(cask, ())}
        if before is not None:
            new = mint_between(max((event_id for event_id in there if event_id < before), default=None), before, random_bits=desk.bits, taken=taken)
        else:
            new = mint_id(desk.now, day_ids=there, random_bits=desk.bits, taken=taken)
        for cask in casks:
            found[cask, one.event.id] = new
            laid.setdefault(cask, []).append(new)
    return found


def _redated(desk: Desk, target: Target, day: date, why: str | None) -> dict[str, Any]:
    """What the new entry says: all that the old one does, its day, and why. A reason that the job bears of its own stays, and this one
    goes into the note."""
    event = target.event
    kept = {key: value for key, value in desk.page(target.cask).as_written(event.id).items() if key not in _LEFT_OUT}
    reason = why or ("its day cannot be read" if "date" in event.lost else f"wrong day: {event.date}")
    own = not event.replaces or event.id in own_reasons(desk.page(target.cask).events)
    return put_right_for({**kept, "date": day, "replaces": event.id}, reason, keeps=bool(kept.get("why")) and own)


def behind_others(desk: Desk, targets: Sequence[Target], day: date) -> list[str]:
    """That casks have entries of the day already, behind which these come."""
    casks = [cask for cask in dict.fromkeys(one.cask for one in targets) if desk.page(cask).ids_of(day)]
    if not casks:
        return []
    who = f"{casks[0]} has" if len(casks) == 1 else f"{number_of(len(casks), 'cask')} have"
    return [f"{who} entries of {day} already: these come after them"]
