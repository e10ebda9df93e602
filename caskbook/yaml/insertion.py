"""Adding to a cask file's text: the new block goes in at its place and every other line stays as it is.

Whatever is written here is read again and compared with what was meant, before anybody gets to see it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.yaml.document import EVENTS, Document, read_document
from caskbook.yaml.source import Source
from caskbook.yaml.text_edits import Edit, applied, below, into_flow
from caskbook.yaml.tree import Node
from caskbook.yaml.write import as_read, flow_text, format_event, format_map, scalar

Event = Mapping[str, Any]


@dataclass(frozen=True)
class Splice:
    """A file before and after; `positions` of the events added or stamped; `notes` name each line that had to change."""

    before: Source
    after: Source
    positions: tuple[int, ...]
    notes: tuple[str, ...] = ()

    @property
    def data(self) -> bytes:
        """The bytes to write."""
        return self.after.data


def order_key(event: Event) -> tuple[str, str]:
    """The order of a file: date, then id, both as plain strings."""
    day = event.get("date")
    return (day.isoformat() if isinstance(day, date) else str(day or ""), str(event.get("id") or ""))


def place_for(events: Sequence[Any], event: Event) -> int:
    """The index at which an event belongs: behind the last one whose (date, id) is not above its own."""
    key = order_key(event)
    lower = (k for k in range(len(events), 0, -1) if isinstance(events[k - 1], Mapping) and order_key(events[k - 1]) <= key)
    return next(lower, 0)


def insert_event(source: Source, event: Event, position: int | None = None) -> Splice:
    """Adds one event at an index, by default at its (date, id) place. CaskbookError where that cannot be done safely."""
    document = _sound(source)
    events = _events(document)
    at = place_for(events, event) if position is None else position
    if not 0 <= at <= len(events):
        raise CaskbookError(f"{source.path}: no place {at} among {len(events)} events")
    edit = _insertion(document, event, at)
    expected = dict(document.data or {})
    expected[EVENTS] = [*events[:at], as_read(event), *events[at:]]
    return _checked(document, [edit], expected, (at,))


def insert_events(source: Source, events: Iterable[Event]) -> Splice:
    """Adds several events, each at its (date, id) place."""
    after, added, notes = source, list[Event](), list[str]()
    for event in events:
        step = insert_event(after, event)
        after, notes = step.after, [*notes, *step.notes]
        added.append(event)
    ids = [entry.get("id") for entry in _events(read_document(after)) if isinstance(entry, Mapping)] if added else []
    positions = tuple(ids.index(event.get("id")) for event in added)
    return Splice(source, after, positions, tuple(dict.fromkeys(notes)))


def _sound(source: Source) -> Document:
    document = read_document(source)
    for found in document.findings:
        if found.severity == "error":
            place = f"{source.path}:{found.span.line}:{found.span.column}"
            raise CaskbookError(f"{place}: {found.message} ({found.code}); put this right first")
    return document


def _events(document: Document) -> list[Any]:
    events = (document.data or {}).get(EVENTS)
    if events is None:
        return []
    if not isinstance(events, list):
        raise CaskbookError(f"{document.source.path}: `events` is not a list; put this right first")
    return events


def _insertion(document: Document, event: Event, at: int) -> Edit:
    """The edit that adds an event as number `at` of the list, whichever way the list is written. CaskbookError where it cannot be."""
    node = document.reading.exact((EVENTS,))
    root = document.reading.root
    if node is not None and node.kind == "sequence" and (node.value or (root is not None and root.flow)):
        return into_flow(document, node, flow_text(event), at) if node.flow else _into_lines(document, node, event, at)
    if root is None or root.flow:
        raise CaskbookError(f"{document.source.path}: the whole file is one map in braces; write it in lines first")
    return _first_event(document, node, event)


def _first_event(document: Document, node: Node | None, event: Event) -> Edit:
    """The edit that adds the first event: below `events:`, or with that key where it is missing."""
    source, root = document.source, document.reading.root
    assert root is not None
    indent = source.position(root.start)[1] - 1
    block = format_event(event, indent + 2)
    if node is None:
        return below(source, source.position(root.end)[0], [" " * indent + f"{EVENTS}:", *block])
    line = source.position(node.start)[0]
    if source.position(max(node.start, node.end - 1))[0] != line:
        raise CaskbookError(f"{source.path}:{line}: an empty list over several lines; write `events:` alone first")
    added = below(source, line, block)
    if node.start == node.end:
        return added
    start, stop = node.start, source.bounds(line)[1]
    while source.text[start - 1] == " ":
        start -= 1
    was = source.text[node.start : node.end]
    note = f"line {line} loses `{was}`, for the list is no longer empty"
    return Edit(start, stop, source.text[node.end : stop] + added.text, (line,), (note, *added.notes))


def _into_lines(document: Document, node: Node, event: Event, at: int) -> Edit:
    source = document.source
    indent = source.position(node.start)[1] - 1
    block = format_event(event, indent, _gap(document, node))
    spaced = _blank_between(document)
    if at < len(node.value):
        above = document.event_lines(at)[0] - 1
        return below(source, above, [*block, ""] if spaced else block)
    last = document.event_lines(at - 1)[1]
    return below(source, last, ["", *block] if spaced else block)


def _gap(document: Document, node: Node) -> int:
    """Spaces behind the dash, as the last event written in lines has them."""
    source = document.source
    for index in range(len(node.value) - 1, -1, -1):
        item = node.children[index]
        line, column = source.position(item.start)
        if item.kind == "mapping" and not item.flow and document.reading.block((EVENTS, index))[0] == line:
            return max(1, column - source.position(node.start)[1] - 1)
    return 1


def _blank_between(document: Document) -> bool:
    blocks = [document.event_lines(index) for index in range(document.event_count)]
    gaps = [lower[0] - upper[1] > 1 for upper, lower in pairwise(blocks)]
    return bool(gaps) and sum(gaps) * 2 > len(gaps)


def _checked(document: Document, edits: list[Edit], expected: dict[str, Any], positions: tuple[int, ...]) -> Splice:
    """The edits applied, read again and compared: data as meant, no new finding, every other line in its place."""
    before = document.source
    after = replace(applied(before, edits), newline=before.newline)
    again = read_document(after)
    new = Counter(found.code for found in again.findings) - Counter(found.code for found in document.findings)
    changed = {line for edit in edits for line in edit.changed}
    if new:
        found = next(one for one in again.findings if one.code in new)
        raise CaskbookError(f"{before.path}: not written, for {found.message} ({found.code})")
    if not alike(again.data, expected) and not before.ends_in_newline:
        raise CaskbookError(f"{before.path}: not written, for its last line has no newline; add one first")
    if not alike(again.data, expected):
        raise CaskbookError(f"{before.path}: not written, for the added lines would be read differently here")
    if not _kept(before, after, changed):
        raise CaskbookError(f"{before.path}: not written, for a line that is there already would change")
    return Splice(before, after, positions, tuple(note for edit in edits for note in edit.notes))


def alike(one: Any, other: Any) -> bool:
    """Equal in value and type throughout; the order of a map's keys is free."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    return type(one) is type(other) and one == other


def _kept(before: Source, after: Source, changed: set[int]) -> bool:
    lines = iter(after.line(k) for k in range(1, after.line_count + 1))
    return all(before.line(k) in lines for k in range(1, before.line_count + 1) if k not in changed)


def stamp(source: Source, ids: Mapping[int, str]) -> Splice:
    """Gives ids to hand-written events by index: one added line each, and nothing else touched."""
    document = _sound(source)
    events = [dict(event) if isinstance(event, dict) else event for event in _events(document)]
    edits = []
    for index, new_id in sorted(ids.items()):
        if not 0 <= index < len(events) or not isinstance(events[index], dict):
            raise CaskbookError(f"{source.path}: no event at place {index} to give an id to")
        if events[index].get("id") is not None:
            raise CaskbookError(f"{source.path}: the event at place {index} has an id already")
        events[index]["id"] = new_id
        edits.append(_id_edit(document, index, new_id))
    return _checked(document, edits, {**(document.data or {}), EVENTS: events}, tuple(sorted(ids)))


def _id_edit(document: Document, index: int, new_id: str) -> Edit:
    """The edit that gives an event its id: in the place left open, in its brackets, or as a line of its own."""
    source, node = document.source, document.reading.exact((EVENTS, index))
    assert node is not None
    word = scalar(new_id, flow=True)
    line = source.position(node.start)[0]
    place = node.child("id")
    if place is not None:
        line = source.position(place.start)[0]
        lead = "" if source.text[place.start - 1] == " " else " "
        return Edit(place.start, place.end, lead + word, (line,), (f"line {line} gets the id it left open",))
    if node.flow:
        comma = ", " if node.children else ""
        note = f"line {line} changes, for the event stands in one line"
        return Edit(node.start + 1, node.start + 1, f"id: {word}{comma}", (line,), (note,))
    first = next(iter(node.children.values()))
    pad = " " * (source.position(node.start)[1] - 1)
    return below(source, source.position(max(first.start, first.end - 1))[0], [f"{pad}id: {word}"])


def new_document(head: Event, events: Sequence[Event] = (), comment: str = "") -> bytes:
    """A new cask file: an optional comment line, the head, the events in (date, id) order."""
    lines = [f"# {comment}"] if comment else []
    lines += format_map(head)
    if events:
        lines.append(f"{EVENTS}:")
    for event in sorted(events, key=order_key):
        lines += format_event(event, 2)
    return "".join(line + "\n" for line in lines).encode("utf-8")
