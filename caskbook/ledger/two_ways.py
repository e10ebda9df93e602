"""Values that a new version of a file writes so that readers of YAML take them in two ways, where the old one left no doubt: 0175 for 175."""

from __future__ import annotations

from collections.abc import Iterator

from caskbook.yaml.document import Document
from caskbook.yaml.tree import Node, Path

_CODE = "ambiguous-word"


def two_ways(document: Document) -> dict[Path, str]:
    """Path → word as written, of every value that readers take in two ways."""
    places = {(one.span.line, one.span.column) for one in document.findings if one.code == _CODE}
    found: dict[Path, str] = {}
    todo: list[tuple[Path, Node]] = [((), document.reading.root)] if places and document.reading.root is not None else []
    while todo:
        path, node = todo.pop()
        if node.kind == "scalar" and document.source.position(node.start) in places:
            found[path] = document.source.text[node.start : node.end]
        todo += [((*path, step), child) for step, child in node.children.items()]
    return found


def rewritten(old: Document, doubtful: dict[Path, str], was_at: Path, is_at: Path) -> Iterator[tuple[str, str, str]]:
    """(key, old text, new text) of each value below a place, in an event or the head, that stood there otherwise written and is in doubt now."""
    for path, text in doubtful.items():
        below = path[len(is_at) :]
        was = old.reading.exact((*was_at, *below)) if path[: len(is_at)] == is_at and below else None
        if was is not None and (before := old.source.text[was.start : was.end]) != text:
            yield str(below[0]), before, text
