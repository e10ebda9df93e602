"""Ids of a sheet's rows, which come out the same on a second run; which of the rows are in the book already, and which were changed since."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, event_named, refuse_replaced, tidy
from caskbook.entry.plan import Desk
from caskbook.model.cask import read_event
from caskbook.model.ids import id_minute, import_after, import_id, import_in_place, imported_after, imported_in_place, is_id, same_import
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import as_data
from caskbook.model.standing import CORRECTORS, corrections
from caskbook.words.plural import number_of

Faults = list[tuple[int, str]]
Kept = AbstractSet[tuple[str, str]]
"""(cask, id) of entries that a row of the sheet stands for."""
_UNSAID = re.compile(r"heads (in|out) for the ")
"""How the note of an opening or closing begins that was written for a job of the row, and is none of its own."""


class Told(NamedTuple):
    """What is said of a sheet's rows: what is wrong with them (with the row), what is told, and which of them replace what they wrote before."""

    faults: Faults
    echoes: list[str]
    changed: list[str]


def with_ids(desk: Desk, entries: Sequence[Entry], told: Told, why: str | None = None) -> tuple[list[Entry], int]:
    """(the entries that are not in the book yet, each with its id; how many are). What is wrong and what is to be said is added to `told`.
    An id is made of the row's content and its rank within its cask and day, or of the id of what it replaces there. A row that was changed
    since the sheet was entered replaces what the sheet wrote for it, with `why` as its reason.
    """
    digests = _digests(entries)
    made = [_made_of_row(desk.page(entry.cask), entry, digest) for entry, digest in zip(entries, digests, strict=True)]
    kept = {(entry.cask, event.id) for entry, events in zip(entries, made, strict=True) for event in events}
    taken: dict[str, set[str]] = {}
    after: set[str] = set()
    fresh: list[Entry] = []
    _refuse_twice(entries, told.faults)
    for entry, digest, events in zip(entries, digests, made, strict=True):
        page = desk.page(entry.cask)
        ids = taken.setdefault(entry.cask, set(page.ids))
        events = [] if _went_on(page, events, kept) else events
        before = _written_before(page, entry, events, kept)
        if events and before is None:
            _tell_known(page, entry, events, told)
            continue
        if before is not None:
            kept.add((entry.cask, before.id))
            if _reads_alike(before, entry):  # It was put right by other means, and the sheet says so now too.
                continue
            entry = _replacing(entry, before, told, why)
        else:
            told.changed.extend(_on_another_day(page, entry, kept))
        target = before or _target(page, entry, told.faults)
        if target is not None and target.date == entry.day:
            event_id = import_in_place(target.id, digest, ids, page.next_above(target))
        else:
            event_id = _ranked(page, entry.day, digest, ids, [one.event_id for one in fresh if one.cask == entry.cask and one.day == entry.day])
            after |= {entry.cask} if id_minute(event_id) else set()
        ids.add(event_id)
        fresh.append(replace(entry, event_id=event_id))
    if after:
        casks = f"{min(after)} has" if len(after) == 1 else f"{number_of(len(after), 'cask')} have"
        told.echoes.append(f"{casks} entries of that day in the book already: these rows come after them")
    told.echoes.extend(_left_over(desk, entries, kept))
    return fresh, len(entries) - len(fresh)


def _on_another_day(page: Page, entry: Entry, kept: Kept) -> Iterator[str]:
    """What is asked of a new row where the sheet wrote its job on another day, and no row says that any more: the day may have been changed."""
    for one in _loose(page, str(entry.data.get("sheet")), kept):
        if one.job == entry.job and one.date != entry.day and not entry.data.get("replaces"):
            yield (
                f"row {entry.row}: this sheet wrote {_named(one)} on {entry.cask} for {one.date} already, and no row of it says that now; "
                f"if only the day was changed, also: caskbook void {entry.cask} {one.id} --why …"
            )


def _loose(page: Page, sheet: str, kept: Kept) -> Iterator[Event]:
    """What a sheet wrote on a cask that stands, and that no row of the sheet as it is now was made to."""
    found = corrections(page.events)
    for one in page.events:
        if one.sheet == sheet and found.stands(one) and (page.cask_id, one.id) not in kept and not _UNSAID.match(one.note or ""):
            yield one


def _left_over(desk: Desk, entries: Sequence[Entry], kept: Kept) -> Iterator[str]:
    """What the sheet wrote on these casks and days before, and no row of it stands for any more: a row was taken out."""
    for cask, day, sheet in sorted({(entry.cask, entry.day, str(entry.data.get("sheet"))) for entry in entries}):
        for one in _loose(desk.page(cask), sheet, kept):
            if one.date == day:
                yield f"{cask}  this sheet wrote {_named(one)} that no row of it says any more: caskbook void {cask} {one.id} --why …, if it was not done"


def _digests(entries: Sequence[Entry]) -> list[bytes]:
    """A hash of each row's content and of how many rows before it say the same."""
    seen: dict[tuple[str, bytes], int] = {}
    found = []
    for entry in entries:
        content = _content(entry)
        count = seen[(entry.cask, content)] = seen.get((entry.cask, content), 0) + 1
        found.append(hashlib.sha256(content + b"\0" + str(count).encode()).digest())
    return found


def _made_of_row(page: Page, entry: Entry, digest: bytes) -> list[Event]:
    """The entries of the book that were made of this row, those out of force too."""
    return [one for one in page.events if one.date == entry.day and _made_of(one, digest)]


def _written_before(page: Page, entry: Entry, made: Sequence[Event], kept: Kept) -> Event | None:
    """What the same sheet wrote for this row before it was changed: an entry of its job and day that stands, and that no row of the sheet
    as it is now was made to. Where the row was entered once already (`made`), only what came in the place of that."""
    if entry.data.get("replaces"):
        return None
    found = corrections(page.events)
    if any(found.stands(one) for one in made):
        return None
    heirs = found.heirs(page.events) if made else {}
    of_day = (one for one in _loose(page, str(entry.data.get("sheet")), kept) if one.job == entry.job and one.date == entry.day)
    return next((one for one in of_day if not made or one.id in {heirs.get(old.id) for old in made}), None)


def _went_on(page: Page, made: Sequence[Event], kept: Kept) -> bool:
    """Whether what was made of a row is out of force because another row of the sheet stands in its place: then the row is a new one."""
    heirs = corrections(page.events).heirs(page.events)
    return all((page.cask_id, heirs.get(one.id, "")) in kept for one in made)


def _replacing(entry: Entry, before: Event, told: Told, why: str | None) -> Entry:
    """The entry in the place of what its row wrote before, which is told."""
    now, _ = read_event({**tidy(entry.data), "id": before.id}, ())
    told.changed.append(
        f"row {entry.row}: changed since this sheet was entered; {entry.cask} {before.job} {before.id} ({before.says() or 'no more said'})"
        f" is replaced by: {(now.says() if now else '') or 'no more said'}"
    )
    reason = why or f"row changed on the sheet {entry.data['sheet']}"
    return replace(entry, data={**entry.data, "replaces": before.id, "why": entry.data.get("why") or reason})


def _tell_known(page: Page, entry: Entry, there: Sequence[Event], told: Told) -> None:
    """What is to be said of a row that is in the book: a fault where what was made of it reads otherwise, a word where it is out of force."""
    if not any(_reads_alike(one, entry) for one in there):
        text = f"{entry.cask} has {_named(there[0])} of that day, made of a row like this one, which reads otherwise: enter this row by itself"
        told.faults.append((entry.row or 0, text))
    fallen = corrections(page.events).fallen
    heir = event_named(page, corrections(page.events).heirs(page.events).get(there[-1].id, ""))
    if all(one.id in fallen for one in there) and heir is not None:
        told.echoes.append(f"row {entry.row}: its entry ({there[-1].id}) was put out of force, and stays so: {_named(heir)} of {heir.date} stands in its place")
    elif all(one.id in fallen for one in there):
        told.echoes.append(f"row {entry.row}: its entry ({there[-1].id}) was put out of force, and stays so; enter it by itself if it shall stand")


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


def _refuse_twice(entries: Sequence[Entry], faults: Faults) -> None:
    """A fault for each row that puts right what a row above it puts right already, otherwise: of both only one could count."""
    first: dict[tuple[str, str], Entry] = {}
    for entry in entries:
        named = entry.data.get("of") if entry.data.get("job") in CORRECTORS else entry.data.get("replaces")
        if not named:
            continue
        before = first.setdefault((entry.cask, str(named)), entry)
        if before is not entry and not (before.data.get("job") == "void" == entry.data.get("job")):
            faults.append((entry.row or 0, f"{entry.cask} {named} is put right by row {before.row} of this sheet already: leave one of the two out"))


def _named(event: Event) -> str:
    return f"{'an' if event.job[0] in 'aeio' else 'a'} {event.job} ({event.id})"


def _reads_alike(event: Event, entry: Entry) -> bool:
    """Whether an event of the book says what a row says, its sheet left aside, and what was put on it that its row does not say: the
    reason of an entry against the house's rules, what it was put in the place of, and where it was moved from."""
    other = read_event({**tidy(entry.data), "id": event.id}, ())[0]
    if other is None:
        return False
    aside = {"sheet": "", **{key: "" for key in ("replaces", "why", "moved_from") if not entry.data.get(key)}}
    return {**as_data(event), **aside} == {**as_data(other), **aside}


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
