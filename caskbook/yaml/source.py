"""The text of one file: its bytes, its newline, its lines, and the way from an offset to a line and column."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

from caskbook.core.finding import Span

REPLACEMENT = "\ufffd"

MAX_BYTES = 1_000_000
"""The largest file that is read: a cask of five thousand events fits, a file gone wrong does not hold up a command."""


def _decode(data: bytes) -> str:
    """UTF-8 text; each byte that is none becomes one replacement character, so offsets stay exact."""
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        escaped = data.decode("utf-8", "surrogateescape")
        return "".join(REPLACEMENT if "\udc80" <= ch <= "\udcff" else ch for ch in escaped)


def _newline_of(text: str) -> str:
    first = text.find("\n")
    return "\r\n" if first > 0 and text[first - 1] == "\r" else "\n"


@dataclass(frozen=True)
class Source:
    """One file as read: `path` as shown to the user; offsets are in characters of `text`, a line ends at a line feed."""

    path: str
    data: bytes
    text: str
    newline: str

    @classmethod
    def from_bytes(cls, path: str, data: bytes) -> Source:
        """The source of these bytes, whatever they are; `newline` is that of the first line."""
        text = _decode(data)
        return cls(path, data, text, _newline_of(text))

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """The offset at which each line begins; text after the last line feed counts as a line, nothing does not."""
        found = [0] if self.text else []
        at = self.text.find("\n")
        while 0 <= at < len(self.text) - 1:
            found.append(at + 1)
            at = self.text.find("\n", at + 1)
        return tuple(found)

    @cached_property
    def bad_bytes(self) -> tuple[tuple[int, int], ...]:
        """Each byte that is not UTF-8: the offset in `text` that stands for it, and its value."""
        if REPLACEMENT not in self.text:
            return ()
        escaped = self.data.decode("utf-8", "surrogateescape")
        return tuple((at, ord(ch) - 0xDC00) for at, ch in enumerate(escaped) if "\udc80" <= ch <= "\udcff")

    @property
    def line_count(self) -> int:
        return len(self.starts)

    @property
    def ends_in_newline(self) -> bool:
        return not self.text or self.text.endswith("\n")

    def bounds(self, line: int) -> tuple[int, int]:
        """Offsets of a line (1-based): its start, and the start of what follows its line feed."""
        end = self.starts[line] if line < self.line_count else len(self.text)
        return self.starts[line - 1], end

    def line(self, line: int) -> str:
        """The text of a line (1-based) without its newline; empty beyond the last one."""
        if not 1 <= line <= self.line_count:
            return ""
        start, end = self.bounds(line)
        return self.text[start:end].removesuffix("\n").removesuffix("\r")

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column, both from 1, of an offset; the end of the text lies behind its last character."""
        offset = max(0, min(offset, len(self.text)))
        line = max(1, bisect_right(self.starts, offset))
        return line, offset - (self.starts[line - 1] if self.starts else 0) + 1

    def offset(self, line: int, column: int) -> int:
        """The offset of a line and column, both from 1; kept inside the text."""
        if line > self.line_count:
            return len(self.text)
        return min(self.starts[line - 1] + column - 1, len(self.text))

    def span(self, start: int, end: int) -> Span:
        """The stretch between two offsets, the second exclusive."""
        line, column = self.position(start)
        end_line, end_column = self.position(max(start, end))
        return Span(line, column, end_line, end_column)
