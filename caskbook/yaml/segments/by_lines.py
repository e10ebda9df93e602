"""A cask file cut into the pieces that are compared and moved as wholes: the lines of each head key and of each event.

Files in the usual layout are cut by their lines alone; every other one is read in full (`full`), which has the last word.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from caskbook.yaml.fast import fast_data
from caskbook.yaml.scalar import meaning
from caskbook.yaml.scan import scan
from caskbook.yaml.source import Source

Lines = tuple[str, ...]

EVENTS = "events"
IN_BRACKETS = -1
"""The indent of a list whose entries stand in brackets."""
_PLAIN = r"(?:[^\s\-?:,\[\]{}#&*!|>'\"%@`]|-(?=\S))(?:[^:#]|:(?=\S)|(?<=\S)#)*"
_ENTRY = re.compile(rf"([A-Za-z_][\w-]*):(?: +(?:({_PLAIN})|\"([^\"\\]*)\"|'((?:[^']|'')*)')?)? *(?:(?<= )#.*)?")
_KEY = re.compile(r"([A-Za-z_][\w-]*):(?: .*)?")
_DASH = re.compile(r"( *)-( +)(?=\S)")
_OPEN_LIST = re.compile(r"events:(?: *| +#.*)")
# A text block takes in comments and blank lines below it that would otherwise belong to the next event.
_TEXT_BLOCK = re.compile(r"[ :][|>][-+0-9]* *(?: #.*)?$")
_EMPTY_LIST = re.compile(r"events: +\[ *\] *(?: #.*)?")


class NotPlainError(Exception):
    """A file that has to be read in full before it can be cut."""


class UnreadableError(Exception):
    """A file whose text cannot be taken apart safely; the reason in a few words."""


@dataclass(frozen=True)
class Part:
    """One piece: `key` is the head key, or the event's id (None without one); `lines` with its comments, without newlines.

    `gap` counts the empty lines above an event, None for the first of a list; a line of spaces is one of its own lines.
    """

    key: str | None
    lines: Lines
    value: Any
    gap: int | None = None

    @property
    def day(self) -> str:
        """An event's date as ten characters."""
        day = self.value.get("date") if isinstance(self.value, dict) else None
        return day.isoformat() if isinstance(day, date) else str(day or "")

    @property
    def order(self) -> tuple[str, str]:
        """The order of a file: date, then id, both as plain strings."""
        return (self.day, self.key or "")


@dataclass(frozen=True)
class Layout:
    """A whole file: head parts, the line that opens the list, the events, what stands below them.

    `first_gap`: blank lines above the first event; `indent`: spaces before the dashes; `crlf`, `final`: how lines end.
    """

    head: tuple[Part, ...] = ()
    opener: Part | None = None
    events: tuple[Part, ...] = ()
    tail: Lines = ()
    first_gap: int = 0
    indent: int | None = None
    crlf: bool = False
    final: bool = True

    @property
    def data(self) -> dict[str, Any]:
        """The file as data."""
        head = {str(part.key): part.value for part in self.head}
        return head | ({EVENTS: [part.value for part in self.events]} if self.opener else {})


def cut(text: str) -> Layout:
    """The layout of a file's text, by its lines. NotPlainError where that is not certain to be what a full reading gives."""
    crlf = "\r\n" in text and text.count("\r\n") == text.count("\n")
    if crlf:
        text = text.replace("\r\n", "\n")
    if scan(Source.from_bytes("", text.encode("utf-8", "surrogatepass"))).findings:
        raise NotPlainError
    lines = text.removesuffix("\n").split("\n") if text else []
    cutter = _Cutter()
    for line in lines:
        cutter.take(line)
    return cutter.layout(crlf=crlf, final=text.endswith("\n") or not text)


@dataclass
class _Cutter:
    """Takes lines one by one; blank lines and comments wait until it is known to what they belong."""

    head: list[tuple[str, list[str]]] = field(default_factory=list)
    opener: list[str] | None = None
    closed: bool = False
    events: list[list[str]] = field(default_factory=list)
    gaps: list[int] = field(default_factory=list)
    waiting: list[str] = field(default_factory=list)
    indent: int | None = None

    def take(self, line: str) -> None:
        """One line of the file."""
        if not line.strip(" ") or line.lstrip(" ").startswith("#"):
            self.waiting.append(line)
        elif self.opener is None:
            self._head_line(line)
        else:
            self._event_line(line)

    def _head_line(self, line: str) -> None:
        """A line above the events goes to its head key, or opens the list. NotPlainError where it does neither."""
        key = _KEY.fullmatch(line)
        if key and self.waiting and self.head:
            _sure(self.head[-1][1])
        if key and key.group(1) == EVENTS:
            self.closed = _EMPTY_LIST.fullmatch(line) is not None
            if not self.closed and not _OPEN_LIST.fullmatch(line):
                raise NotPlainError
            self.opener = [*self.waiting, line]
        elif key:
            self.head.append((key.group(1), [*self.waiting, line]))
        elif self.head and line[0] in " -":
            self.head[-1][1].extend([*self.waiting, line])
        else:
            raise NotPlainError
        self.waiting = []

    def _event_line(self, line: str) -> None:
        """A line of the list begins an event or goes on with the last one. NotPlainError where it does neither."""
        dash = _DASH.match(line)
        depth = len(line) - len(line.lstrip(" "))
        if self.closed or (self.indent is None and not dash):
            raise NotPlainError
        if dash and depth == (self.indent if self.indent is not None else depth):
            self.indent = depth
            gap = self._settle_waiting()
            self.gaps.append(gap)
            self.events.append([*self.waiting, line])
        elif self.indent is not None and depth > self.indent:
            self.events[-1].extend([*self.waiting, line])
        else:
            raise NotPlainError
        self.waiting = []

    def _settle_waiting(self) -> int:
        """Comments straight below an event and deeper than its dash are its own; the number of blank lines after them."""
        if self.waiting and self.events:
            _sure(self.events[-1])
        while self.events and self.waiting and _deeper_comment(self.waiting[0], self.indent or 0):
            self.events[-1].append(self.waiting.pop(0))
        gap = 0
        while self.waiting and not self.waiting[0]:
            self.waiting.pop(0)
            gap += 1
        return gap

    def layout(self, *, crlf: bool, final: bool) -> Layout:
        """What the lines came to."""
        if self.waiting and (self.events or self.head):
            _sure(self.events[-1] if self.events else self.head[-1][1])
        while self.events and self.waiting and _deeper_comment(self.waiting[0], self.indent or 0):
            self.events[-1].append(self.waiting.pop(0))
        head = [Part(key, tuple(lines), head_value(key, tuple(lines))) for key, lines in self.head]
        if len({part.key for part in head}) < len(head):
            raise NotPlainError
        opener = Part(EVENTS, tuple(self.opener), None) if self.opener is not None else None
        events = [event_part(tuple(lines), gap if n else None) for n, (lines, gap) in enumerate(zip(self.events, self.gaps, strict=True))]
        if opener is not None and not events and not self.closed:
            raise NotPlainError
        first_gap = self.gaps[0] if self.gaps else 0
        return Layout(tuple(head), opener, tuple(events), tuple(self.waiting), first_gap, self.indent, crlf, final)


def _sure(lines: list[str]) -> None:
    """Raises NotPlainError where these lines end in a text block: what stands below might be part of the text."""
    if any(_TEXT_BLOCK.search(line) for line in lines):
        raise NotPlainError


def _deeper_comment(line: str, indent: int) -> bool:
    bare = line.lstrip(" ")
    return bare.startswith("#") and len(line) - len(bare) > indent


def event_part(lines: Lines, gap: int | None, value: Any = None) -> Part:
    """An event's part; its value is read from its lines unless given."""
    found = event_value(lines) if value is None else value
    event_id = found.get("id") if isinstance(found, dict) else None
    return Part(event_id if isinstance(event_id, str) else None, lines, found, gap)


@lru_cache(maxsize=1 << 16)
def event_value(lines: Lines) -> Any:
    """The data of one list item; NotPlainError where its lines are not what they seem."""
    value = _simple_event(lines)
    if value is None:
        value = _alone(["x:", *lines]).get("x")
        value = value[0] if isinstance(value, list) and len(value) == 1 else None
    if not isinstance(value, dict):
        raise NotPlainError
    return value


def _simple_event(lines: Lines) -> dict[str, Any] | None:
    """The data of an item whose every line is `key: word`; None where there is more to it."""
    value: dict[str, Any] = {}
    column = -1
    for line in lines:
        bare = line.lstrip(" ")
        if not bare or bare.startswith("#"):
            continue
        at = len(line) - len(bare)
        if column < 0:
            dash = _DASH.match(line)
            if dash is None:
                return None
            at = column = dash.end()
        found = _entry(line[at:])
        if at != column or found is None or found[0] in value:
            return None
        value[found[0]] = found[1]
    return value


def _entry(text: str) -> tuple[str, Any] | None:
    """(key, value) of a plain `key: value` text; None where it is written otherwise."""
    match = _ENTRY.fullmatch(text)
    if match is None:
        return None
    key, plain, double, single = match.groups()
    if plain is not None:
        found = meaning(plain.rstrip(" "))
        return None if found.fault else (key, found.value)
    if double is not None:
        return key, double
    if single is not None:
        return key, single.replace("''", "'")
    return None


@lru_cache(maxsize=4096)
def head_value(key: str, lines: Lines) -> Any:
    """The value of one head key; NotPlainError where its lines are not what they seem."""
    bare = [line for line in lines if line.strip() and not line.lstrip().startswith("#")]
    found = _entry(bare[0]) if len(bare) == 1 else None
    if found is not None:
        return found[1]
    data = _alone(lines)
    if list(data) != [key]:
        raise NotPlainError
    return data[key]


def _alone(lines: Iterable[str]) -> dict[str, Any]:
    """A few lines read as a file of their own; NotPlainError where anything is wrong with them."""
    text = ("\n".join(lines) + "\n").encode("utf-8", "surrogatepass")
    known = fast_data(text)
    if known is not None:
        return known
    from caskbook.yaml.text import read_yaml  # The full reader takes longer to load than most merges take.

    reading = read_yaml(Source.from_bytes("", text))
    if reading.refused or not isinstance(reading.data, dict):
        raise NotPlainError
    return reading.data


def indented(part: Part, by: int) -> Part:
    """An event moved to the right (or left) as a whole."""
    if by == 0:
        return part
    moved = tuple((" " * by + line if by > 0 else line[-by:] if not line[:-by].strip() else line) if line.strip() else line for line in part.lines)
    return Part(part.key, moved, part.value, part.gap)


def is_remark(line: str) -> bool:
    """Whether a line is blank or a comment."""
    return not line.strip() or line.lstrip().startswith("#")


def split_remarks(lines: Sequence[str]) -> tuple[Lines, Lines]:
    """Comments and blank lines at the top of a part, and its own lines."""
    at = next((n for n, line in enumerate(lines) if not is_remark(line)), len(lines))
    return tuple(lines[:at]), tuple(lines[at:])
