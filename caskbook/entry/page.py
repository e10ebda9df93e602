"""A cask's file in hand: what it holds, and the same with entries laid on it, before anything is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from caskbook.core.finding import CaskbookError, Fault
from caskbook.core.typed_word import typed_word
from caskbook.ledger.ahead import record_held_to_today
from caskbook.ledger.files import Folder, Ledger, file_of
from caskbook.ledger.tracked import is_gone
from caskbook.ledger.whole import whole_of
from caskbook.life import corrections
from caskbook.life.fold import NO_WORK
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record, read_record
from caskbook.model.ids import RandomBits, mint_between, mint_id, mint_replacement
from caskbook.model.jobs import JOBS, Event
from caskbook.model.standing import CORRECTORS, put_out_by
from caskbook.words.job_table import jobs_with
from caskbook.yaml.insertion import insert_event, new_document
from caskbook.yaml.source import MAX_BYTES, Source

_ARRIVALS = jobs_with("arrival")
HEAD_ORDER = ("cask", "format", "type", "capacity_l", "wood", "maker", "made", "staves", "heads", "hoops", "was", "owner",
              "prior", "charred", "parcel", "supplier", "note")  # fmt: skip


@dataclass
class Page:
    """One cask's file. `old` is what is on disk (None: no file yet); `added` are the events laid on, in order of entry; `settled` are ids of events that are still
    to be laid on; `today`: the day after which nothing can have been done, as the ledger has it; `along`: (number, entry) of all that other files of the same
    cask hold, where numbers were joined."""

    cask_id: str
    name: str
    old: bytes | None
    record: Record | None
    first: Record | None
    added: list[dict[str, Any]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    comment: str = ""
    head: Mapping[str, Any] = field(default_factory=dict)
    settled: set[str] = field(default_factory=set)
    today: date | None = None
    along: Callable[[], Sequence[tuple[str, Event]]] = tuple

    @property
    def cask(self) -> Cask:
        """The cask as it stands on the page now."""
        if self.record is None or self.record.cask is None:
            raise CaskbookError(f"{self.cask_id} has nothing in its file yet")
        return self.record.cask

    @property
    def events(self) -> tuple[Event, ...]:
        """Its events so far, none for a new file."""
        return self.record.cask.events if self.record and self.record.cask else ()

    @property
    def new(self) -> bytes:
        """The bytes to write."""
        assert self.record is not None
        return self.record.data

    @property
    def ids(self) -> set[str]:
        """Every event id in the file, fallen ones too, and those that are given away already: no other event gets one of them."""
        return {event.id for event in self.events} | self.settled

    def ids_of(self, day: date) -> list[str]:
        """Ids of one day's events, those of joined files too: all are in one order of the work."""
        return [event.id for event in (*self.events, *(event for _, event in self.along())) if event.date == day]

    def next_above(self, target: Event) -> str | None:
        """The id of the day's next event in the order of the work, what replaces this one left aside; None where it is the last."""
        behind = (event.id for event in self.events if event.date == target.date and event.id > target.id and event.replaces != target.id)
        return min(behind, default=None)

    def as_written(self, event_id: str) -> Mapping[str, Any]:
        """The keys of an entry as they stand in the file; empty where it has none."""
        data = (self.record.content if self.record else None) or {}
        found = (one for one in data.get("events", []) if isinstance(one, dict) and one.get("id") == event_id)
        return next(found, {})

    def begin(self, head: Mapping[str, Any], comment: str = "") -> None:
        """A new file with its head, no event yet."""
        ordered = {key: tidy(head[key]) for key in HEAD_ORDER if head.get(key) is not None}
        self.comment, self.head = comment, ordered
        self._read(Source.from_bytes(self.name, new_document({**ordered, "events": []}, (), comment)))

    def put(self, event: Mapping[str, Any]) -> None:
        """Lay one event on the page, at its (date, id) place."""
        tidy = ordered_event(event)
        self.added.append(tidy)
        if self.old is None:
            self._read(Source.from_bytes(self.name, new_document(self.head, self.added, self.comment)))
            return
        assert self.record is not None
        splice = insert_event(self.record.document.source, tidy)
        if len(splice.after.data) > _FULL and tidy["job"] != "void":
            raise CaskbookError(
                f"{self.cask_id}: not written, for its file would have {len(splice.after.data)} bytes: at most {_FULL}, so that it can be read when two benches' work "
                f"is united; receive it under a number of its own, and there enter same-as --of {self.cask_id}"
            )
        self.notes += [note for note in splice.notes if note not in self.notes]
        self._read(splice.after)

    def _read(self, source: Source) -> None:
        self.record = record_held_to_today(read_record(self.name, source.data), self.today)

    def copy(self) -> Page:
        """The page as it stands, to try something on."""
        return replace(self, added=list(self.added), notes=list(self.notes))


def open_page(ledger: Ledger, cask_id: str) -> Page:
    """The cask's file as it is, or an empty page; CaskbookError where the file is too broken to add to, or left out of the work tree."""
    record = ledger.find(cask_id)
    if (record is None or record.cask is None) and ledger.gone is not None:
        raise CaskbookError(ledger.absent(cask_id))
    if record is None:
        if isinstance(ledger.file_store, Folder) and (is_gone(ledger.file_store.root, file_of(cask_id)) or ledger.astray(cask_id)):
            raise CaskbookError(ledger.absent(cask_id))
        return Page(cask_id, file_of(cask_id), None, None, None, today=ledger.today)
    broken = next((found for found in record.findings if found.severity == "error" and _stops(found.code, record)), None)
    if broken is not None or record.cask is None:
        told = broken or next(iter(record.findings))
        raise CaskbookError(f"{told.path}:{told.span.line}:{told.span.column}: {told.message} ({told.code}); put this right first")
    if record.cask.id != cask_id:
        raise CaskbookError(f"{record.path} says it is {record.cask.id}: put the file or its number right first")
    return Page(cask_id, file_of(cask_id), record.data, record, record, today=ledger.today)


def _stops(code: str, record: Record) -> bool:
    """Whether a fault makes it unsafe to add to the file: its text, its identity, or events without an id."""
    if record.cask is None:
        return True
    formal = {found.code for found in record.document.findings if found.severity == "error"}
    return code in formal or code in ("event-without-id", "bad-event-id", "unknown-format")


_FIRST = ("id", "date", "job", "by")
_GAUGED = ("temp_c", "at_20")
_FULL = MAX_BYTES - 50_000
"""Bytes of a file to which no work is added; what is left lies between it and the largest that is read."""
_LAST = ("work_minutes", "material", "sheet", "source", "replaces", "moved_from", "answers", "why", "note", "photo")


def ordered_event(event: Mapping[str, Any]) -> dict[str, Any]:
    """The keys in the order of a file: identity, the job's own (the temperature behind what it corrects), then what every job may have."""
    model = JOBS[str(event["job"])]
    fields = [info.alias or name for name, info in model.model_fields.items()]
    own = [key for key in fields if key not in (*_FIRST, *_GAUGED, *_LAST)]
    behind = next((own.index(key) + 1 for key in ("abv", "litres") if key in own), len(own))
    keys = [*_FIRST, *own[:behind], *_GAUGED, *own[behind:], *_LAST]
    unknown = [key for key in event if key not in keys]
    return {key: tidy(event[key]) for key in (*keys, *unknown) if event.get(key) is not None}


def tidy(value: Any) -> Any:
    """11.0 as 11, throughout lists and maps."""
    if isinstance(value, Mapping):
        return {key: tidy(one) for key, one in value.items() if one is not None}
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        return [tidy(one) for one in value]
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e9 else value


def mint_for(pages: Sequence[Page], day: date, now: Any, bits: RandomBits, *, before: str | None = None, replaces: str | None = None) -> str:
    """An id for an event that goes on all these pages on that day: behind the day's last, or where it was asked to be."""
    taken = set().union(*(page.ids for page in pages))
    if before is not None:
        page = pages[0]
        same = sorted(event_id for event_id in page.ids_of(day) if event_id < before)
        return mint_between(same[-1] if same else None, before, random_bits=bits, taken=taken)
    target = event_named(pages[0], replaces) if replaces is not None else None
    if target is not None and target.date == day:
        return mint_replacement(target.id, taken, bits, min((above for page in pages if (above := page.next_above(target))), default=None))
    return mint_id(now, day_ids=[one for page in pages for one in page.ids_of(day)], random_bits=bits, taken=taken)


def event_named(page: Page, event_id: str) -> Event | None:
    """The event of that id."""
    return next((event for event in page.events if event.id == event_id), None)


def refuse_replaced(page: Page, target: Event) -> None:
    """CaskbookError where something puts this one out of force already, so that both would count; a sheet asks it of the rows that are
    not in the book."""
    first = page.first.cask if page.first is not None else None
    found = corrections(first.events) if first is not None else None
    if first is None or found is None or found.stands(target):
        return
    known = {event.id: event for event in first.events}
    by = [event for event in first.events if found.stands(event) and target.id in put_out_by(event, known)]
    if not by:
        return
    last = by[-1]
    if last.replaces:
        raise CaskbookError(f"{page.cask_id}: {target.id} was already replaced by {last.id}: replace that one, or void it first")
    if last.job == "moved":
        raise CaskbookError(
            f"{page.cask_id}: {target.id} was moved to {getattr(last, 'to', None) or '?'} by {last.id}: replace its copy there, or void that first"
        )
    raise CaskbookError(f"{page.cask_id}: {target.id} is out of force by {last.id}: enter the right one without `replaces`, or void that first")


@dataclass(frozen=True, slots=True)
class Judged:
    """What the book says of the entries on a page: what cannot be, what the house's rules are against, and later events
    that became impossible by them."""

    refused: tuple[Fault, ...] = ()
    warned: tuple[Fault, ...] = ()
    later: tuple[Fault, ...] = ()


def day_known(cask: str, event: Event) -> date:
    """The day of an entry, where another one takes it over. CaskbookError, with what to do, of one that has none that can be read."""
    if "date" in event.lost:
        redated = f"caskbook redate {typed_word(cask)} {typed_word(event.id)} --date DAY"
        raise CaskbookError(f"the day of {event.id} of {cask} cannot be read: give it the right one first ({redated})")
    return event.date


def judge(page: Page, ledger: Ledger, only: Iterable[str] = ()) -> Judged:
    """Compare the file with and without its new events. `only`: ids of the events asked about (all added ones if empty)."""
    own = set(only) or {str(event["id"]) for event in page.added}
    found = _impossible(ledger, page.cask, planned=True)
    were = {_key(fault) for fault in _impossible(ledger, page.first.cask, planned=False)} if page.first and page.first.cask else set()
    refused = tuple(fault for fault in found if own & set(fault.related) and fault.severity == "error")
    warned = tuple(fault for fault in found if own & set(fault.related) and fault.severity == "warning")
    added = {str(event["id"]) for event in page.added}
    later = tuple(fault for fault in found if not added & set(fault.related) and fault.severity != "note" and _key(fault) not in were)
    told = {fault.related for fault in later}
    without = [fault for fault in _left_without(page, ledger) if fault.related not in told]
    warned += tuple(fault for fault in without if own & set(fault.related))
    return Judged(refused, warned, later + tuple(fault for fault in without if not added & set(fault.related)))


def made_impossible(ledger: Ledger, before: Cask, now: Cask) -> list[Fault]:
    """What can no longer have been, of entries that a file holds now, and could with what it held before."""
    were = {_key(fault) for fault in _impossible(ledger, before, planned=True)}
    return [fault for fault in _impossible(ledger, now, planned=True) if fault.severity == "error" and _key(fault) not in were]


def _left_without(page: Page, ledger: Ledger) -> list[Fault]:
    """The work that stands on a cask whose arrival these entries put out of force; none where another number of it has one."""
    first = page.first.cask if page.first is not None else None
    if first is None or not any(event.get("replaces") or event["job"] in CORRECTORS for event in page.added):
        return []
    before, now = (_standing(cask.events) for cask in (first, page.cask))
    if not any(event.job in _ARRIVALS for event in before) or any(event.job in _ARRIVALS for event in now):
        return []
    if any(event.job in _ARRIVALS for other in whole_of(ledger, page.cask).joined.casks for event in _standing(other.events)):
        return []
    return [
        Fault("no-arrival", "warning", f"{one.job} of {one.date}, on a cask that never came", (), "enter its receipt, with the day it came", related=(one.id,))
        for one in now
        if one.job not in NO_WORK
    ]


def _standing(events: Sequence[Event]) -> list[Event]:
    found = corrections(events)
    return [event for event in events if found.stands(event)]


def _impossible(ledger: Ledger, cask: Cask, *, planned: bool) -> list[Fault]:
    """What the fold found, of joined files too. What the house's rules say of entries of the number that goes on is told under another number of it as well."""
    whole = whole_of(ledger, cask, planned=planned)
    life = whole.life(date.max)
    found = [*life.faults, *(_under(number, fault) for number, _, fault in life.joined_faults)]
    if whole.goes_on is not None:
        going = whole_of(ledger, whole.goes_on, planned=planned).life(date.max)
        found += [_under(going.cask.id, fault) for fault in going.faults if fault.severity == "warning"]
    return found


def _under(number: str, fault: Fault) -> Fault:
    return replace(fault, message=f"under {number}: {fault.message}")


def _key(fault: Fault) -> tuple[Any, ...]:
    return (fault.code, fault.related, fault.where[2:])
