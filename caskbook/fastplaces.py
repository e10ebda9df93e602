"""Where each value of a plainly written file stands: the nodes the slow reader gives, for files that the fast one took."""

from __future__ import annotations

import re
from typing import Any

from caskbook.yamltree import Node, Path, ends

_KEY = re.compile(r"( *)(- )?([A-Za-z][A-Za-z0-9_-]*)")
_QUOTED = re.compile(r"'(?:[^']|'')*'|\"[^\"]*\"")
_FLOW_WORD = re.compile(r"'[^']*'|\"[^\"]*\"|[^,\[\]{}]*[^,\[\]{} ]")
_FLOW_KEY = re.compile(r"([A-Za-z][A-Za-z0-9_-]*): +")
_GAP = re.compile(r"[ ,]*")


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
        for child in node.children.values():
            _close(child)
        node.end = max([node.start, *ends(node)])


class _Walk:
    """The maps and lists that are open, each with its column; `waiting` is the map and key whose value may come below."""

    def __init__(self, content: dict[str, Any]) -> None:
        self.root = Node("mapping", -1, -1, content)
        self.open: list[tuple[int, Node]] = [(0, self.root)]
        self.waiting: tuple[Node, str] | None = None

    def line(self, line: str, at: int) -> None:
        """The next line, which begins at offset `at`."""
        text = line.lstrip(" ")
        if not text or text[0] == "#":
            return
        lead, colon, word = line.partition(": ")
        match = _KEY.fullmatch(lead if colon else line[:-1] if line.endswith(":") else "")
        if match is None:
            column = len(line) - len(text)
            self._attach(self._holder(column, at + column, dash=True), text[2:], at + column + 2)
            return
        column, dash = len(match.group(1)), match.group(2) is not None
        start = at + match.start(3)
        holder = self._holder(column, at + column, dash)
        if dash:
            holder = self._item(holder, column, start)
        holder.start = start if holder.start < 0 else holder.start
        key = match.group(3)
        holder.keys[key] = (start, at + match.end())
        self._attach(holder, word if colon else "", at + match.end() + 2, key)

    def _holder(self, column: int, start: int, dash: bool) -> Node:
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

    def _attach(self, holder: Node, word: str, at: int, key: str | None = None) -> None:
        """A value that stands in its line; `at` is where its text begins, behind the colon or dash and one space."""
        step: str | int = len(holder.children) if key is None else key
        text = word.lstrip(" ")
        path = (*holder.path, step)
        if not text or text[0] == "#":
            assert key is not None
            holder.children[step] = Node("scalar", at - 1, at - 1, None, path, plain=True)
            self.waiting = holder, key
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
