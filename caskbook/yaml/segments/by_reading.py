"""A cask file cut into its parts by a full reading, for the layouts that lines alone do not settle."""

from __future__ import annotations

from typing import Any

from caskbook.yaml.document import EVENTS, Document, read_document
from caskbook.yaml.segments.by_lines import Layout, Part, UnreadableError, event_part
from caskbook.yaml.source import Source


def cut_in_full(text: str) -> Layout:
    """The layout of a file's text. UnreadableError, with the reason, where it is at fault or laid out in a way that cannot be cut."""
    crlf = "\r\n" in text and text.count("\r\n") == text.count("\n")
    plain = text.replace("\r\n", "\n") if crlf else text
    document = read_document(Source.from_bytes("", plain.encode("utf-8", "surrogatepass")))
    for found in document.findings:
        if found.severity == "error":
            raise UnreadableError(f"line {found.span.line}: {found.message}")
    root = document.reading.root
    if document.data is None or root is None or root.flow:
        raise UnreadableError("it is not written as `key: value` lines")
    blocks = blocks_of(document)
    if EVENTS in blocks and list(blocks)[-1] != EVENTS:
        raise UnreadableError("a key stands below `events`, which is the last one")
    return _layout(document, blocks, crlf=crlf, final=plain.endswith("\n"))


def blocks_of(document: Document) -> dict[str, tuple[int, int]]:
    """First and last line of each key at the top, comments above it included."""
    root = document.reading.root
    assert root is not None
    source, blocks, below = document.source, dict[str, tuple[int, int]](), 1
    for key, place in sorted(root.keys.items(), key=lambda item: item[1]):
        child = root.child(key)
        first = source.position(place[0])[0]
        last = source.position(max(place[1], child.end if child is not None else 0) - 1)[0]
        if first < below or (key,) in document.unread:
            raise UnreadableError(f"line {first}: two keys in one line")
        blocks[str(key)] = (below, last)
        below = last + 1
    return blocks


def _lines(document: Document, first: int, last: int) -> tuple[str, ...]:
    return tuple(document.source.line(n) for n in range(first, last + 1))


def _layout(document: Document, blocks: dict[str, tuple[int, int]], *, crlf: bool, final: bool) -> Layout:
    """The layout of a document from its places; `blocks` is key → first and last line. UnreadableError where events are not in lines."""
    data: dict[str, Any] = document.data or {}
    head = tuple(Part(key, _lines(document, *lines), data[key]) for key, lines in blocks.items() if key != EVENTS)
    end = document.source.line_count
    if EVENTS not in blocks:
        below = max((last for _, last in blocks.values()), default=0) + 1
        return Layout(head, None, (), _lines(document, below, end), crlf=crlf, final=final)
    node = document.events_node
    listed = data[EVENTS]
    if listed is not None and not isinstance(listed, list):
        raise UnreadableError("`events` is no list")
    if node is None or not listed:
        opener = Part(EVENTS, _lines(document, *blocks[EVENTS]), None)
        return Layout(head, opener, (), _lines(document, blocks[EVENTS][1] + 1, end), crlf=crlf, final=final)
    if node.flow:
        raise UnreadableError("its events stand in brackets, not in lines")
    line = document.span((EVENTS,), key=True).line
    opener = Part(EVENTS, _lines(document, blocks[EVENTS][0], line), None)
    events, first_gap, below = _events(document, listed, line)
    indent = document.source.position(node.start)[1] - 1
    return Layout(head, opener, tuple(events), _lines(document, below, end), first_gap, indent, crlf, final)


def _events(document: Document, listed: list[Any], above: int) -> tuple[list[Part], int, int]:
    """(the parts of the events, the gap above the first, the line below the last). UnreadableError for one not in lines of its own."""
    events: list[Part] = []
    first_gap = 0
    for index, value in enumerate(listed):
        first, last = document.event_lines(index)
        if not isinstance(value, dict) or first <= above:
            raise UnreadableError(f"line {first}: not an event in lines of its own")
        gap = next((n for n in range(first - above - 1) if document.source.line(above + 1 + n)), first - above - 1)
        first = above + 1 + gap
        first_gap = first_gap if index else gap
        events.append(event_part(_lines(document, first, last), gap if index else None, value))
        above = last
    return events, first_gap, above + 1
