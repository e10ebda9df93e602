"""Ids of a sheet's rows, which come out the same on a second run; and which of the rows are in the book already."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, event_named, refuse_replaced, tidy
from caskbook.entry.plan import Desk
from caskbook.model.cask import read_event
from caskbook.model.ids import id_minute, import_after, import_id, import_in_place, imported_after, imported_in_place, is_id, same_import
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import as_data
from caskbook.model.standing import corrections
from caskbook.words.plural import number_of

Faults = list[tuple[int, str]]


def with_ids(desk: Desk, entries: Sequence[Entry], faults: Faults, echoes: list[str]) -> tuple[list[Entry], int]:
    """(the entries that are not in the book yet, each with its id; how many are). What is wrong and what is to be said is added to the lists.

    An id is made of the row's content and its rank within its cask and day, or, where it replaces an entry of its day, of that one's id.
    """
    seen: dict[tuple[str, bytes], int] = {}
    taken: dict[str, set[str]] = {}
    after: set[str] = set()
    fresh: list[Entry] = []
    for entry in entries:
        page = desk.page(entry.cask)
        content = _content(entry)
        count = seen[(entry.cask, content)] = seen.get((entry.cask, content), 0) + 1
        digest = hashlib.sha256(content + b"\0" + str(count).encode()).digest()
        if _is_known(page, entry, digest, faults, echoes):
            continue
        ids = taken.setdefault(entry.cask, set(page.ids))
        target = _target(page, entry, faults)
        if target is not None and target.date == entry.day:
            event_id = import_in_place(target.id, digest, ids, page.next_above(target))
        else:
            event_id = _ranked(page, entry.day, digest, ids, [one.event_id for one in fresh if one.cask == entry.cask and one.day == entry.day])
            after |= {entry.cask} if id_minute(event_id) else set()
        ids.add(event_id)
        fresh.append(replace(entry, event_id=event_id))
    if after:
        casks = f"{min(after)} has" if len(after) == 1 else f"{number_of(len(after), 'cask')} have"
        echoes.append(f"{casks} entries of that day in the book already: these rows come after them")
    return fresh, len(entries) - len(fresh)


def _is_known(page: Page, entry: Entry, digest: bytes, faults: Faults, echoes: list[str]) -> bool:
    """Whether an entry of the book was made of this row; a fault where such a one reads otherwise, and a word where it is out of force."""
    there = [one for one in page.events if one.date == entry.day and _made_of(one, digest)]
    if there and not any(_reads_alike(one, entry) for one in there):
        text = f"{entry.cask} has {_named(there[0])} of that day, made of a row like this one, which reads otherwise: enter this row by itself"
        faults.append((entry.row or 0, text))
    fallen = corrections(page.events).fallen if there else frozenset()
    if there and all(one.id in fallen for one in there):
        echoes.append(f"row {entry.row}: its entry ({there[-1].id}) was put out of force, and stays so; enter it by itself if it shall stand")
    return bool(there)


def _made_of(event: Event, digest: bytes) -> bool:
    """Whether an event's id came from a row of this content and occurrence."""
    if event.replaces is not None and event.id.startswith(event.replaces):
        return imported_in_place(event.id, event.replaces, digest)
    return same_import(event.id, digest, event.date) or imported_after(event.id, digest)


def _target(page: Page, entry: Entry, faults: Faults) -> Event | None:
    """The event that a row replaces; a fault where another stands in its place already."""
    target = event_named(page, str(entry.data.get("replaces")))
    if target is not None:
        try:
            refuse_replaced(page, target)
        except CaskbookError as error:
            faults.append((entry.row or 0, str(error)))
    return target


def _named(event: Event) -> str:
    return f"{'an' if event.job[0] in 'aeio' else 'a'} {event.job} ({event.id})"


def _reads_alike(event: Event, entry: Entry) -> bool:
    """Whether an event of the book says what a row says, its sheet left aside."""
    other = read_event({**tidy(entry.data), "id": event.id}, ())[0]
    return other is not None and {**as_data(event), "sheet": ""} == {**as_data(other), "sheet": ""}


def _content(entry: Entry) -> bytes:
    kept = {key: value for key, value in entry.data.items() if key != "sheet"}
    return json.dumps([entry.cask, kept], sort_keys=True, default=str, ensure_ascii=False).encode()


def _ranked(page: Page, day: date, digest: bytes, taken: set[str], before: Sequence[str | None]) -> str:
    """Above whatever is there of that day, and above the rows of this sheet: among rows of sheets by rank, else behind the last."""
    there = [*page.ids_of(day), *(one for one in before if one)]
    last = max(filter(is_id, there), default="")
    if last and id_minute(last) is not None:
        return import_after(last, digest, taken)
    rank = len(there)
    while (found := import_id(rank, digest, day, taken)) <= last:
        rank += 1
    return found
