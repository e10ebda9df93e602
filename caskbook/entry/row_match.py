"""Which row of a day sheet goes with which entry of the book: the rows of one cask and day, in their order, laid beside what the book
holds of them in the order of the work, so that as little as can be was changed, put in or taken out."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any, Literal, NamedTuple

from caskbook.core.finding import CaskbookError
from caskbook.entry.entry import Entry
from caskbook.entry.page import Page, tidy
from caskbook.model.cask import read_event
from caskbook.model.ids import id_minute, is_id
from caskbook.model.jobs import Event, own_why
from caskbook.model.jobs.base import as_data
from caskbook.model.standing import Corrections, corrections

UNSAID = re.compile(r"heads (in|out) for the ")
"""How the note of an opening or closing begins that was written for a job of the row, and is none of its own."""
_ASIDE = ("id", "sheet", "replaces", "moved_from")
_MOST_PAIRS = 4_000_000
_PLACEHOLDER = "a0000000"
_PUT_IN, _OUT, _CHANGED, _BY_HAND = 6, 2, 8, 9
"""What it costs to take a row for one that was put in, for one whose entry was put out of force, and for a change of what the sheet or a
hand wrote last. A change is likelier than a row taken out and another put in."""
_SKIPPED: Mapping[str, int] = {"row": 8, "hand": 6, "other": 0, "out": 0}
Kind = Literal["row", "hand", "other", "out"]


@dataclass(frozen=True, slots=True)
class Slot:
    """What the book holds of one row: the entry made of it, and what came in its place.

    `kind`: "row" where a row of the sheet counts, "hand" where it was put right by hand since, "other" where a row like it counts that
    another sheet wrote, "out" where nothing counts. `current`: the entry that counts on this day. `past`: entries of the day
    that count no more, and that no later row of the sheet replaced. `heir`: what counts instead of `current`, of another day or cask.
    """

    kind: Kind
    place: str
    current: Event | None
    past: tuple[Event, ...]
    heir: Event | None = None

    @property
    def last(self) -> Event:
        """What counts, else what did."""
        return self.current or self.past[-1]


class Share(NamedTuple):
    """What the rows of a cask and day have to do with its file. `sheets`: their names; `made`: whether an entry was made of one of the rows,
    under whatever name; `named`: ids of entries of rows that name what they replace, and `targets`: of what these replace by this reading."""

    sheets: Collection[str]
    made: Callable[[Event], bool]
    named: Collection[str] = ()
    targets: Collection[str] = ()


class Pair(NamedTuple):
    """A row with its slot. `how`: "known", "out" (put out of force), "changed", "hand" (changed, and so by hand), or "new"."""

    slot: Slot | None
    how: Literal["known", "out", "changed", "hand", "new"]


def of_rows(event: Event) -> bool:
    """Whether an entry's id, or that of the entry it is a copy of, was made of a row of a sheet."""
    if event.replaces and event.id.startswith(event.replaces):
        return len(event.id) >= len(event.replaces) + 6
    origin = (event.moved_from or "").rpartition("/")[2] or event.id
    return is_id(origin) and (len(origin) >= 14 or id_minute(origin) is None)


def chains_of(events: Sequence[Event]) -> list[list[Event]]:
    """The entries of a file, each with what replaced it, in the order of the file; in a chain what came in the place of another stands behind it, wherever
    on the day it was put."""
    known = {event.id: event for event in events}
    chains: dict[str, list[tuple[int, Event]]] = {}
    for event in events:
        at, seen = event, {event.id}
        while at.replaces in known and at.replaces not in seen:
            at = known[at.replaces]
            seen.add(at.id)
        chains.setdefault(at.id, []).append((len(seen), event))
    return [[event for _, event in sorted(chain, key=itemgetter(0))] for chain in chains.values()]


def slots_of(page: Page, day: date, share: Share) -> list[Slot]:
    """The slots of a day in the order of the work."""
    found, known = corrections(page.events), {one.id: one for one in page.events}
    killers = {one: known[by] for one, by in found.fallen.items() if by in known}
    slots = [_slot(chain, day, share, found, killers) for chain in chains_of(page.events) if not UNSAID.match(chain[0].note or "")]
    return sorted((slot for slot in slots if slot is not None), key=lambda one: one.place)


def _slot(chain: Sequence[Event], day: date, share: Share, found: Corrections, killers: Mapping[str, Event]) -> Slot | None:
    """The slot of one entry and what replaced it; None where no row of the sheets had to do with it on that day. `killers`: what put an
    entry out of force, by its id."""
    here = [one for one in chain if one.date == day]
    mine = any(one.sheet in share.sheets and of_rows(one) and one.id not in share.named for one in chain)
    if not here or not (mine or any(map(share.made, here))):
        return None
    standing = next((one for one in chain if found.stands(one)), None)
    current = standing if standing in here and standing is not None and standing.id not in (*share.named, *share.targets) else None
    moved = (killers[one.id] for one in here if one.id in killers and killers[one.id].job == "moved")
    heir = None if current else standing or next(moved, None)
    by_row = current is not None and current.sheet in share.sheets and of_rows(current) and not current.moved_from
    kind: Kind = "row" if by_row else "out" if current is None and heir is None else "hand" if mine else "other"
    past = [one for one in here if one is not current]
    if by_row:
        past = [one for one in past if one.id in killers and killers[one.id].job == "void"]
    return Slot(kind, (current or here[-1]).id, current, tuple(past), heir)


def align(entries: Sequence[Entry], slots: Sequence[Slot]) -> list[Pair]:
    """A pair for each row: the cheapest way to make the rows of the slots, the order of both kept.

    CaskbookError where there are too many to try."""
    if (len(entries) + 1) * (len(slots) + 1) > _MOST_PAIRS:
        raise CaskbookError(f"{len(entries)} rows on {entries[0].cask} for {entries[0].day} are too many to be read again")
    likes = _likes(entries, slots)
    skips = [_SKIPPED[slot.kind] for slot in slots]
    rest = [[0] * (len(slots) + 1) for _ in range(len(entries) + 1)]
    for row in range(len(entries), -1, -1):
        for at in range(len(slots), -1, -1):
            ways = [rest[row + 1][at] + _PUT_IN] if row < len(entries) else []
            ways += [rest[row][at + 1] + skips[at]] if at < len(slots) else []
            if row < len(entries) and at < len(slots) and (like := likes[row][at]) is not None:
                ways.append(rest[row + 1][at + 1] + like)
            rest[row][at] = min(ways, default=0)
    return list(_walked(likes, skips, rest, slots))


def _walked(likes: Sequence[Sequence[int | None]], skips: Sequence[int], rest: Sequence[Sequence[int]], slots: Sequence[Slot]) -> Iterator[Pair]:
    """The pairs along the cheapest way; of several such, the one that pairs first."""
    row = at = 0
    while row < len(likes):
        like = likes[row][at] if at < len(slots) else None
        if like is not None and rest[row][at] == rest[row + 1][at + 1] + like:
            yield Pair(slots[at], "known" if like == 0 else "out" if like == _OUT else "hand" if like == _BY_HAND else "changed")
            row, at = row + 1, at + 1
        elif rest[row][at] == rest[row + 1][at] + _PUT_IN:
            yield Pair(None, "new")
            row += 1
        else:
            at += 1


def _likes(entries: Sequence[Entry], slots: Sequence[Slot]) -> list[list[int | None]]:
    """What it costs to pair each row with each slot; None where it cannot be."""
    words: dict[str, dict[str, Any]] = {event.id: as_data(event) for slot in slots for event in (*slot.past, slot.last)}
    found = []
    for entry in entries:
        own = entry_words(entry)
        found.append([_like(entry, own, slot, words) for slot in slots])
    return found


def _like(entry: Entry, own: Mapping[str, Any], slot: Slot, words: Mapping[str, dict[str, Any]]) -> int | None:
    if slot.current is not None and _alike(words[slot.current.id], own, entry.assumed):
        return 0
    if any(_alike(words[event.id], own, entry.assumed) for event in slot.past):
        return _OUT
    if slot.kind == "row" and slot.last.job == entry.job and slot.last.sheet == entry.data.get("sheet"):
        return _CHANGED
    return _BY_HAND if slot.kind == "hand" and slot.last.job == entry.job else None


def entry_words(entry: Entry) -> dict[str, Any]:
    """What a row says, as the file has it; nothing where it cannot be read."""
    event = read_event({**tidy(entry.data), "id": _PLACEHOLDER}, ())[0]
    return as_data(event) if event is not None else {}


def reads_like(event: Event, entry: Entry, *, but: str = "") -> bool:
    """Whether an entry of the book says what a row says. `but`: a key that is left aside."""
    return _alike(as_data(event), entry_words(entry), {but, *entry.assumed})


def _alike(event: Mapping[str, Any], own: Mapping[str, Any], but: Collection[str]) -> bool:
    """Left aside are `but`, the sheet, and what the run put on the entry that its row does not say: the reason of an entry against the house's
    rules, what it was put in the place of, and why."""
    because = "why" not in own and (event.get("job") != "empty" or "replaces" in event)
    aside = {*_ASIDE, *but, *(["why"] if because else []), *(["note"] if _note_alike(event, own) else [])}
    return {key: value for key, value in event.items() if key not in aside} == {key: value for key, value in own.items() if key not in aside}


def _note_alike(event: Mapping[str, Any], own: Mapping[str, Any]) -> bool:
    """Whether the note of an entry that replaces another is that of the row, with the reason behind it that the run put there."""
    if "replaces" not in event or "why" in event or not own_why(str(event["job"])):
        return False
    return "note" not in own or str(event.get("note") or "").startswith(f"{own['note']}; ")
