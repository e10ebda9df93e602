"""What one YAML file is read into: nodes with their places, and the outcome of one pass over the text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from caskbook.core.finding import Finding
from caskbook.yaml.words import SyntaxFault

Path = tuple[str | int, ...]
Kind = Literal["mapping", "sequence", "scalar"]

MOST_ALIASED = 10_000
"""Values that aliases may stand for in one file; beyond it they are left out, so a small file cannot unfold into a huge one."""


@dataclass(slots=True, eq=False)
class Node:
    """A value and its place (offsets into the file's text); `readable` is false where its value had to be left out."""

    kind: Kind
    start: int
    end: int
    value: Any = None
    path: Path = ()
    flow: bool = False
    plain: bool = False
    keys: dict[str | int, tuple[int, int]] = field(default_factory=dict)
    children: dict[str | int, Node] = field(default_factory=dict)
    readable: bool = True

    def child(self, step: str | int) -> Node | None:
        return self.children.get(step)


@dataclass(slots=True, eq=False)
class Frame:
    """A map or list being read: in a map, `key` is the key whose value comes next, `drop` that it is not kept,
    `mute` that faults of values are not told."""

    node: Node
    key: str | None = None
    wants_key: bool = True
    drop: bool = False
    is_key: bool = False
    mute: bool = False


@dataclass
class Outcome:
    """What one pass over the events gave; `stopped`: refused at a place where reading on makes no sense; `twice`: paths
    that stand there twice, each time with something else."""

    root: Node | None = None
    findings: list[Finding] = field(default_factory=list)
    unread: set[Path] = field(default_factory=set)
    twice: set[Path] = field(default_factory=set)
    broken: SyntaxFault | None = None
    stopped: bool = False
    long_quote: int | None = None


def ends(node: Node) -> Iterator[int]:
    """The offsets at which the keys and values of a map or list end."""
    yield from (place[1] for place in node.keys.values())
    yield from (child.end for child in node.children.values())


def told_otherwise(holder: Node, key: str | None, again: Node) -> set[Path]:
    """The path of a value that was dropped, where its key stood in the map before and says something else there: then nobody knows which one holds."""
    first = holder.children.get(key) if key is not None else None
    if first is None or (first.readable and again.readable and repr(first.value) == repr(again.value)):
        return set()
    return {first.path}


def size_of(node: Node) -> int:
    """How many values a node holds, counted up to a little beyond MOST_ALIASED."""
    total, todo = 0, [node.value]
    while todo and total <= MOST_ALIASED:
        value = todo.pop()
        total += 1
        if isinstance(value, dict):
            todo += value.values()
        elif isinstance(value, list):
            todo += value
    return total


def behind_colon(text: str, frame: Frame, start: int) -> int:
    """Where an absent value belongs; the parser gives the place of whatever comes next."""
    if frame.drop or frame.key is None:
        return start
    key_end = frame.node.keys.get(frame.key, (start, start))[1]
    return text.find(":", key_end, start) + 1 or start


def block_end(text: str, value: str, end: int) -> int:
    """A block of text ends with its last line; blank lines below belong to it only where it keeps them."""
    return end if value.endswith("\n\n") else len(text[:end].rstrip())
