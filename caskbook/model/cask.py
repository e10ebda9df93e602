"""A cask file as data: the head (what the cask is) and its events (what happened), read strictly, every fault a value."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Annotated, Any, Self

from pydantic import ValidationError, model_validator

from caskbook.core.finding import Fault
from caskbook.model.head_corrections import Corrected, corrected_head
from caskbook.model.ids import ID_FORM
from caskbook.model.invalid import explain_errors, nearest, shown
from caskbook.model.jobs import JOBS, Event
from caskbook.model.jobs.base import CaskId, Model, Text
from caskbook.model.jobs.cask_head import (
    NEEDS_LITRES,
    Before,
    Heads,
    Hoops,
    LastChar,
    Litres,
    Made,
    OldMarks,
    Staves,
    TypeWord,
    Wood,
    lacks_litres,
)
from caskbook.model.jobs.cask_head import Prior as Prior
from caskbook.model.jobs.exact import Format
from caskbook.model.jobs.rules import between
from caskbook.model.plain_days import days
from caskbook.model.recovery import as_written, unread_entry
from caskbook.model.typed import Typed
from caskbook.yaml.fast import fast_item

Why = Mapping[tuple[str | int, ...], str]
NONE: Why = {}


class CaskHead(Model):
    """What the cask is. Only cask, format and type must be there (and capacity_l for custom and quarter-cask)."""

    model_config = between({"if": {"properties": {"type": {"enum": list(NEEDS_LITRES)}}}, "then": {"required": ["capacity_l"]}})

    cask: CaskId
    format: Format
    type: TypeWord
    capacity_l: Litres = None
    wood: Wood = None
    maker: Text | None = None
    made: Made = None
    staves: Annotated[Staves, Typed(label="number of staves")] = None
    heads: Annotated[Heads, Typed(label="pieces in head A and B")] = None
    hoops: Annotated[Hoops, Typed(label="number of hoops")] = None
    was: OldMarks = None
    owner: Text | None = None
    prior: Before = None
    charred: LastChar = None
    parcel: Text | None = None
    supplier: Text | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _size(self) -> Self:
        wrong = lacks_litres(self.type, self.capacity_l)
        if wrong:
            raise ValueError(f"capacity_l: {wrong}")
        return self


@dataclass(frozen=True, slots=True)
class Cask:
    """One cask: its head as corrected, and its events in file order. `rows[n]` is where event n stands in the file's list; `corrected`: the keys of the
    head in which a `correct` counts instead of what the file's head says. `unread`: entries of no job of the trade with their rows, which are shown but
    are none of the events; `in_conflict`: the file has the markers of a merge. `guessed`: (an entry's id, field) of what a likely reading put in the place
    of what cannot be read; `left_out`, `ahead`: what no reader sees, what is dated after today; `aside`: rows of what is taken as not done."""

    head: CaskHead
    events: tuple[Event, ...]
    rows: tuple[int, ...]
    corrected: tuple[Corrected, ...] = ()
    unread: tuple[tuple[Event, int], ...] = ()
    in_conflict: bool = False
    guessed: frozenset[tuple[str, str]] = frozenset()
    left_out: str = ""
    ahead: tuple[str, ...] = ()
    aside: frozenset[int] = frozenset()

    @property
    def in_part(self) -> bool:
        """Whether what is told of it leaves out what its file may say: an entry that cannot be read, the other side of a merge, a day to come."""
        return self.in_conflict or bool(self.unread or self.left_out or self.ahead)

    @property
    def id(self) -> str:
        """The cask's number."""
        return self.head.cask

    @property
    def written(self) -> CaskHead:
        """The head as it stands in the file."""
        return self.head.model_copy(update={one.key: one.old for one in self.corrected})

    def correction_of(self, *keys: str) -> Corrected | None:
        """The last correction of one of these keys of the head."""
        return max((one for one in self.corrected if one.key in keys), key=lambda one: one.event.id, default=None)

    def likely(self) -> "Cask":
        """The cask with what is faulty in it read in its mildest way: only for judging what else is wrong, never for showing."""
        if not self.head.codes and not any(event.codes for event in self.events):
            return self
        pairs = [(event, row) for one, row in zip(self.events, self.rows, strict=True) if (event := one.likely if one.codes else one) is not None]
        guessed, head = frozenset((event.id, name) for event in self.events for name in event.lost), self.head.likely if self.head.codes else self.head
        return Cask(head, tuple(one for one, _ in pairs), tuple(row for _, row in pairs), self.corrected, (), self.in_conflict, guessed, self.left_out)


def in_rows(cask: Cask) -> list[Event]:
    """Every entry of the file as it stands there, those of no known job too: for showing."""
    pairs = [*zip(cask.events, cask.rows, strict=True), *cask.unread] if cask.unread else []
    return list(cask.events) if not pairs else [event for event, _ in sorted(pairs, key=lambda pair: pair[1])]


def _cask(head: CaskHead, events: tuple[Event, ...], rows: tuple[int, ...]) -> tuple[Cask, list[Fault]]:
    """The cask of a head as written, with what its corrections make of it; and what is wrong with that."""
    if any(event.job == "correct" for event in events):
        head, corrected, faults = corrected_head(head, events, rows)
        return Cask(head, events, rows, corrected), faults
    return Cask(head, events, rows), []


def read_cask(data: dict[str, Any], why: Why = NONE) -> tuple[Cask | None, list[Fault]]:
    """The cask in a file's data, and every fault of its form, in order.

    Of a wrong event what is wrong is left out, so that one fault does not cause others. None where the head cannot be read.
    `why`: paths that could not be read as they stand, with the codes of their findings: such a field is unknown, its entry or head carries the code.
    """
    if why:
        return _read_slowly(data, why)
    try:
        # Each job has a model by itself: only those that occur are ever built, which one model of the whole file would not allow.
        head = _head_reader()({key: value for key, value in data.items() if key != "events"})
        if not isinstance(data["events"], list):
            return _read_slowly(data)
        events = tuple([_reader(item["job"])(item) for item in data["events"]])
    except (ValidationError, RecursionError, LookupError, TypeError):
        return _read_slowly(data)
    return _cask(head, events, tuple(range(len(events))))


@cache
def _reader(job: str) -> Callable[[Any], Event]:
    """What `model_validate` of a job's model comes down to, without its looking at arguments that are never given."""
    model = JOBS[job]
    model.model_rebuild()
    return model.__pydantic_validator__.validate_python


@cache
def _head_reader() -> Callable[[Any], CaskHead]:
    CaskHead.model_rebuild()
    return CaskHead.__pydantic_validator__.validate_python


# Ids of events may be so, with a letter first: no reader takes such a word for a number.
_ENTRY_ID = re.compile(r"[a-hjkmnp-tv-z][0-9a-hjkmnp-tv-z]{7,63}")
_DOUBTS = (ValidationError, RecursionError, LookupError, TypeError, ValueError)


def read_entries(head: dict[str, Any], entries: list[str]) -> Cask | None:
    """The cask of a file taken apart: the data of its head, and the text of each event from the value of its id on.

    None where there is the least doubt, a fault of form, or an id or day in another place; then `read_cask` is to be asked.
    """
    try:
        return _plain_cask(_head_reader()(head), (), entries)
    except _DOUBTS:
        return None


def grown_cask(cask: Cask, entries: list[str]) -> Cask | None:
    """The cask of a file that only grew: of `cask`, as `read_entries` gave it, with these entries behind all it had; None as there."""
    try:
        return _plain_cask(cask.head, cask.events, entries) if not cask.corrected else None
    except _DOUBTS:
        return None


def _plain_cask(head: CaskHead, before: tuple[Event, ...], entries: list[str]) -> Cask | None:
    events = (*before, *[_entry(text) for text in entries])
    cask, faults = _cask(head, events, tuple(range(len(events))))
    return None if faults else cask


def _entry(text: str) -> Event:
    ident, _, rest = text.partition("\n    date: ")
    day, _, more = rest.partition("\n")
    item = fast_item(more.rstrip("\n"), "id") if _ENTRY_ID.fullmatch(ident) else None
    if item is None or "date" in item:
        raise KeyError(ident)
    item["id"], item["date"] = ident, days[day]
    return _reader(item["job"])(item)


def _read_slowly(data: dict[str, Any], why: Why = NONE) -> tuple[Cask | None, list[Fault]]:
    """The cask and every fault in it, entry by entry; it is None where the head cannot be read."""
    head_data = {key: value for key, value in data.items() if key != "events"}
    head, faults = _read_head(head_data, why)
    events: list[Event] = []
    rows: list[int] = []
    unread: list[tuple[Event, int]] = []
    listed = data.get("events")
    if "events" not in data:
        faults.append(Fault("missing-field", "error", "a cask file needs `events`: nothing found", ("events",), "add `events: []`"))
    elif not isinstance(listed, list):
        faults.append(Fault("wrong-type", "error", f"`events` is {shown(listed)}: expected a list", ("events",), "write - id: … one item an event"))
    else:
        for row, item in enumerate(listed):
            event, found = read_event(item, ("events", row), events[-1].date if events else None, why)
            faults += found
            if event is not None:
                events.append(event)
                rows.append(row)
            else:
                unread.append((unread_entry(item, found[0].code, events[-1].date if events else None), row))
    if head is None:
        return None, faults
    cask, wrong = _cask(head, tuple(events), tuple(rows))
    return replace(cask, unread=tuple(unread)), faults + wrong


def _read_head(data: dict[str, Any], why: Why) -> tuple[CaskHead | None, list[Fault]]:
    unread = {str(path[0]): code for path, code in why.items() if path and path[0] != "events"}
    data = {key: value for key, value in data.items() if key not in unread}
    try:
        head = CaskHead.model_validate(data)
        return (as_written(CaskHead, data, None, [], unread=unread) if unread else head), []
    except ValidationError as error:
        faults = explain_errors(error, data, (), CaskHead, "a cask's head")
        faults = [_format_fault(fault, data) if fault.where == ("format",) else fault for fault in faults]
        usable = isinstance(data.get("cask"), str)
        return (as_written(CaskHead, data, error, _not_told(faults, why), unread=unread) if usable else None), faults


def _format_fault(fault: Fault, data: dict[str, Any]) -> Fault:
    if "format" not in data:
        return fault
    message = f"`format` is {shown(data['format'])}: expected 1, the only format there is"
    return Fault("unknown-format", "error", message, fault.where, "write `format: 1`, or use the version that wrote this file")


def read_event(item: Any, where: tuple[str | int, ...], before: date | None = None, why: Why = NONE) -> tuple[Event | None, list[Fault]]:
    """One event of a file's data, at the path `where`; None where its job is not known. `before`: the day of the entry before it; `why`: as for `read_cask`."""
    if not isinstance(item, dict):
        return None, [Fault("wrong-type", "error", f"an event is {shown(item)}: expected key: value pairs", where, "write - id: …, date: …, job: …")]
    job = item.get("job")
    twice = why.get((*where, "job")) == "duplicate-key"
    model = JOBS.get(job) if isinstance(job, str) and not twice else None
    if model is None:
        return None, [_unknown_job(item, where) if not twice else Fault("duplicate-key", "error", "two jobs in one entry", (*where, "job"))]
    unread = {str(path[2]) if len(path) > 2 else "": code for path, code in why.items() if path[:2] == where}
    item = {key: value for key, value in item.items() if key not in unread or key == "job"}
    try:
        event = model.model_validate(item)
        return (as_written(model, item, None, [], before, unread) if unread else event), []
    except ValidationError as error:
        faults = [_identity_fault(fault, item, where) for fault in explain_errors(error, item, where, model, a_job(str(job)))]
        return as_written(model, item, error, _not_told(faults, why), before, unread), faults


def _not_told(faults: list[Fault], why: Why) -> list[Fault]:
    """Without those that only say that what could not be read is missing."""
    inside, lacking = {path[:3] for path in why}, ("missing-field", "event-without-id")
    return [fault for fault in faults if fault.where not in why and not (fault.code in lacking and (fault.where[:2] in why or fault.where in inside))]


def _identity_fault(fault: Fault, item: dict[str, Any], where: tuple[str | int, ...]) -> Fault:
    if fault.where != (*where, "id"):
        return fault
    if "id" not in item:
        return Fault("event-without-id", "error", "an event has no id: it cannot be merged or put right", where, "run `caskbook stamp` on the file")
    message = f"`id` is {shown(item['id'])}: expected {ID_FORM}"
    return Fault("bad-event-id", "error", message, fault.where, "take the id out and run `caskbook stamp` on the file")


def _unknown_job(item: dict[str, Any], where: tuple[str | int, ...]) -> Fault:
    if "job" not in item:
        return Fault("missing-field", "error", "an event needs `job`: nothing found", where, "add `job:`; `caskbook enter --help` lists them")
    near = nearest(item["job"], list(JOBS))
    hint = f"write `{near}` if you meant that" if near else "`caskbook enter --help` lists the jobs"
    return Fault("unknown-job", "error", f"`job` is {shown(item['job'])}: expected a job of the trade", (*where, "job"), hint)


def a_job(job: str) -> str:
    """ "a test", "an emptying": the job with its article."""
    return f"an {job}" if job[0] in "aeiou" else f"a {job}"
