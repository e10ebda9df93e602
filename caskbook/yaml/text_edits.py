"""Small changes to a file's text, by offset: whole lines added, or an item added to a list in brackets."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from caskbook.yaml.document import Document
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Node


@dataclass(frozen=True)
class Edit:
    """Text to put between two offsets; `changed` lines of the file do not stay as they are, as `notes` tell."""

    start: int
    end: int
    text: str
    changed: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()


def applied(source: Source, edits: Iterable[Edit]) -> Source:
    """The source with all edits made; they may not overlap."""
    text = source.text
    for edit in sorted(edits, key=lambda one: one.start, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return Source.from_bytes(source.path, text.encode("utf-8"))


def below(source: Source, line: int, lines: list[str]) -> Edit:
    """Lines added below a line of the file (0: above the first), with the file's own newline."""
    offset = source.bounds(line)[1] if line else 0
    text = "".join(one + source.newline for one in lines)
    if line == source.line_count and not source.ends_in_newline:
        note = f"line {line} had no newline at its end and gets one"
        return Edit(offset, offset, source.newline + text, notes=(note,))
    return Edit(offset, offset, text)


def into_flow(document: Document, node: Node, text: str, at: int) -> Edit:
    """An item into a list in brackets: on a line of its own where the items have theirs, else inside the one line."""
    if at < len(node.value):
        return _before_item(document.source, node.children[at], text)
    return _at_bracket(document.source, node, text)


def _leads(source: Source, offset: int) -> bool:
    """Whether nothing but spaces stands before an offset in its line."""
    line, column = source.position(offset)
    return not source.line(line)[: column - 1].strip()


def _before_item(source: Source, item: Node, text: str) -> Edit:
    line, column = source.position(item.start)
    if not _leads(source, item.start):
        return _within(source, item.start, text + ", ")
    above = line - 1
    while source.line(above).lstrip().startswith("#"):
        above -= 1
    return below(source, above, [" " * (column - 1) + text + ","])


def _at_bracket(source: Source, node: Node, text: str) -> Edit:
    """The edit that adds an item before the closing bracket of a list, with the comma that it needs."""
    bracket = node.end - 1
    if not node.value:
        return _within(source, bracket, text)
    last = node.children[len(node.value) - 1]
    between = "".join(part.split("#")[0] for part in source.text[last.end : bracket].splitlines())
    if _leads(source, bracket):
        pad = " " * (source.position(last.start)[1] - 1)
        above = source.position(bracket)[0] - 1
        return below(source, above, [f"{pad}{text}," if "," in between else f"{pad}, {text}"])
    if "," in between:
        space = "" if source.text[bracket - 1] == " " else " "
        return _within(source, bracket, space + text)
    return _within(source, last.end, ", " + text)


def _within(source: Source, offset: int, text: str) -> Edit:
    line = source.position(offset)[0]
    return Edit(offset, offset, text, (line,), (f"line {line} changes, for its events stand in one line",))
