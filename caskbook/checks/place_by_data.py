"""Which entry and field a finding is about, where lines do not tell: entries in brackets share them with others."""

from __future__ import annotations

import re
from collections.abc import Sequence

from caskbook.core.finding import Finding
from caskbook.yaml.document import EVENTS, Document, read_document
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Node

_OPENED = re.compile(r"events:\s*(?:\[\s*\]\s*)?(?:#.*)?")
_IN_BRACES = re.compile(r" *- +[\[{]")


def in_own_lines(lines: Sequence[str]) -> bool:
    """Whether every entry has lines of its own, each field in one that begins with its key."""
    start = next((n for n, text in enumerate(lines) if text.startswith(EVENTS + ":")), None)
    if start is None or not _OPENED.fullmatch(lines[start].rstrip()):
        return False
    below = next((text.lstrip() for text in lines[start + 1 :] if text.strip() and not text.lstrip().startswith("#")), "-")
    return below.startswith("-") and not any(map(_IN_BRACES.match, lines[start + 1 :]))


def place_by_data(data: bytes, finding: Finding) -> tuple[str, str] | None:
    """(the id of the entry, or its text where it has none, and the field) that a finding lies in; beside the entries of a file in
    braces (nothing, the key). None where the line's own text tells it, or nothing can be read."""
    document = read_document(Source.from_bytes("", data))
    line = finding.span.line
    root, node = document.reading.root, document.events_node
    if root is None or not 0 < line <= document.source.line_count:
        return None
    at = document.source.bounds(line)[0] + finding.span.column - 1
    for item in node.children.values() if node is not None else ():
        if item.start <= at < max(item.end, item.start + 1):
            return _name(document, item), _field(item, at)
    if node is not None and node.start <= at < node.end:
        return "", EVENTS
    return ("", _field(root, at)) if root.flow else None


def _name(document: Document, item: Node) -> str:
    event_id = item.value.get("id") if isinstance(item.value, dict) else None
    return event_id if isinstance(event_id, str) else " ".join(document.source.text[item.start : item.end].split())


def _field(item: Node, at: int) -> str:
    """The key whose text, or whose value's, a place lies in; the first one for the start of an entry."""
    for key, (start, end) in item.keys.items():
        child = item.child(key)
        if start <= at < max(end, child.end if child is not None else 0):
            return str(key)
    return str(next(iter(item.keys), ""))
