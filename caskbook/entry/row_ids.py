"""Ids of a sheet's rows, which come out the same on a second run; which of the rows are in the book already, and which were changed since."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry, put_right_for
from caskbook.entry.page import Page, event_named, refuse_replaced, tidy
from caskbook.entry.plan import Desk
from caskbook.entry.row_match import UNSAID, Pair, Share, Slot, align, reads_like, slots_of
from caskbook.entry.row_places import Faults, Place, Reading, Told, in_place, placed, tell_after
from caskbook.entry.row_says import by_hand, changed, named, otherwise, stays_out
from caskbook.model.cask import read_event
from caskbook.model.ids import imported_between, imported_in_place, same_import
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import as_data
from caskbook.model.standing import CORRECTORS, corrections

_MORE_ALIKE = 4
"""So many rows alike are thought of beyond those there are."""


@dataclass
class Day:
    """The rows of one cask and day: what the book holds of them, the pair of each by its number, and the id of the row dealt with last."""

    slots: Sequence[Slot]
    pairs: Mapping[int, Pair]
    before: str | None = None


def with_ids(desk: Desk, entries: Sequence[Entry], told: Told, why: str | None = None) -> tuple[list[Entry], int]:
    """(the entries that are not in the book yet, each with its id; how many are). What is wrong and what is to be said is added to `told`.

    The rows of a cask and day are laid beside what the book holds of them, in order (`row_match.align`). An id is made of the row's content
    and its rank within its cask and day; of a row put in, of the entry before it; of one that replaces an entry of its day, of that one's id.
    A row that was changed since the sheet was entered replaces what the sheet wrote for it, with `why` as its reason.
    """
    from caskbook.entry.left_over import tell_left_over
    from caskbook.entry.row_heads import with_head_told

    reading, whole = Reading(desk, entries, _digests(entries), told, why), not told.faults
    _refuse_twice(entries, told.faults)
    explicit = {at: _there(reading, at) for at, entry in enumerate(entries) if entry.data.get("replaces")}
    groups: dict[tuple[str, date], list[int]] = {}
    for at, entry in enumerate(entries):
        if at not in explicit:
            groups.setdefault((entry.cask, entry.day), []).append(at)
    days = {at: day for rows in groups.values() if (day := _of_day(reading, rows)) is not None for at in rows}
    found = {at: _explicit(reading, at, explicit[at]) if at in explicit else _of_row(reading, at, days[at]) for at in sorted({*explicit, *days})}
    fresh = [with_head_told(desk, entries[at], entry, told) for at, entry in sorted(found.items())]
    tell_after(reading)
    if told.changed and not reading.same_paper:
        sheet = next(str(entry.data.get("sheet")) for entry in entries)
        told.changed.append(f"no row of it is in the book as it is: if this is another sheet of the name {sheet}, say --sheet with a name of its own")
    written = [entry for entry in fresh if entry is not None]
    if whole:  # Else the row of what is left may be one that could not be read.
        tell_left_over(reading, written)
    return written, len(entries) - len(written)


def _there(reading: Reading, at: int) -> list[Event]:
    """What the book holds of a row that names what it replaces."""
    entry = reading.entries[at]
    page = reading.desk.page(entry.cask)
    there = [one for one in page.events if one.date == entry.day and _made_of(one, reading.digests[at])]
    reading.named |= {(entry.cask, one.id) for one in there}
    target = None if there else event_named(page, str(entry.data["replaces"]))
    reading.targets |= {(entry.cask, target.id)} if target is not None else set()
    reading.kept |= {(entry.cask, one.id) for one in (*there, *([target] if target is not None else []))}
    return there


def _explicit(reading: Reading, at: int, there: Sequence[Event]) -> Entry | None:
    """The entry of a row that names what it replaces; None where it is in the book."""
    entry, told = reading.entries[at], reading.told
    page = reading.desk.page(entry.cask)
    if there:
        if not any(_reads_alike(one, entry) for one in there):
            told.faults.append((entry.row or 0, otherwise(entry, there[0])))
        if not any(corrections(page.events).stands(one) for one in there):
            told.echoes.append(stays_out(entry, there[-1], page))
        return None
    target = event_named(page, str(entry.data["replaces"]))
    if target is not None:
        try:
            refuse_replaced(page, target)
        except CaskbookError as error:
            told.faults.append((entry.row or 0, str(error)))
    return in_place(reading, at, entry, target)


def _of_day(reading: Reading, rows: Sequence[int]) -> Day | None:
    """The rows of one cask and day with what the book holds of them; None, which is a fault, where they are too many."""
    some = [reading.entries[at] for at in rows]
    cask, day = some[0].cask, some[0].day
    named_here, targets = ({ident for where, ident in found if where == cask} for found in (reading.named, reading.targets))
    share = Share({str(one.data.get("sheet")) for one in some}, _made_of_any(some), named_here, targets)
    slots = slots_of(reading.desk.page(cask), day, share)
    try:
        pairs = align(some, slots)
    except CaskbookError as error:
        reading.told.faults.append((some[0].row or 0, str(error)))
        return None
    reading.kept |= {(cask, pair.slot.current.id) for pair in pairs if pair.slot is not None and pair.slot.current is not None}
    return Day(slots, dict(zip(rows, pairs, strict=True)))


def _of_row(reading: Reading, at: int, day: Day) -> Entry | None:
    """The entry of one row, with its id; None where it is in the book."""
    pair = day.pairs[at]
    ahead = next((one.slot for number, one in day.pairs.items() if number >= at and one.slot is not None), None)
    found = _paired(reading, at, pair) if pair.slot is not None else _new(reading, at, Place(day.before, ahead), day.slots)
    day.before = found.event_id if found is not None else pair.slot.place if pair.slot is not None else day.before
    return found


def _paired(reading: Reading, at: int, pair: Pair) -> Entry | None:
    """The entry of a row that goes with something of the book, where it was changed."""
    entry, told, slot = reading.entries[at], reading.told, pair.slot
    assert slot is not None
    reading.same_paper |= pair.how in ("known", "out") and slot.kind in ("row", "hand")
    if pair.how == "out":
        told.echoes.append(stays_out(entry, [one for one in slot.past if reads_like(one, entry)][-1], reading.desk.page(entry.cask)))
    elif pair.how == "hand":
        told.faults.append((entry.row or 0, by_hand(entry, slot)))
    elif pair.how == "changed" and slot.current is not None:
        if not _made_of(slot.current, reading.digests[at]):
            return in_place(reading, at, _replacing(reading, entry, slot.current), slot.current)
        told.faults.append((entry.row or 0, otherwise(entry, slot.current)))
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
    """Whether the book put an opening or closing in on the day of an entry: it may be wanted at another place then."""
    return any(UNSAID.match(one.note or "") and one.date == slot.last.date for one in page.events)


def _replacing(reading: Reading, entry: Entry, before: Event, *, moved: bool = False) -> Entry:
    """The entry in the place of what its row wrote before, which is told. `moved`: it reads the same, at another place of the day."""
    reading.told.changed.append(changed(entry, before, moved=moved))
    reason = reading.why or f"row {'moved' if moved else 'changed'} on the sheet {entry.data['sheet']}"
    data = {**entry.data, "replaces": before.id}
    return replace(entry, data=data if entry.data.get("why") else put_right_for(data, reason))


def _digests(entries: Sequence[Entry]) -> list[bytes]:
    """A hash of each row's content and of how many rows before it say the same."""
    seen: dict[tuple[str, bytes], int] = {}
    found = []
    for entry in entries:
        content = _content(entry)
        count = seen[(entry.cask, content)] = seen.get((entry.cask, content), 0) + 1
        found.append(_digest(content, count))
    return found


def _digest(content: bytes, count: int) -> bytes:
    return hashlib.sha256(content + b"\0" + str(count).encode()).digest()


def _made_of_any(entries: Sequence[Entry]) -> Callable[[Event], bool]:
    """Whether an entry was made of a row like one of these, which may have stood among more rows alike than there are now."""
    contents = Counter(map(_content, entries))
    likely = [_digest(content, number) for content, count in contents.items() for number in range(1, count + _MORE_ALIKE)]
    return lambda event: any(_made_of(event, digest) for digest in likely)


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
