"""What a sign that cannot be seen touches is not known: a value beside one may be read otherwise than a person sees it."""

from __future__ import annotations

from collections.abc import Iterator

from caskbook.yaml.repair import holders
from caskbook.yaml.scan import CONTROL
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Node, Path

_EVENTS: Path = ("events",)


def take_touched(source: Source, root: Node, skipped: int) -> set[Path]:
    """Take out of a file's data what a hidden sign touches; the paths of it, and of the maps that one may have touched.

    A value is touched by a sign in it, in its key, or anywhere on the lines of both, a comment behind it included; in brackets,
    between the values around it. A sign in a line of comment takes out only a value that the line may go on with. The list `events` and what stands in it stay:
    each entry is judged by itself. Where there is a sign at all, no value is taken over from another place by an alias either.
    """
    signs = [match.start() for match in CONTROL.finditer(source.text, skipped)]
    lost, held, covered = set[Path](), set[Path](), set[int]()
    for holder, node, stretches in _values(source, root):
        inside = [at for at in signs if any(start <= at < end for start, end in stretches)]
        covered.update(inside)
        alias = node.kind == "scalar" and not node.plain and source.text.startswith("*", node.start)
        if node.path != _EVENTS and (inside or alias):
            lost.add(node.path)
            _take(holder, node)
        elif hides(node.value):
            held.add(node.path)
        if inside and any(start <= at < end for at in inside for start, end in holder.keys.values()):
            held.add(holder.path)
    for line in sorted({source.position(at)[0] for at in signs if at not in covered}):
        held |= holders(source, root, line)
        lost |= _gone_on(source, root, line)
    return lost | (held - {(), _EVENTS})


def _gone_on(source: Source, root: Node, line: int) -> set[Path]:
    """The value that a line of no value may go on with, as it stands deeper than that value's key; it is taken out."""
    start = source.bounds(line)[0]
    before = [(node.end, holder, node) for holder, node, _ in _values(source, root) if node.kind == "scalar" and node.end <= start]
    if not before:
        return set()
    _, holder, node = max(before, key=lambda found: found[0])
    key = holder.keys.get(node.path[-1], (node.start, node.end))
    text = CONTROL.sub(" ", source.line(line))
    if len(text) - len(text.lstrip(" ")) < source.position(key[0])[1]:
        return set()
    _take(holder, node)
    return {node.path}


def _take(holder: Node, node: Node) -> None:
    step = node.path[-1]
    if node.path[:-1] == _EVENTS:
        return
    node.readable = False
    if isinstance(holder.value, list) and isinstance(step, int):
        holder.value[step] = None
    else:
        holder.value.pop(step, None)


def hides(value: object) -> bool:
    """Whether a value is a text with such a sign in it, by an escape."""
    return isinstance(value, str) and CONTROL.search(value) is not None


def _values(source: Source, root: Node) -> Iterator[tuple[Node, Node, list[tuple[int, int]]]]:
    """(what holds it, the value, the stretches of text in which a sign touches it) of every value."""
    todo = [root]
    while todo:
        holder = todo.pop()
        last = holder.start
        for step, node in list(holder.children.items()):
            todo.append(node)
            key = holder.keys.get(step)
            start = (
                (last if node is next(iter(holder.children.values())) else _comma(source, last, node.start))
                if holder.flow
                else _line(source, key[0] if key else node.start)[0]
            )
            end = _comma(source, node.end, _next(holder, node)) if holder.flow else _line(source, max(node.start, node.end - 1))[1]
            if node.kind == "scalar":
                yield holder, node, [(start, end)]
            elif node.flow:
                yield holder, node, [(start, node.start), (node.end, end)]
            else:
                yield holder, node, [(start, _line(source, key[1])[1])] if key else []
            last = node.end


def _comma(source: Source, start: int, end: int) -> int:
    """Where the comma between two values in brackets stands; `end` where there is none."""
    found = source.text.find(",", start, end)
    return found if found >= 0 else end


def _next(holder: Node, node: Node) -> int:
    """Where, in brackets, what comes behind a value begins."""
    begins = [*(start for start, _ in holder.keys.values()), *(other.start for other in holder.children.values())]
    return min([start for start in begins if start >= node.end], default=holder.end)


def _line(source: Source, offset: int) -> tuple[int, int]:
    return source.bounds(source.position(offset)[0])
