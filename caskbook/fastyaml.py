"""The fast reader: reads files that are written the plain way, line by line, and leaves every other one to the slow reader.

It knows the small part of YAML on which no two readers differ, and takes plain words by the same function as the slow one.
Whatever it does not know for certain it does not read; so it needs no places, and tells no faults.
"""

from __future__ import annotations

import re
from typing import Any

from caskbook.source import MAX_BYTES
from caskbook.yamlscalar import meaning

# Readers stop looking for a key's colon after 1,024 characters; a line that comes near it is not plain.
_LONGEST = 900
_MOST_OPEN = 8
_MOST_KEPT = 50_000
_LONGEST_KEPT = 24
_MOST_FLAT = 5_000
_LONGEST_FLAT = 80

_KEY = re.compile(r"( *)(- )?([A-Za-z][A-Za-z0-9_-]{0,60})")
_ITEM = re.compile(r"( *)- (.*)")
_SINGLE = re.compile(r"'((?:[^']|'')*)'(?: +#.*)?")
_DOUBLE = re.compile(r'"([^"\\]*)"(?: +#.*)?')
# A word that begins with no sign of YAML's own, and has no colon that ends a key.
_PLAIN = re.compile(r"(?:[A-Za-z0-9_(/$+.^;<=~\u00a1-\U0010ffff]|-(?=[A-Za-z0-9.]))(?:[^:]|:(?! |$))*")
# A letter first and a digit somewhere: no reader takes it for anything but a word. Most of these come only once.
_NAME = re.compile(r"[A-Za-z][A-Za-z-]*[0-9][A-Za-z0-9-]*")

_FLOW_KEY = re.compile(r" *([A-Za-z][A-Za-z0-9_-]{0,60}): +")
_FLOW_WORD = re.compile(r" *(?:'([^'\[\]{}]*)'|\"([^\"\\\[\]{}]*)\"|((?:[A-Za-z0-9_+.]|-(?=[A-Za-z0-9]))[^,:\[\]{}'\"#&*!|>%@`\\?]*))")
_FLOW_NEXT = re.compile(r" *(, *)?")


class DoubtError(Exception):
    """The file is not plain enough to be read fast."""


EMPTY = object()
"""Stands for the value of a key behind whose colon nothing is written."""
_COMMENT = (-1, False, "")
BARE = (-2, False, "")


class _Leads(dict[str, tuple[int, bool, str]]):
    """What stands before a colon: the column of a key or of its dash, whether there is a dash, and the key."""

    def __missing__(self, lead: str) -> tuple[int, bool, str]:
        match = _KEY.fullmatch(lead)
        if match is None:
            text = lead.lstrip(" ")
            if text.startswith("#"):
                return _COMMENT
            if text.startswith("- "):
                return BARE
            raise DoubtError
        key = match.group(3)
        _word(key, str)
        found = (len(match.group(1)), match.group(2) is not None, key)
        if len(self) < _MOST_KEPT:
            self[lead] = found
        return found


class _Words(dict[str, Any]):
    """What stands behind a colon, as a value. What comes again in cask after cask is kept."""

    def __missing__(self, word: str) -> Any:
        if _NAME.fullmatch(word) and len(word) < _LONGEST:
            return word
        if len(word) > _LONGEST:
            raise DoubtError
        text = word.strip(" ")
        if not text or text[0] == "#":
            return EMPTY
        if text[0] in "[{":
            return _flow(text)
        value = _scalar(text)
        if len(word) <= _LONGEST_KEPT:
            if len(self) >= _MOST_KEPT:
                self.clear()
            self[word] = value
        return value


def _scalar(text: str) -> Any:
    if text[0] == "'":
        match = _SINGLE.fullmatch(text)
    elif text[0] == '"':
        match = _DOUBLE.fullmatch(text)
    else:
        comment = text.find(" #")
        text = text if comment < 0 else text[:comment].rstrip(" ")
        if _PLAIN.fullmatch(text) is None:
            raise DoubtError
        return _word(text)
    if match is None:
        raise DoubtError
    return match.group(1).replace("''", "'") if text[0] == "'" else match.group(1)


def _word(text: str, kind: type = object) -> Any:
    found = meaning(text)
    if found.fault or found.doubtful or not isinstance(found.value, kind):
        raise DoubtError
    return found.value


def _flow(text: str) -> Any:
    kept = _flat.get(text)
    if kept is not None:
        return kept.copy()
    value, end = _flow_value(text, 0, 0)
    rest = text[end:]
    if rest and not rest.lstrip(" ").startswith("#") or rest.startswith("#"):
        raise DoubtError
    if len(text) <= _LONGEST_FLAT and len(_flat) < _MOST_FLAT and _is_flat(value):
        _flat[text] = value.copy()
    return value


def _is_flat(value: Any) -> bool:
    return not any(isinstance(part, list | dict) for part in (value.values() if isinstance(value, dict) else value))


def _flow_value(text: str, at: int, depth: int) -> tuple[Any, int]:
    """A list or map in brackets, or a word in one, that begins at `at`; and where it ends."""
    while text.startswith(" ", at):
        at += 1
    sign = text[at : at + 1]
    if sign in ("[", "{") and depth < _MOST_OPEN:
        return _flow_list(text, at + 1, depth + 1) if sign == "[" else _flow_map(text, at + 1, depth + 1)
    match = _FLOW_WORD.match(text, at)
    if match is None or not depth:
        raise DoubtError
    single, double, plain = match.groups()
    if plain is not None:
        return _word(plain.rstrip(" ")), match.end()
    return (double if single is None else single), match.end()


def _flow_list(text: str, at: int, depth: int) -> tuple[list[Any], int]:
    items: list[Any] = []
    more = not text.startswith("]", at)
    while more:
        value, at = _flow_value(text, at, depth)
        items.append(value)
        at, more = _next(text, at)
    return items, _closed(text, at, "]")


def _flow_map(text: str, at: int, depth: int) -> tuple[dict[str, Any], int]:
    pairs: dict[str, Any] = {}
    more = not text.startswith("}", at)
    while more:
        key = _FLOW_KEY.match(text, at)
        if key is None or key.group(1) in pairs:
            raise DoubtError
        _word(key.group(1), str)
        pairs[key.group(1)], at = _flow_value(text, key.end(), depth)
        at, more = _next(text, at)
    return pairs, _closed(text, at, "}")


def _next(text: str, at: int) -> tuple[int, bool]:
    match = _FLOW_NEXT.match(text, at)
    assert match is not None
    return match.end(), match.group(1) is not None


def _closed(text: str, at: int, sign: str) -> int:
    if not text.startswith(sign, at):
        raise DoubtError
    return at + 1


leads = _Leads()
_words = _Words()
_flat: dict[str, Any] = {}


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
        if len(self.open) >= _MOST_OPEN:
            raise DoubtError
        self.open.append((column, value))

    def item(self, column: int) -> None:
        """A new map in the list at this column; it is the holder from now on."""
        value: dict[str, Any] = {}
        if self.waiting is None and self.open[-2:-1] and self.open[-2][0] == column and self.open[-1][0] > column:
            items = self.open[-2][1]  # the map before it in the same list is the last that is open
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
        value = EMPTY if match is None else _words[match.group(2)]
        if match is None or value is EMPTY:
            raise DoubtError
        self.go(len(match.group(1)), True)
        self.holder.append(value)  # type: ignore[attr-defined]


def fast_data(data: bytes) -> dict[str, Any] | None:
    """The data of a file: what the slow reader gives, where that would find no fault in it; else None.

    Values are dict, list, str, int, float, bool, None and date, as YAML 1.2 has them.
    """
    if len(data) > MAX_BYTES:
        return None
    try:
        lines = data.decode("utf-8").split("\n")
        # Control characters, tabs, carriage returns, byte order marks and whatever hides or turns text are not printable.
        return _read(lines) if "".join(lines).isprintable() else None
    except (DoubtError, UnicodeDecodeError):
        return None


def _read(lines: list[str]) -> dict[str, Any]:
    tree = _Tree()
    root = holder = tree.holder
    words, empty = _words, EMPTY
    column = 0
    for line in lines:
        lead, colon, word = line.partition(": ")
        if not colon:
            if not line.endswith(":"):
                column = _lone(tree, line, column)
                continue
            lead = line[:-1]
        at, dash, key = leads[lead]
        if at != column or dash:
            if at < 0:
                column = _lone(tree, line, column)
                continue
            tree.item(at) if dash else tree.go(at, False)
            holder, column = tree.holder, at + 2 if dash else at
        if key in holder:
            raise DoubtError
        value = words[word]
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
