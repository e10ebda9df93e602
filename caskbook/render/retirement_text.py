"""The retirement sheet as plain text: one page of 80 columns and 60 lines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from rich.cells import cell_len

from caskbook.render.console import cut, flow, pad, safe
from caskbook.render.retirement_sheet import Block, Row, Sheet, command_lines, sheet_of
from caskbook.work.retirement import Retirement

WIDTH, LINES = 80, 60
_NAME = 13
_FIRST_CELL = 36
_GAP = 2
_MOST = 3
"""Lines that a row which may be cut takes at most."""


def page_text(found: Retirement) -> str:
    """The page, no line wider than 80 cells, and no more than 60 of them: rows are shortened where it is full, the first ones last, which an ellipsis shows."""
    sheet = sheet_of(found, width=WIDTH)
    apart = len(_laid_out(sheet, [], apart=True)) <= LINES
    most: list[int] = []
    for level in range(2, _MOST + 1):
        for at in range(sum(len(block.rows) for block in sheet.blocks)):
            raised = [*most, *[1] * (at + 1 - len(most))]
            raised[at] = level
            most = raised if len(_laid_out(sheet, raised, apart=apart)) <= LINES else most
    return "\n".join(_laid_out(sheet, most, apart=apart)[:LINES])


def _laid_out(sheet: Sheet, most: Sequence[int], *, apart: bool) -> list[str]:
    """The lines of the page. `most`: how many lines each row takes at most, 1 where it says nothing; `apart`: blank lines part the blocks."""
    lines, at = list(sheet.top), 0
    for block in sheet.blocks:
        lines += [*([""] if apart else []), cut(block.head, WIDTH)]
        for row in block.rows:
            lines += _row(row, block, most[at] if at < len(most) else 1)
            at += 1
    return [*lines, *([""] if apart else []), sheet.foot]


def _row(row: Row, block: Block, most: int) -> Iterator[str]:
    """The row below its name; cells side by side begin each at its own column; what is written into by hand has the whole width."""
    if block.room:
        yield from (f"  {line}" for cell in row.cells for line in cell)
        return
    room = WIDTH - _NAME
    if row.command:
        columns = [_commands(row.cells[0], room)]
    elif len(row.cells) > 1:
        columns = [flow(row.cells[0], _FIRST_CELL, most_lines=most + 1), flow(row.cells[1], room - _FIRST_CELL - _GAP, most_lines=most + 1)]
    elif block.cut:
        columns = [_kept(flow(row.cells[0], room, most_lines=most), most, room)]
    else:
        columns = [textwrap.wrap(safe(" ".join(row.cells[0])), room, break_long_words=False, break_on_hyphens=False)]
    for at in range(max(map(len, columns))):
        name = pad(f"  {row.name}" if not at else "", _NAME)
        cells = [column[at] if at < len(column) else "" for column in columns]
        yield (name + (cells[0] if len(cells) == 1 else pad(cells[0], _FIRST_CELL + _GAP) + cells[1])).rstrip()


def _kept(lines: list[str], most: int, room: int) -> list[str]:
    """The first lines of a row, an ellipsis behind the last where there are more."""
    return lines if len(lines) <= most else [*lines[: most - 1], cut(f"{lines[most - 1].rstrip('… ')} · {lines[most]}", room)]


def _commands(commands: Sequence[str], room: int) -> list[str]:
    """Commands in lines, several on one where there is room for them."""
    lines: list[str] = []
    for command in commands:
        new = command_lines(command, room, cell_len)
        if lines and len(new) == 1 and cell_len(lines[-1]) + cell_len(new[0]) + 2 <= room:
            lines[-1] += f"; {new[0]}"
        else:
            lines += new
    return lines
