"""The parts of a plainly written line: what stands before its colon and behind it, read once and kept for the lines alike.

Plain words get their value from the function that the slow reader uses.
"""

from __future__ import annotations

import re
from typing import Any

from caskbook.yaml.scalar import meaning

# Readers stop looking for a key's colon after 1,024 characters; a line that comes near it is not plain.
_LONGEST = 900
MOST_OPEN = 8
_MOST_KEPT = 50_000
_LONGEST_KEPT = 24
_MOST_FLAT = 5_000
_LONGEST_FLAT = 80
_IN_ITEM = 4
_MOST_LINES = 20_000
_LONGEST_LINE = 40

_KEY_WORD = r"(?:([A-Za-z][A-Za-z0-9_-]{0,60}(?: [A-Za-z0-9_-]{1,60}){0,4})|'([A-Za-z0-9_ -]{1,60})'|\"([A-Za-z0-9_ -]{1,60})\")"
_KEY = re.compile(rf"( *)(- )?{_KEY_WORD}")
_SINGLE = re.compile(r"'((?:[^']|'')*)'(?: +#.*)?")
_DOUBLE = re.compile(r'"([^"\\]*)"(?: +#.*)?')
# This is a word that begins with no sign of YAML's own, and has no colon that ends a key.
_PLAIN = re.compile(r"(?:[A-Za-z0-9_(/$+.^;<=~\u00a1-\U0010ffff]|-(?=[A-Za-z0-9.]))(?:[^:]|:(?! |$))*")
# With a letter first and a digit somewhere no reader takes it for anything but a word. Most of these come only once.
_NAME = re.compile(r"[A-Za-z][A-Za-z-]*[0-9][A-Za-z0-9-]*")

_FLOW_KEY = re.compile(rf" *{_KEY_WORD}: +")
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
        """(column, whether a dash leads it, key) of what stands before a colon, kept for lines alike. DoubtError where it is no plain key."""
        match = _KEY.fullmatch(lead)
        if match is None:
            text = lead.lstrip(" ")
            if text.startswith("#"):
                return _COMMENT
            if text.startswith("- "):
                return BARE
            raise DoubtError
        found = (len(match.group(1)), match.group(2) is not None, _key(*match.groups()[2:]))
        if len(self) < _MOST_KEPT:
            self[lead] = found
        return found


class _Words(dict[str, Any]):
    """What stands behind a colon, as a value. What comes again in cask after cask is kept."""

    def __missing__(self, word: str) -> Any:
        """The value of what stands behind a colon, kept where it is short; `EMPTY` where nothing does. DoubtError where it is not plain."""
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


class _Pairs(dict[str, tuple[str, Any]]):
    """A line of a map that stands in a list, four columns in, as its key and value. Most lines come again in file after file."""

    def __missing__(self, line: str) -> tuple[str, Any]:
        lead, colon, word = line.partition(": ")
        at, dash, key = leads[lead]
        value = words[word] if colon and at == _IN_ITEM and not dash else EMPTY
        if value is EMPTY:
            raise DoubtError
        if len(line) <= _LONGEST_LINE and not isinstance(value, list | dict):
            if len(self) >= _MOST_LINES:
                self.clear()
            self[line] = key, value
        return key, value


def _key(plain: str | None, single: str | None, double: str | None) -> str:
    """A key; a plain one must be a word to every reader."""
    if plain is not None:
        return str(_word(plain, str))
    return double or "" if single is None else single


def _scalar(text: str) -> Any:
    """The value of a plain or quoted word, its comment left off. DoubtError for a word that readers may take otherwise."""
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
    if sign in ("[", "{") and depth < MOST_OPEN:
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
        match = _FLOW_KEY.match(text, at)
        key = _key(*match.groups()) if match is not None else ""
        if match is None or key in pairs:
            raise DoubtError
        pairs[key], at = _flow_value(text, match.end(), depth)
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
words = _Words()
pairs = _Pairs()
_flat: dict[str, Any] = {}
