"""Taking entries out of a list in brackets again: the opposite of what `edits.into_flow` does."""

from __future__ import annotations

from collections.abc import Collection

from caskbook.core.finding import CaskbookError
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Node


def out_of_brackets(source: Source, node: Node, gone: Collection[int]) -> str:
    """The text without some items of a list in brackets, and without the commas and lines that were theirs alone."""
    text = source.text
    for at in sorted(gone, reverse=True):
        start, end = _stretch(source, node, at, gone)
        if "#" in (text[start : node.children[at].start] + text[node.children[at].end : end]):
            raise CaskbookError(f"{source.path}: a comment stands between the entries of the run")
        text = text[:start] + text[end:]
    return text


def _stretch(source: Source, node: Node, at: int, gone: Collection[int]) -> tuple[int, int]:
    """The offsets between which an item stands with its comma; with its lines where it has them alone."""
    item = node.children[at]
    first, last = source.position(item.start)[0], source.position(item.end - 1)[0]
    start, end = source.bounds(first)[0], source.bounds(last)[1]
    if not (source.text[start : item.start] + source.text[item.end : end]).strip(" ,\r\n"):
        return start, end
    following = [n for n in range(at + 1, len(node.value)) if n not in gone]
    if following:
        return item.start, node.children[at + 1].start
    return (node.children[at - 1].end, item.end) if at else (item.start, item.end)
