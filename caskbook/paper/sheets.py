"""Sheets of one cask on a page of A4: blocks of named rows, cells side by side, commands, and room to sign."""

from __future__ import annotations

import re
from collections.abc import Iterator

from caskbook.paper.label import PAPERS
from caskbook.paper.letters import fitted, folded, width_of
from caskbook.paper.shapes import Box, Page, Words
from caskbook.render.retirement_sheet import Block, Row, Sheet, command_lines

_EDGE = 14.0
_NAME = 25.0
_FIRST_CELL = 0.55
_SIZES = (3.0, 2.8, 2.6, 2.4, 2.2, 2.0, 1.8)
"""Sizes of letters, mm: the first with which all goes on one page."""
_LINE = 1.32
_MOST = 4
_TICK = "[ ]"
_TICK_OR_RULE = re.compile(r"(\[ \]|_+)")
_HAND = 2.1
"""How much higher lines are that are written into by hand."""


def page_of(sheet: Sheet, paper: str = "A4") -> Page:
    """The page of a sheet, in letters as large as it has room for."""
    width, height = PAPERS[paper]
    page = Page(width, height)
    for size in _SIZES:
        page = Page(width, height, list(_laid(sheet, width, size)))
        if _depth(page) <= height - _EDGE:
            break
    return page


def _depth(page: Page) -> float:
    return max((one.y + (one.height if isinstance(one, Box) else 0) for one in page.shapes), default=0)


def _laid(sheet: Sheet, width: float, size: float) -> Iterator[Box | Words]:
    """All lines from above, in letters of one size."""
    y, room = _EDGE + size, width - 2 * _EDGE
    for at, line in enumerate(sheet.top):
        big = size * 1.5 if not at else size
        y += big * (_LINE if at else 0.6)
        yield fitted(_EDGE, y, room, big, " ".join(line.split()), bold=not at, least=size * 0.7)
    for block in sheet.blocks:
        y += size * _LINE * 1.75
        yield fitted(_EDGE, y, room, size * 1.08, block.head, bold=True, least=size * 0.7)
        yield Box(_EDGE, y + size * 0.3, room, 0.15)
        for row in block.rows:
            shapes = list(_row(row, block, y, room, size))
            yield from shapes
            y = max((one.y for one in shapes if isinstance(one, Words)), default=y + size * _LINE)
    yield fitted(_EDGE, y + size * _LINE * 2, room, size, sheet.foot, least=size * 0.7)


def _row(row: Row, block: Block, y: float, room: float, size: float) -> Iterator[Box | Words]:
    """A row below the line at y: its name, and its cells beside each other."""
    if block.room:
        yield from _by_hand(" ".join(row.cells[0]), y + size * _LINE * _HAND, room, size)
        return
    if row.name:
        yield fitted(_EDGE + 1, y + size * _LINE, _NAME - 2, size, row.name, bold=row.command, least=size * 0.7)
    x, left = _EDGE + _NAME, room - _NAME
    shares = (1.0,) if len(row.cells) == 1 else (_FIRST_CELL, 1 - _FIRST_CELL)
    for cell, share in zip(row.cells, shares, strict=True):
        wide = left * share - (2 if share < 1 else 0)
        if row.command:
            lines = [line for text in cell for line in command_lines(text, wide, lambda part: width_of(part, size))]
        else:
            lines = folded(" · ".join(cell), wide, size, _MOST)
        yield from (fitted(x, y + (at + 1) * size * _LINE, wide, size, line) for at, line in enumerate(lines))
        x += left * share


def _by_hand(text: str, y: float, room: float, size: float) -> Iterator[Box | Words]:
    """A line to be written into: each tick is a box, and each stretch of underscores a rule, its length as the text has it."""
    parts = [part for part in _TICK_OR_RULE.split(text) if part.strip()]
    pieces = [(part, _wide(part, size)) for part in parts]
    scale = min(1.0, room / sum(wide for _, wide in pieces))
    x = _EDGE
    for part, wide in pieces:
        if part == _TICK:
            yield Box(x, y - size, size, size, edge=0.2)
        elif set(part) == {"_"}:
            yield Box(x, y + size * 0.25, wide * scale * 0.97, 0.15)
        else:
            yield fitted(x, y, wide * scale, size, part.strip())
        x += wide * scale
    yield Words(_EDGE, y, size, "", 0)


def _wide(part: str, size: float) -> float:
    return size * 1.6 if part == _TICK else width_of(part.strip(), size) + size
