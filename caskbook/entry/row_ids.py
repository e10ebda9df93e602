"""Ids of a sheet's rows, which come out the same on a second run; which of the rows are in the book already, and which were changed since."""

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
from caskbook.entry.row_match import UNSAID, Pair, Slot, align, reads_like, slots_of
from caskbook.entry.row_places import Faults, Place, Reading, Told, in_place, placed, tell_after
from caskbook.entry.row_says import by_hand, changed, named, otherwise, stays_out
from caskbook.model.cask import read_event
from caskbook.model.ids import imported_between, imported_in_place, same_import
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import as_data
from caskbook.model.standing import CORRECTORS, corrections


def with_ids(desk: Desk, entries: Sequence[Entry], told: Told, why: str | None = None) -> tuple[list[Entry], int]:
    """(the entries that are not in the book yet, each with its id; how many are). What is wrong and what is to be said is added to `told`.

    The rows of a cask and day are laid beside what the book holds of them, in order (`row_match.align`). An id is made of the row's content
    and its rank within its cask and day; of a row put in, of the entry before it; of one that replaces an entry of its day, of that one's id.
    A row that was changed since the sheet was entered replaces what the sheet wrote for it, with `why` as its reason.
    """
    from caskbook.entry.left_over import tell_left_over
    from caskbook.entry.row_heads import with_head_told

    reading = Reading(desk, entries, _digests(entries), told, why)
    _refuse_twice(entries, told.faults)
    explicit = {at: _explicit(reading, at) for at, entry in enumerate(entries) if entry.data.get("replaces")}
    groups: dict[tuple[str, date], list[int]] = {}
    for at, entry in enumerate(entries):
        if at not in explicit:
            groups.setdefault((entry.cask, entry.day), []).append(at)
    found: dict[int, Entry | None] = dict(explicit)
    for rows in groups.values():
        found |= _of_day(reading, rows)
    fresh = [with_head_told(desk, entries[at], entry, told) for at, entry in sorted(found.items())]
    tell_after(reading)
    written = [entry for entry in fresh if entry is not None]
    tell_left_over(reading, written)
    return written, len(entries) - len(written)


def _explicit(reading: Reading, at: int) -> Entry | None:
    """The entry of a row that names what it replaces; None where it is in the book."""
    entry, digest, told = reading.entries[at], reading.digests[at], reading.told
    page = reading.desk.page(entry.cask)
    there = [one for one in page.events if one.date == entry.day and _made_of(one, digest)]
    if there:
        reading.kept |= {(entry.cask, one.id) for one in there}
        if not any(_reads_alike(one, entry) for one in there):
            told.faults.append((entry.row or 0, otherwise(entry, there[0])))
        if not any(corrections(page.events).stands(one) for one in there):
            told.echoes.append(stays_out(entry, there[-1]))
        return None
    target = event_named(page, str(entry.data["replaces"]))
    if target is not None:
        reading.kept.add((entry.cask, target.id))
        try:
            refuse_replaced(page, target)
        except CaskbookError as error:
            told.faults.append((entry.row or 0, str(error)))
    return in_place(reading, at, entry, target)


def _of_day(reading: Reading, rows: Sequence[int]) -> dict[int, Entry | None]:
    """The entries of the rows of one cask and day; None for one that is in the book."""
    some = [reading.entries[at] for at in rows]
    cask, day = some[0].cask, some[0].day
    page, own = reading.desk.page(cask), [reading.digests[at] for at in rows]
    claimed = {ident for where, ident in reading.kept if where == cask}
    slots = slots_of(page, day, {str(one.data.get("sheet")) for one in some}, lambda event: any(_made_of(event, one) for one in own), claimed)
    try:
        pairs = align(some, slots)
    except CaskbookError as error:
        reading.told.faults.append((some[0].row or 0, str(error)))
        return dict.fromkeys(rows)
    reading.kept |= {(cask, pair.slot.current.id) for pair in pairs if pair.slot is not None and pair.slot.current is not None}
    found: dict[int, Entry | None] = {}
    before: str | None = None
    for number, (at, pair) in enumerate(zip(rows, pairs, strict=True)):
        ahead = next((one.slot for one in pairs[number:] if one.slot is not None), None)
        found[at] = _of_row(reading, at, pair, Place(before, ahead), slots)
        entry = found[at]
        before = entry.event_id if entry is not None else pair.slot.place if pair.slot is not None else before
    return found


def _of_row(reading: Reading, at: int, pair: Pair, place: Place, slots: Sequence[Slot]) -> Entry | None:
    """The entry of one row, with its id; None where it is in the book. `place`: the id before it, and what the book holds behind it."""
    entry, told, slot = reading.entries[at], reading.told, pair.slot
    row = entry.row or 0
    if slot is None:
        return _new(reading, at, place, slots)
    reading.same_paper |= pair.how in ("known", "out") and slot.kind in ("row", "hand")
    if pair.how == "out":
        out = [one for one in slot.past if reads_like(one, entry)][-1]
        told.echoes.append(stays_out(entry, out))
    elif pair.how == "hand":
        told.faults.append((row, by_hand(entry, slot)))
    elif pair.how == "changed" and slot.current is not None:
        if _made_of(slot.current, reading.digests[at]):
            told.faults.append((row, otherwise(entry, slot.current)))
            return None
        return in_place(reading, at, _replacing(reading, entry, slot.current), slot.current)
    return None


def _new(reading: Reading, at: int, place: Place, slots: Sequence[Slot]) -> Entry | None:
    """The entry of a row that goes with none of the book at its place: new, or one that stood at another place of the day."""
    entry, page = reading.entries[at], reading.desk.page(reading.entries[at].cask)
    elsewhere = next((one for one in slots if _free(reading, entry, one) and any(reads_like(event, entry) for event in (one.last, *one.past))), None)
    if elsewhere is not None and elsewhere.kind == "row" and not _with_unsaid(page, elsewhere):
        reading.kept.add((entry.cask, elsewhere.last.id))
        return placed(reading, at, _replacing(reading, entry, elsewhere.last, moved=True), place)
    if elsewhere is not None and elsewhere.kind in ("hand", "other"):
        text = f"{entry.cask} has {named(elsewhere.last)} of that day that reads like this row, at another place of the day, and not by this sheet"
        reading.told.faults.append((entry.row or 0, f"{text}: caskbook void {entry.cask} {elsewhere.last.id} --why …, then read the sheet again"))
        return None
    there = [one for one in page.events if one.date == entry.day and _made_of(one, reading.digests[at])]
    if there and not any(reads_like(one, entry) for one in there):
        reading.told.faults.append((entry.row or 0, otherwise(entry, there[0])))
        return None
    reading.new.append(entry)
    found = placed(reading, at, entry, place)
    if place.ahead is not None:
        reading.told.echoes.append(f"row {entry.row}: put in before {named(place.ahead.last, 'the')}, as the sheet has it")
    return found


def _free(reading: Reading, entry: Entry, slot: Slot) -> bool:
    """Whether no row stands for what a slot holds, which would read like this one where it counts."""
    return slot.kind != "out" and slot.last.job == entry.job and (entry.cask, slot.last.id) not in reading.kept


def _with_unsaid(page: Page, slot: Slot) -> bool:
    """Whether the book put an opening or closing in for an entry."""
    return any(UNSAID.match(one.note or "") and str(one.note).endswith(f" {event.id}") for one in page.events for event in (slot.last, *slot.past))


def _replacing(reading: Reading, entry: Entry, before: Event, *, moved: bool = False) -> Entry:
    """The entry in the place of what its row wrote before, which is told. `moved`: it reads the same, at another place of the day."""
    reading.told.changed.append(changed(entry, before, moved=moved))
    reason = reading.why or f"row {'moved' if moved else 'changed'} on the sheet {entry.data['sheet']}"
    return replace(entry, data={**entry.data, "replaces": before.id, "why": entry.data.get("why") or reason})


def _digests(entries: Sequence[Entry]) -> list[bytes]:
    """A hash of each row's content and of how many rows before it say the same."""
    seen: dict[tuple[str, bytes], int] = {}
    found = []
    for entry in entries:
        content = _content(entry)
        count = seen[(entry.cask, content)] = seen.get((entry.cask, content), 0) + 1
        found.append(hashlib.sha256(content + b"\0" + str(count).encode()).digest())
    return found


def _content(entry: Entry) -> bytes:
    kept = {key: value for key, value in entry.data.items() if key != "sheet"}
    return json.dumps([entry.cask, kept], sort_keys=True, default=str, ensure_ascii=False).encode()


def _made_of(event: Event, digest: bytes) -> bool:
    """Whether an event's id came from a row of this content and occurrence."""
    if event.replaces is not None and event.id.startswith(event.replaces):
        return imported_in_place(event.id, event.replaces, digest)
    return same_import(event.id, digest, event.date) or imported_between(event.id, digest)


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


def _reads_alike(event: Event, entry: Entry) -> bool:
    """Whether an event of the book says what a row says, its sheet left aside, and what the run put on it that its row does not say: the
    reason of an entry against the house's rules, and what it was put in the place of."""
    other = read_event({**tidy(entry.data), "id": event.id}, ())[0]
    if other is None:
        return False
    aside = {"sheet": "", **dict.fromkeys(entry.assumed, ""), **{key: "" for key in ("replaces", "why") if not entry.data.get(key)}}
    return {**as_data(event), **aside} == {**as_data(other), **aside}
