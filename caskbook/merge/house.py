"""house.yaml from three versions: settings go three-way by key, crew by initials, dated values by their day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.merge.lines import Markers, Merged, merge_lines
from caskbook.merge.parts import Tally, head_key, head_order, one_lines
from caskbook.yaml.segments.by_lines import Part, UnreadableError
from caskbook.yaml.source import Source
from caskbook.yaml.text import Reading, read_yaml
from caskbook.yaml.tree import Node, Path

_NAMED_BY = ("initials", "since")


@dataclass(frozen=True)
class _Branch:
    """One key with its lines; `children` where what stands below it can be merged piece by piece, `opening` being its own line."""

    part: Part
    opening: tuple[str, ...] = ()
    children: tuple[_Branch, ...] = field(default=())
    kind: str = ""


@dataclass(frozen=True)
class _Tree:
    branches: tuple[_Branch, ...]
    tail: tuple[str, ...]
    crlf: bool


def merge_house(base: str, ours: str, theirs: str, markers: Markers) -> Merged:
    """Merges three texts of house.yaml. UnreadableError where one of them cannot be taken apart."""
    trees = [_tree(text) for text in (base, ours, theirs)]
    tally = Tally(markers)
    lines = _children((trees[0].branches, trees[1].branches, trees[2].branches), tally)
    lines += merge_lines(trees[0].tail, trees[1].tail, trees[2].tail, markers)
    if markers.shown and not tally.conflicts:
        tally.conflicts.append("the lines below the last key")
    crlf = trees[1].crlf if trees[1].crlf == trees[2].crlf else trees[2 if trees[1].crlf == trees[0].crlf else 1].crlf
    end = "\r\n" if crlf else "\n"
    text = "".join(line + end for line in lines)
    if not tally.conflicts and read_yaml(Source.from_bytes("", text.encode())).refused:
        raise UnreadableError("the settings of both sides do not fit into one layout")
    return Merged(text.encode("utf-8"), tuple(tally.conflicts), tuple(tally.notes))


def _children(sides: tuple[Sequence[_Branch], Sequence[_Branch], Sequence[_Branch]], tally: Tally) -> list[str]:
    maps = [{str(branch.part.key): branch for branch in side} for side in sides]
    base, ours, theirs = ([branch.part for branch in side] for side in sides)
    lines: list[str] = []
    for key in head_order((base, ours, theirs), {}):
        base_one, our_one, their_one = (found.get(key) for found in maps)
        lines += _merged(key, base_one, our_one, their_one, tally)
    return lines


def _merged(key: str, base: _Branch | None, ours: _Branch | None, theirs: _Branch | None, tally: Tally) -> list[str]:
    if ours and theirs and ours.kind and ours.kind == theirs.kind:
        before = base if base is not None and base.kind == ours.kind else None
        opening = Part(key, before.opening, None) if before else None
        lines = one_lines(opening, Part(key, ours.opening, None), Part(key, theirs.opening, None), tally)
        return lines + _children((before.children if before else (), ours.children, theirs.children), tally)
    was, one, other = (branch.part if branch else None for branch in (base, ours, theirs))
    return head_key(key, was, one, other, tally)


def _tree(text: str) -> _Tree:
    """A house.yaml cut into its branches and their lines. UnreadableError where it has errors or is not written in lines."""
    crlf = "\r\n" in text and text.count("\r\n") == text.count("\n")
    plain = text.replace("\r\n", "\n") if crlf else text
    if not plain.strip():
        return _Tree((), (), crlf)
    reading = read_yaml(Source.from_bytes("", plain.encode("utf-8")))
    for found in reading.findings:
        if found.severity == "error":
            raise UnreadableError(f"line {found.span.line}: {found.message}")
    if reading.root is None or reading.root.flow:
        raise UnreadableError("it is not written as `key: value` lines")
    branches, below = _map(reading, reading.root, 1)
    return _Tree(branches, _lines(reading, below, reading.source.line_count), crlf)


def _lines(reading: Reading, first: int, last: int) -> tuple[str, ...]:
    return tuple(reading.source.line(n) for n in range(first, last + 1))


def _map(reading: Reading, node: Node, below: int) -> tuple[tuple[_Branch, ...], int]:
    """The branches of a map whose lines begin at `below`, and the line that follows them."""
    source, branches = reading.source, list[_Branch]()
    for key, place in sorted(node.keys.items(), key=lambda item: item[1]):
        child = node.child(key)
        line = source.position(place[0])[0]
        last = source.position(max(place[1], child.end if child is not None else 0) - 1)[0]
        if line < below or (*node.path, key) in reading.unread:
            raise UnreadableError(f"line {line}: two keys in one line")
        part = Part(str(key), _lines(reading, below, last), child.value if child is not None else None)
        branches.append(_branch(reading, part, child, below, line))
        below = last + 1
    return tuple(branches), below


def _branch(reading: Reading, part: Part, child: Node | None, first: int, line: int) -> _Branch:
    if child is None or child.flow or not child.children or reading.source.position(child.start)[0] <= line:
        return _Branch(part)
    opening = _lines(reading, first, line)
    if child.kind == "mapping":
        return _Branch(part, opening, _map(reading, child, line + 1)[0], "map")
    items = _items(reading, child, line + 1)
    return _Branch(part, opening, items, "list") if items else _Branch(part)


def _items(reading: Reading, node: Node, below: int) -> tuple[_Branch, ...]:
    """The items of a list of maps that each have a name of their own; nothing where they have not."""
    items: list[_Branch] = []
    for index, value in enumerate(node.value):
        name = _name(value)
        path: Path = (*node.path, index)
        first, last = reading.block(path)
        if name is None or first < below:
            return ()
        items.append(_Branch(Part(name, _lines(reading, below, last), value)))
        below = last + 1
    return tuple(items) if len({item.part.key for item in items}) == len(items) else ()


def _name(value: Any) -> str | None:
    """What tells one item of a list from the others: initials, or the day a value starts."""
    if not isinstance(value, dict):
        return None
    found = next((value[key] for key in _NAMED_BY if key in value), None)
    if isinstance(found, date):
        return found.isoformat()
    return found if isinstance(found, str) else None
