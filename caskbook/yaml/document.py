"""One cask file as read: its data, its findings, the place of each value, and the lines each event owns."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from caskbook.core.finding import Finding, Span
from caskbook.yaml.fast_places import read_places
from caskbook.yaml.source import Source
from caskbook.yaml.text import Reading
from caskbook.yaml.tree import Node, Path

EVENTS = "events"


@dataclass(frozen=True)
class Document:
    """A cask file; `data` is None where it is refused as a whole, `findings` tells why."""

    reading: Reading

    @property
    def source(self) -> Source:
        return self.reading.source

    @property
    def data(self) -> dict[str, Any] | None:
        data = self.reading.data
        return data if isinstance(data, dict) else None

    @property
    def findings(self) -> list[Finding]:
        return self.reading.findings

    @property
    def unread(self) -> frozenset[Path]:
        """Paths whose value could not be read, so that it is not called missing as well; also those that stand there twice, each with something else."""
        return self.reading.unread | self._twice

    @property
    def why(self) -> Mapping[Path, str]:
        """Of each such path the code of the finding that tells of it."""
        return {**self.reading.why, **dict.fromkeys(self._twice, "duplicate-key")} if self._twice else self.reading.why

    @property
    def _twice(self) -> frozenset[Path]:
        """Of a second list of entries it is told how much is not read."""
        return self.reading.twice - {(EVENTS,)}

    def span(self, path: Path, key: bool = False) -> Span:
        """The place of a value, or of its key; of the nearest existing ancestor where it is missing."""
        return self.reading.span(path, key)

    @property
    def events_node(self) -> Node | None:
        """The list of events as it stands in the text; None where there is none."""
        node = self.reading.exact((EVENTS,))
        return node if node is not None and node.kind == "sequence" else None

    @property
    def event_count(self) -> int:
        node = self.events_node
        return len(node.value) if node is not None else 0

    def event_lines(self, index: int) -> tuple[int, int]:
        """First and last line of an event, with the comments that belong to it.

        Comments above an event belong to it; so do comments straight below its last line that are indented deeper than
        its dash.
        """
        first, last = self.reading.block((EVENTS, index))
        node = self.events_node
        if node is None or node.flow:
            return first, last
        above = self._own_end(node, index - 1) if index else self._line_of_key()
        start = next((line for line in range(above + 1, first) if self.source.line(line).strip()), first)
        return start, self._own_end(node, index)

    def _line_of_key(self) -> int:
        return self.span((EVENTS,), key=True).end_line

    def _own_end(self, node: Node, index: int) -> int:
        last = self.reading.block((EVENTS, index))[1]
        column = self.source.position(node.start)[1]
        while _is_comment_beyond(self.source.line(last + 1), column):
            last += 1
        return last


def _is_comment_beyond(line: str, column: int) -> bool:
    text = line.lstrip(" ")
    return text.startswith("#") and len(line) - len(text) >= column


def read_document(source: Source, *, fast: bool = True) -> Document:
    """Reads one cask file. Never raises for what it holds. The document is the same with `fast` or without."""
    return Document(read_places(source, fast=fast))
