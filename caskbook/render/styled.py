"""Text with styles: what is bold or struck stands beside the text. Rich, which turns it into codes, is slow to load and needed
only for a terminal.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Span(NamedTuple):
    """A style from one sign of the text up to another."""

    start: int
    end: int
    style: str


class Styled:
    """A text, and the spans of it that are bold or struck."""

    def __init__(self, plain: str, spans: Iterable[Span] = ()) -> None:
        self.plain = plain
        self.spans = list(spans)

    def __len__(self) -> int:
        return len(self.plain)

    def stylize(self, style: str, start: int, end: int) -> None:
        """Give a style to a part."""
        self.spans.append(Span(start, end, style))

    def append(self, text: str) -> None:
        """Put plain text behind it."""
        self.plain += text

    def join(self, parts: Iterable[Styled]) -> Styled:
        """The parts with this text between them, each with its styles."""
        whole, spans = "", []
        for n, part in enumerate(parts):
            whole += self.plain if n else ""
            spans += [Span(span.start + len(whole), span.end + len(whole), span.style) for span in part.spans]
            whole += part.plain
        return Styled(whole, spans)
