"""Where each value of a plainly written file stands: the nodes the slow reader gives, for files that the fast one took."""

from __future__ import annotations

import re
from typing import Any

from caskbook.core.finding import Span
from caskbook.yaml.fast import fast_data
from caskbook.yaml.fast_values import BARE, leads
from caskbook.yaml.source import Source
from caskbook.yaml.text import Reading, read_yaml
from caskbook.yaml.tree import Node, Path

_QUOTED = re.compile(r"'(?:[^']|'')*'|\"[^\"]*\"")
_FLOW_WORD = re.compile(r"'[^']*'|\"[^\"]*\"|[^,\[\]{}]*[^,\[\]{} ]")
_FLOW_KEY = re.compile(r"([A-Za-z][A-Za-z0-9_-]*(?: [A-Za-z0-9_-]+)*|'[^']*'|\"[^\"]*\"): +")
_GAP = re.compile(r"[ ,]*")


def read_places(source: Source, *, fast: bool = True) -> Reading:
    """What `read_yaml` gives, sooner where the file is plain; the same with `fast` or without."""
    content = fast_data(source.data) if fast else None
    if content is None:
        return read_yaml(source)
    return Reading(source, content, [], frozenset(), plain_root(source.text, content))


def item_span(source: Source, key: str, first: str, path: Path, on_key: bool) -> Span | None:
    """The place of a value in a file that `fast_items` took apart, sooner than by reading all of it; None where that cannot tell.

    `path` leads to a value above the list, or into one of its items.
    """
    mark = f"\n  - {first}: "
    above, _, below = source.text.partition(f"\n{key}:{mark}")
    if path and path[0] != key:
        return _span_in(f"{above}\n{key}:\n", path, on_key)
    row = path[1] if len(path) > 2 else None
    items = below.split(mark)
    if not isinstance(row, int) or row >= len(items):
        return None
    found = _span_in(f"{key}:{mark}{items[row]}", (key, 0, *path[2:]), on_key)
    down = above.count("\n") + 1 + sum(item.count("\n") + 1 for item in items[:row])
    return Span(found.line + down, found.column, found.end_line + down, found.end_column)


def _span_in(text: str, path: Path, on_key: bool) -> Span:
    return read_places(Source.from_bytes("", text.encode())).span(path, on_key)


def plain_root(text: str, content: dict[str, Any]) -> Node:
    """The root node of a file's text, of which `content` is what the fast reader took from it."""
    walk = _Walk(content)
    at = 0
    for line in text.split("\n"):
        walk.line(line, at)
        at += len(line) + 1
    _close(walk.root)
    return walk.root


def _close(node: Node) -> None:
    """A map or list in block style ends with the last of its keys and values."""
    if node.kind != "scalar" and not node.flow:
        end = node.start
        for step, child in node.children.items():
            if child.kind != "scalar":
                _close(child)
            end = max(end, child.end, node.keys[step][1] if node.keys else 0)
        node.end = end


class _Walk:
    """The maps and lists that are open, each with its column; `waiting` is the map and key whose value may come below."""

    def __init__(self, content: dict[str, Any]) -> None:
        self.root = Node("mapping", -1, -1, content)
        self.open: list[tuple[int, Node]] = [(0, self.root)]
        self.waiting: tuple[Node, str | int] | None = None

    def line(self, line: str, at: int) -> None:
        """The next line, which begins at offset `at`."""
        lead, colon, word = line.partition(": ")
        if not colon and line.endswith(":"):
            lead, colon = line[:-1], ":"
        column, dash, key = leads[lead] if colon else BARE
        if column < 0:
            self._bare(line, at)
            return
        start, end = at + column + 2 * dash, at + len(lead)
        open_at, holder = self.open[-1]
        if dash or self.waiting is not None or open_at != column or holder.kind != "mapping":
            holder = self._holder(column, at + column, dash)
            if dash:
                holder = self._item(holder, column, start)
        if holder.start < 0:
            holder.start = start
        holder.keys[key] = (start, end)
        self._attach(holder, word, end + 2, key)

    def _bare(self, line: str, at: int) -> None:
        """A line without a key: nothing, a comment, or one value of a list."""
        text = line.lstrip(" ")
        if text and text[0] != "#":
            column = len(line) - len(text)
            holder = self._holder(column, at + column, dash=True)
            self._attach(holder, text[2:], at + column + 2, len(holder.children))

    def _holder(self, column: int, start: int, dash: bool) -> Node:
        """The node that a line at this column belongs to, made where its key has waited for it."""
        kind = "sequence" if dash else "mapping"
        if self.waiting is not None:
            above, (holder, key) = self.open[-1][0], self.waiting
            if column > above or dash and column == above:
                node = Node("sequence" if dash else "mapping", start, start, holder.value[key], (*holder.path, key))
                holder.children[key] = node
                self.open.append((column, node))
            self.waiting = None
        while self.open[-1][0] != column or self.open[-1][1].kind != kind:
            self.open.pop()
        return self.open[-1][1]

    def _item(self, items: Node, column: int, start: int) -> Node:
        row = len(items.children)
        node = items.children[row] = Node("mapping", start, start, items.value[row], (*items.path, row))
        self.open.append((column + 2, node))
        return node

    def _attach(self, holder: Node, word: str, at: int, step: str | int) -> None:
        """A value that stands in its line; `at` is where its text begins, behind the colon or dash and one space."""
        text = word.lstrip(" ")
        path = (*holder.path, step)
        if not text or text[0] == "#":
            holder.children[step] = Node("scalar", at - 1, at - 1, None, path, plain=True)
            self.waiting = holder, step
        else:
            holder.children[step] = _value(text, at + len(word) - len(text), holder.value[step], path)


def _value(text: str, start: int, value: Any, path: Path) -> Node:
    if isinstance(value, list | dict):
        return _flow(text, 0, start, value, path)
    quoted = _QUOTED.match(text) if text[0] in "'\"" else None
    if quoted is not None:
        return Node("scalar", start, start + quoted.end(), value, path)
    comment = text.find(" #")
    text = (text if comment < 0 else text[:comment]).rstrip(" ")
    return Node("scalar", start, start + len(text), value, path, plain=True)


def _flow(text: str, at: int, start: int, value: Any, path: Path) -> Node:
    """A value in brackets that begins at `at` in `text`, or a word in one; `start` is where the text itself begins."""
    if not isinstance(value, list | dict):
        match = _FLOW_WORD.match(text, at)
        assert match is not None
        return Node("scalar", start + at, start + match.end(), value, path, plain=text[at] not in "'\"")
    node = Node("mapping" if isinstance(value, dict) else "sequence", start + at, start + at, value, path, flow=True)
    at += 1
    for step in value if isinstance(value, dict) else range(len(value)):
        at = _gap(text, at)
        if isinstance(value, dict):
            match = _FLOW_KEY.match(text, at)
            assert match is not None
            node.keys[step] = (start + at, start + match.end(1))
            at = match.end()
        child = node.children[step] = _flow(text, at, start, value[step], (*path, step))
        at = child.end - start
    node.end = start + _gap(text, at) + 1
    return node


def _gap(text: str, at: int) -> int:
    match = _GAP.match(text, at)
    assert match is not None
    return match.end()
