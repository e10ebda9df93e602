"""The fast reader: reads files that are written the plain way, line by line, and leaves every other one to the slow reader.

It knows the small part of YAML on which no two readers differ. Whatever it does not know for certain it does not read; so it
needs no places, and tells no faults.
"""

from __future__ import annotations

import re
from typing import Any

from caskbook.yaml.fast_values import EMPTY, MOST_OPEN, DoubtError, leads, pairs, words
from caskbook.yaml.source import MAX_BYTES

_ITEM = re.compile(r"( *)- (.*)")
_PLAIN_SIGNS = bytes(range(0x20, 0x7F)) + b"\n"


class _Tree:
    """The maps and lists that are open, each with the column it stands at; `waiting` is the key that has no value yet."""

    __slots__ = ("holder", "open", "waiting")

    def __init__(self) -> None:
        self.holder: dict[str, Any] = {}
        self.open: list[tuple[int, Any]] = [(0, self.holder)]
        self.waiting: str | None = None

    def go(self, column: int, dash: bool) -> None:
        """Make `holder` the map to which a key at this column belongs, a new one behind a dash."""
        if self.waiting is not None:
            self._fill(column, dash)
        kind = list if dash else dict
        while self.open and (self.open[-1][0] > column or self.open[-1][0] == column and type(self.open[-1][1]) is not kind):
            self.open.pop()
        if not self.open or self.open[-1][0] != column:
            raise DoubtError
        self.holder = self.open[-1][1]

    def _fill(self, column: int, dash: bool) -> None:
        """What comes is the value of the key that waits, if it stands deep enough; else that key has none."""
        above, holder = self.open[-1]
        if column > above or dash and column == above:
            value: Any = [] if dash else {}
            holder[self.waiting] = value
            self._push(column, value)
        self.waiting = None

    def _push(self, column: int, value: Any) -> None:
        if len(self.open) >= MOST_OPEN:
            raise DoubtError
        self.open.append((column, value))

    def item(self, column: int) -> None:
        """A new map in the list at this column; it is the holder from now on."""
        value: dict[str, Any] = {}
        if self.waiting is None and self.open[-2:-1] and self.open[-2][0] == column and self.open[-1][0] > column:
            items = self.open[-2][1]  # The map before it in the same list is the last that is open.
            self.open.pop()
        else:
            self.go(column, True)
            items = self.holder
        if type(items) is not list:
            raise DoubtError
        items.append(value)
        self._push(column + 2, value)
        self.holder = value

    def bare_item(self, line: str) -> None:
        """A line that is one value of a list."""
        match = _ITEM.fullmatch(line)
        value = EMPTY if match is None else words[match.group(2)]
        if match is None or value is EMPTY:
            raise DoubtError
        self.go(len(match.group(1)), True)
        self.holder.append(value)  # type: ignore[attr-defined]


def fast_data(data: bytes) -> dict[str, Any] | None:
    """The data of a file: what the slow reader gives, where that would find no fault in it; else None.

    Values are dict, list, str, int, float, bool, None and date, as YAML 1.2 has them.
    """
    try:
        return _read(printable(data).split("\n"))
    except DoubtError:
        return None


def printable(data: bytes) -> str:
    """The text of a file. DoubtError where a sign in it is not plain.

    Control characters, tabs, carriage returns, byte order marks and whatever hides or turns text are not printable.
    """
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise DoubtError from None
    if len(data) > MAX_BYTES or data.translate(None, _PLAIN_SIGNS) and not text.replace("\n", "").isprintable():
        raise DoubtError
    return text


def fast_items(data: bytes, key: str, first: str) -> tuple[dict[str, Any], list[str]] | None:
    """A file that ends with a list of maps, taken apart: the data above the list, and the text of each item of it.

    `key` is the name of the list and `first` the key with which each of its items begins; the text of an item begins with that
    key's value and ends before the next item. None where the file is not written so, or not plain. `fast_item` reads the lines of
    an item below its first; where it can read them all, the file is plain as a whole.
    """
    mark = f"\n  - {first}: "
    try:
        above, opened, below = printable(data).partition(f"\n{key}:{mark}")
        head = _read(above.split("\n")) if opened else None
    except DoubtError:
        return None
    return (head, below.split(mark)) if head is not None and key not in head else None


def fast_item(text: str, first: str) -> dict[str, Any] | None:
    """The data of one item of a list, from its lines below the one that begins with the key `first`, which is not in it.

    None where it is not plain, or where not all of it belongs to the one item.
    """
    lines = text.split("\n")
    item: dict[str, Any] = {}
    try:
        for line in lines:
            key, value = pairs[line]
            if key in item:
                raise DoubtError
            item[key] = value
    except DoubtError:
        return _nested(lines, first)
    return None if first in item else item


def _nested(lines: list[str], first: str) -> dict[str, Any] | None:
    """The same of an item that has comments, or lists and maps in it."""
    try:
        root = _read(["items:", f"  - {first}: a", *lines])
    except DoubtError:
        return None
    items = root["items"]
    if len(root) > 1 or len(items) > 1:
        return None
    item: dict[str, Any] = items[0]
    del item[first]
    return item


def _read(lines: list[str]) -> dict[str, Any]:
    """The lines as a map of plain data. DoubtError where a line is not written the plain way."""
    tree = _Tree()
    root = holder = tree.holder
    known, meant, empty = leads, words, EMPTY
    column = 0
    for line in lines:
        lead, colon, word = line.partition(": ")
        if not colon:
            if not line.endswith(":"):
                column = _lone(tree, line, column)
                continue
            lead = line[:-1]
        at, dash, key = known[lead]
        if at != column or dash:
            if at < 0:
                column = _lone(tree, line, column)
                continue
            tree.item(at) if dash else tree.go(at, False)
            holder, column = tree.holder, at + 2 if dash else at
        if key in holder:
            raise DoubtError
        value = meant[word]
        if value is empty:
            holder[key], tree.waiting, column = None, key, -3
        else:
            holder[key] = value
    if not root:
        raise DoubtError
    return root


def _lone(tree: _Tree, line: str, column: int) -> int:
    """A line without a key: nothing, a comment, or one value of a list. The column at which a key goes on as before."""
    text = line.lstrip(" ")
    if not text or text[0] == "#":
        return column
    tree.bare_item(line)
    return -3
