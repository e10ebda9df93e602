"""Taking back what a run wrote and nobody has seen yet: the lines it added go, and nothing else."""

from __future__ import annotations

from collections.abc import Collection

from caskbook.document import read_document
from caskbook.finding import CaskbookError
from caskbook.source import Source
from caskbook.splice import alike


def without_events(source: Source, ids: Collection[str]) -> Source:
    """The text without the lines of these events. CaskbookError where that would leave another file than was meant."""
    document = read_document(source)
    data = document.data or {}
    events = data.get("events")
    if not isinstance(events, list) or document.events_node is None or document.events_node.flow:
        raise CaskbookError(f"{source.path}: its events do not stand in lines of their own")
    gone = [at for at, one in enumerate(events) if isinstance(one, dict) and one.get("id") in ids]
    if len(gone) != len(ids):
        raise CaskbookError(f"{source.path}: an entry of the run is no longer there")
    text = source.text
    for at in reversed(gone):
        first, last = document.reading.block(("events", at))
        last = _with_gap(document.source, first, last)
        start, end = source.bounds(first)[0], source.bounds(last)[1]
        text = text[:start] + text[end:]
    rest = [one for at, one in enumerate(events) if at not in gone]
    if not rest:
        text = _empty_list(text)
    after = Source.from_bytes(source.path, text.encode("utf-8"))
    if not alike(read_document(after).data, {**data, "events": rest}):
        raise CaskbookError(f"{source.path}: the lines of the run cannot be told from the rest")
    return after


def _with_gap(source: Source, first: int, last: int) -> int:
    """The last line to go: with the blank line under it, where one stands above too."""
    blank_above = first > 1 and not source.line(first - 1).strip()
    blank_below = last < source.line_count and not source.line(last + 1).strip()
    return last + 1 if blank_above and blank_below else last


def _empty_list(text: str) -> str:
    """`events:` alone becomes `events: []` again."""
    lines = text.split("\n")
    for at in range(len(lines) - 1, -1, -1):
        if lines[at].rstrip("\r") == "events:":
            lines[at] = "events: []" + ("\r" if lines[at].endswith("\r") else "")
            break
    return "\n".join(lines)
