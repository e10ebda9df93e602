"""A cask file taken apart by its data, for files whose text cannot be cut into lines: entries in brackets, keys below the list, faults."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from caskbook.yaml.document import EVENTS, Document
from caskbook.yaml.segments.any_layout import read_layout
from caskbook.yaml.segments.by_lines import IN_BRACKETS, Layout, Lines, Part, UnreadableError
from caskbook.yaml.tree import Node

WRITTEN = "as written"
"""The key under which a faulty entry, or what is faulty beside entries and head, is compared by its text."""
_OPENER = re.compile(rf"{EVENTS}:[ \[\]{{}},]*(#.*)?")
_SIGNS = " \t,-[]{}"
_Span = tuple[int, int]


@dataclass(frozen=True)
class Pieces:
    """A file by its data. `layout`: its parts, an entry's lines being its own text alone, the tail its other comments, the indent
    IN_BRACKETS for a list in brackets. `faults`: places of errors beside the entries."""

    layout: Layout
    faults: int


def cut_or_fault(data: bytes, document: Document) -> tuple[Layout | None, str]:
    """A file cut into its lines, or None and the fault in it: none where it is only laid out in a way that cannot be cut."""
    try:
        return read_layout(data.decode("utf-8"))[0], ""
    except UnicodeDecodeError:
        return None, "no UTF-8 text"
    except UnreadableError as error:
        return None, str(error) if any(found.severity == "error" for found in document.findings) else ""


def in_pieces(document: Document) -> Pieces | None:
    """The parts of a file as its reader gives them; None where it gives none at all."""
    root, data = document.reading.root, document.data
    if root is None or data is None:
        return None
    node = document.events_node
    items = [node.children[n] for n in range(len(node.value))] if node is not None else []
    errors = [_offset(document, one.span.line, one.span.column) for one in document.findings if one.severity == "error"]
    beside = sum(not any(item.start <= at <= item.end for item in items) for at in errors)
    beside += sum(path[:1] != (EVENTS,) or len(path) < 2 for path in document.unread)
    listed = node is not None or data.get(EVENTS) is None
    head = [_head(document, key, errors) for key in dict.fromkeys([*data, *map(str, root.keys)]) if key != EVENTS or not listed]
    rest = _rest(document, [(item.start, item.end) for item in items])
    remarks, loose = _loose(rest, head)
    if (errors or document.unread) and loose:
        head.append(Part(WRITTEN, (), loose))
    events = tuple(_event(document, n, item, errors) for n, item in enumerate(items))
    opener = Part(EVENTS, (), None) if EVENTS in data and listed else None
    text = document.source.text
    crlf = "\r\n" in text and text.count("\r\n") == text.count("\n")
    indent = IN_BRACKETS if node is not None and node.flow and items else None
    return Pieces(Layout(tuple(head), opener, events, remarks, 0, indent, crlf, text.endswith("\n")), beside)


def _offset(document: Document, line: int, column: int) -> int:
    return document.source.bounds(line)[0] + column - 1 if 0 < line <= document.source.line_count else 0


def _exact(document: Document) -> str:
    """The text with every byte that is no UTF-8 told from others, at the offsets of the source's own text."""
    return document.source.data.decode("utf-8", "surrogateescape") if document.source.bad_bytes else document.source.text


def _text(document: Document, start: int, end: int) -> Lines:
    return tuple(_exact(document)[start:end].replace("\r\n", "\n").rstrip().split("\n"))


def _head(document: Document, key: str, errors: Iterable[int]) -> Part:
    """One key of the head with its value; where anything in it is faulty, with its text: what could not be read is not among the data."""
    root, data = document.reading.root, document.data or {}
    assert root is not None
    child, place = root.child(key), root.keys.get(key, (0, 0))
    end = max(place[1], child.end if child is not None else 0)
    lines = _text(document, place[0], end)
    faulty = key not in data or any(place[0] <= at <= end for at in errors) or any(path[:1] == (key,) for path in document.unread)
    return Part(key, lines, "\n".join(line.strip() for line in lines) if faulty else data[key])


def _event(document: Document, at: int, item: Node, errors: Iterable[int]) -> Part:
    """One entry with the data that its text gives; where that is faulty, or no map, its text as well."""
    value, lines = item.value, _text(document, item.start, item.end)
    faulty = any(item.start <= place <= item.end for place in errors) or any(path[:2] == (EVENTS, at) for path in document.unread)
    found = dict(value) if isinstance(value, dict) else {}
    event_id = found.get("id")
    if faulty or not isinstance(value, dict):
        found[WRITTEN] = "\n".join(line.strip() for line in lines)
    return Part(event_id if isinstance(event_id, str) else None, lines, found)


def _rest(document: Document, spans: Iterable[_Span]) -> str:
    """The text beside the entries."""
    text, at, kept = _exact(document), 0, list[str]()
    for start, end in spans:
        kept.append(text[at:start])
        at = max(at, end)
    return "".join([*kept, text[at:]]).replace("\r\n", "\n")


def _loose(rest: str, head: Iterable[Part]) -> tuple[Lines, str]:
    """What stands beside the entries and the values of the head: the comments, and text that belongs to nothing that was read.

    What stands behind such text, or straight below it, is no remark for certain: its sign may stand in a quote.
    """
    for part in head:
        rest = rest.replace("\n".join(part.lines), "", 1) if part.lines else rest
    remarks, loose, open_ = list[str](), list[str](), False
    for line in rest.split("\n"):
        bare = line.lstrip(_SIGNS).rstrip()
        opener = _OPENER.fullmatch(bare)
        if bare.startswith("#") and not open_:
            remarks.append(bare)
        elif opener is not None:
            remarks += [opener[1]] if opener[1] else []
        elif bare := bare.rstrip(_SIGNS):
            loose.append(bare)
            open_ = True
            continue
        open_ = False
    return tuple(remarks), "\n".join(loose)
