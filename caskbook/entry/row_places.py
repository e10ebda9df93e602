"""A sheet on its way into the book: what is known of its rows so far, and the ids that give each its place in the order of the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import NamedTuple

from caskbook.entry.entry import Entry
from caskbook.entry.page import Page
from caskbook.entry.plan import Desk
from caskbook.entry.row_match import UNSAID, Slot
from caskbook.model.ids import id_minute, import_after, import_between, import_id, import_in_place, is_id
from caskbook.model.jobs import Event
from caskbook.model.standing import CORRECTORS, corrections
from caskbook.words.plural import number_of

Faults = list[tuple[int, str]]


class Told(NamedTuple):
    """What is said of a sheet's rows: what is wrong with them (with the row), what is told, and which of them replace what they wrote before."""

    faults: Faults
    echoes: list[str]
    changed: list[str]


@dataclass
class Reading:
    """A sheet on its way to ids. `digests`: a hash of each row; `told`: what is said; `why`: the reason of rows that were changed; `kept`:
    (cask, id) of entries that a row stands for; `named`: of those of rows that name what they replace, `targets`: of what these replace; `new`: rows that stand for no entry; `same_paper`: whether an entry of this sheet is in
    the book as a row says it; `taken`: the ids of each cask; `minted`: those of this run by cask and day; `after`: casks and days
    of which rows come behind whatever is there."""

    desk: Desk
    entries: Sequence[Entry]
    digests: Sequence[bytes]
    told: Told
    why: str | None
    kept: set[tuple[str, str]] = field(default_factory=set)
    named: set[tuple[str, str]] = field(default_factory=set)
    targets: set[tuple[str, str]] = field(default_factory=set)
    new: list[Entry] = field(default_factory=list)
    same_paper: bool = False
    taken: dict[str, set[str]] = field(default_factory=dict)
    minted: dict[tuple[str, date], list[str]] = field(default_factory=dict)
    after: set[tuple[str, date]] = field(default_factory=set)


class Place(NamedTuple):
    """Where a row stands among those of its cask and day: the id before it, and what the book holds of a row behind it."""

    before: str | None
    ahead: Slot | None


def in_place(reading: Reading, at: int, entry: Entry, target: Event | None) -> Entry:
    """The entry at the place of what it replaces on its day, else behind the day's last."""
    if target is None or target.date != entry.day:
        return placed(reading, at, entry, Place(None, None))
    page = reading.desk.page(entry.cask)
    return _minted(reading, entry, import_in_place(target.id, reading.digests[at], _taken(reading, page), page.next_above(target)))


def placed(reading: Reading, at: int, entry: Entry, place: Place) -> Entry:
    """The entry between these two, or behind the day's last where nothing of the sheet comes behind it."""
    page, digest = reading.desk.page(entry.cask), reading.digests[at]
    before, ahead = place
    reading.after |= {(entry.cask, entry.day)} if ahead is None else set()
    mine = reading.minted.get((entry.cask, entry.day), [])
    if ahead is None:
        return _minted(reading, entry, _ranked(page, entry.day, digest, _taken(reading, page), mine))
    ids = sorted([*page.ids_of(entry.day), *mine])
    upper = next((one for one in ids if before is not None and one > before), None)
    if upper is None:  # Nothing of the sheet comes before it: what opens the cask for the entry behind it comes after it too.
        notes = {one.id for one in page.events if one.date == entry.day and UNSAID.match(one.note or "") and str(one.note).endswith(f" {ahead.last.id}")}
        upper = min([ahead.place, *notes])
        before = max((one for one in ids if one < upper), default=None)
    return _minted(reading, entry, import_between(before, upper, digest, _taken(reading, page)))


def _taken(reading: Reading, page: Page) -> set[str]:
    return reading.taken.setdefault(page.cask_id, set(page.ids))


def _minted(reading: Reading, entry: Entry, event_id: str) -> Entry:
    reading.taken[entry.cask].add(event_id)
    reading.minted.setdefault((entry.cask, entry.day), []).append(event_id)
    return replace(entry, event_id=event_id)


def _ranked(page: Page, day: date, digest: bytes, taken: set[str], before: Sequence[str]) -> str:
    """Above whatever is there of that day, and above the rows of this sheet: among rows of sheets by rank, else behind the last."""
    there = [*page.ids_of(day), *before]
    last = max(filter(is_id, there), default="")
    if last and id_minute(last) is not None:
        return import_after(last, digest, taken)
    rank = len(there)
    while (found := import_id(rank, digest, day, taken)) <= last:
        rank += 1
    return found


def tell_after(reading: Reading) -> None:
    """Say of which casks rows came behind what others wrote on that day."""
    casks = {cask for cask, day in reading.after if _others_stand(reading, reading.desk.page(cask), day)}
    if casks:
        these = f"{min(casks)} has" if len(casks) == 1 else f"{number_of(len(casks), 'cask')} have"
        reading.told.echoes.append(f"{these} entries of that day in the book already: these rows come after them")


def _others_stand(reading: Reading, page: Page, day: date) -> bool:
    """Whether the day has entries that no row of the sheet stands for."""
    found = corrections(page.events)
    there = (one for one in page.events if one.date == day and found.stands(one) and not UNSAID.match(one.note or "") and one.job not in CORRECTORS)
    return any((page.cask_id, one.id) not in reading.kept for one in there)
