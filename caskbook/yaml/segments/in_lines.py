"""A file whose entries stand in brackets, or above other keys, as the same file in lines: what a merge needs to unite it."""

from __future__ import annotations

import re
from collections import Counter

from caskbook.yaml.document import EVENTS, Document, read_document
from caskbook.yaml.segments.any_layout import read_layout
from caskbook.yaml.segments.by_lines import Layout, UnreadableError
from caskbook.yaml.segments.by_reading import blocks_of
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Node

_REMARK = re.compile(r"(?:^|(?<=[\s,\[\]]))#.*")


def layout_in_lines(text: str) -> tuple[Layout, bool]:
    """The layout of a text, and whether it had to be written in lines for it. UnreadableError, with the reason why the text as it
    is cannot be cut, where that would lose a value or a comment."""
    try:
        return read_layout(text)[0], False
    except UnreadableError:
        document = read_document(Source.from_bytes("", text.replace("\r\n", "\n").encode("utf-8", "surrogatepass")))
        lines = None if any(one.severity == "error" for one in document.findings) else _in_lines(document)
        if lines is None:
            raise
    written = "\n".join(lines) + ("\n" if document.source.ends_in_newline else "")
    again = read_document(Source.from_bytes("", written.encode("utf-8", "surrogatepass")))
    if repr(again.data) != repr(_sorted(document, again)) or _remarks(written) != _remarks(document.source.text):
        raise UnreadableError("its entries cannot be put into lines without losing something")
    crlf = "\r\n" in text and text.count("\r\n") == text.count("\n")
    return read_layout(written.replace("\n", "\r\n") if crlf else written)[0], True


def _sorted(document: Document, again: Document) -> dict[str, object]:
    """The data of a document with its keys in the order of another."""
    data, order = document.data or {}, list(again.data or {})
    return {key: data[key] for key in sorted(data, key=lambda key: order.index(key) if key in order else len(order))}


def _remarks(text: str) -> Counter[str]:
    return Counter(found.strip() for line in text.split("\n") for found in _REMARK.findall(line))


def _in_lines(document: Document) -> list[str] | None:
    """The lines of the file, its head first; None where it is laid out in a way that is left alone."""
    root, node = document.reading.root, document.events_node
    if root is None or root.flow or node is None:
        return None
    blocks = blocks_of(document)
    first, last = blocks[EVENTS]
    lines = [document.source.line(n) for key, (start, end) in blocks.items() if key != EVENTS for n in range(start, end + 1)]
    below = max(end for _, end in blocks.values())
    tail = [document.source.line(n) for n in range(below + 1, document.source.line_count + 1)]
    if not node.flow:
        return lines + [document.source.line(n) for n in range(first, last + 1)] + tail
    line = document.span((EVENTS,), key=True).line
    opened = _out_of_brackets(document, node)
    return None if opened is None else [*lines, *(document.source.line(n) for n in range(first, line)), *opened, *tail]


def _out_of_brackets(document: Document, node: Node) -> list[str] | None:
    """`events:` and its items, each behind a dash, its text kept; comments stay with the item they stand behind or above."""
    text, at = document.source.text, document.reading.root.keys[EVENTS][1] if document.reading.root is not None else 0
    lines = [f"{EVENTS}:"]
    for n in range(len(node.value)):
        item = node.children[n]
        if item.kind != "mapping" or text[item.start] != "{":
            return None
        _put_remarks(lines, text[at : item.start])
        own = text[item.start : item.end].split("\n")
        lines += [f"  - {own[0].rstrip()}", *(" " * 6 + one.strip() if one.strip() else "" for one in own[1:])]
        at = item.end
    end = text.find("\n", node.end)
    _put_remarks(lines, text[at : end if end >= 0 else len(text)])
    return lines


def _put_remarks(lines: list[str], between: str) -> None:
    """Comments of the text between two items: the one in the first line goes behind what stands there, others get lines."""
    for n, line in enumerate(between.split("\n")):
        found = _REMARK.search(line)
        if found and not n and not _REMARK.search(lines[-1]):
            lines[-1] += f" {found[0].rstrip()}"
        elif found:
            lines.append(f"  {found[0].rstrip()}")
