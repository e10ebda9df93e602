"""A sheet's entries that were entered on the wrong casks go to the right ones in one run, also where two casks change places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.correct import Target, known_page, not_needed, unsaid_for, without
from caskbook.entry.entry import Entry
from caskbook.entry.moved_copy import moved_copy
from caskbook.entry.of_sheet import OfSheet, replaced_by
from caskbook.entry.page import Page
from caskbook.entry.plan import Desk, Plan, plan_run
from caskbook.model.ids import mint_id
from caskbook.model.jobs import Event
from caskbook.model.standing import CORRECTORS


@dataclass
class Moving:
    """`moved`: (wrong cask, entry) of what goes to another cask, and `along` the openings and closings written with it; `refused`: why
    an entry cannot go, line by line."""

    moved: list[tuple[str, Event]] = field(default_factory=list)
    along: list[Target] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def moving(desk: Desk, found: OfSheet, right: Mapping[str, str]) -> Moving:
    """What of a sheet is moved by a map of wrong casks to right ones. CaskbookError where a right one is not in the book."""
    out = Moving()
    for wrong, to in right.items():
        page = known_page(desk, wrong)
        known_page(desk, to)
        mine = [event for cask, event in found.standing if cask == wrong]
        ids = {event.id for event in mine}
        own = [event for event in mine if (job := unsaid_for(page, event)) is None or job.id not in ids]
        if not own:
            out.refused.append(f"{wrong}  has no standing entry of the sheet {found.name}: leave it out of the map")
        for event in own:
            if event.job in (*CORRECTORS, "same-as") or event.shared_with():
                out.refused.append(f"{wrong}  its {event.job} {event.id} cannot be moved: void it, and enter it anew on {to}")
        out.moved += [(wrong, event) for event in own]
        out.along += [Target(wrong, event) for event in mine if event not in own]
    return out


def plan_moving(desk: Desk, what: Moving, right: Mapping[str, str], common: Mapping[str, Any], *, anyway: bool) -> Plan | None:
    """The run: first every wrong entry out of force, with the openings and closings nobody needs any more, then the copies in their
    order. None where an entry cannot go, which is then among `refused`."""
    wrong = [Target(cask, event) for cask, event in what.moved]
    ids = _ids(desk, what.moved, right)
    cleared = {cask: without(desk, desk.page(cask), [one for one in wrong if one.cask == cask], job="moved", to=right[cask]) for cask in right}
    copies, out = [], []
    for cask, event in what.moved:
        page, to = desk.page(cask), right[cask]
        out.append(Entry(cask, {"job": "moved", **common, "of": event.id, "to": to}))
        try:
            copy = moved_copy(desk.ledger, page, event, page.as_written(event.id), cleared.get(to) or desk.page(to), _along(page, what.moved, ids))
        except CaskbookError as error:
            what.refused.append(f"{cask}  {event.job} of {event.date} ({event.id}): {error}")
            continue
        copies.append(Entry(to, copy, event_id=ids[cask, event.id]))
    for cask in right:
        along = not_needed(desk, cask, wrong, what.along, job="moved", to=right[cask])
        out += [Entry(cask, {"job": "void", **common, "of": one.event.id}) for one in along]
    return None if what.refused else plan_run(desk, [*out, *copies], anyway=anyway)


def _ids(desk: Desk, moved: Sequence[tuple[str, Event]], right: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """(wrong cask, id) → id of the copy, behind what the right cask has of that day, in the order of the work."""
    laid: dict[str, list[tuple[Any, str]]] = {}
    found: dict[tuple[str, str], str] = {}
    for cask, event in sorted(moved, key=lambda one: (one[1].date, one[1].id, one[0])):
        page = desk.page(right[cask])
        mine = laid.setdefault(page.cask_id, [])
        there = [*page.ids_of(event.date), *(one for day, one in mine if day == event.date)]
        found[cask, event.id] = mint_id(desk.now, day_ids=there, random_bits=desk.bits, taken=page.ids | {one for _, one in mine})
        mine.append((event.date, found[cask, event.id]))
    return found


def _along(page: Page, moved: Sequence[tuple[str, Event]], ids: Mapping[tuple[str, str], str]) -> dict[str, str]:
    """Id of an entry of this page that is moved too, or of what it replaced → that of its copy."""
    return dict(_named(page, moved, ids))


def _named(page: Page, moved: Sequence[tuple[str, Event]], ids: Mapping[tuple[str, str], str]) -> Iterator[tuple[str, str]]:
    for cask, event in moved:
        if cask == page.cask_id:
            yield from ((one.id, ids[cask, event.id]) for one in (event, *replaced_by(page, event)))
