"""Losses in tables for people: columns as wide as needed, and the evidence sheet of one cask."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rich.cells import cell_len

from caskbook.render.console import cut, flow, safe

_LEAST_NAME = 4
_MOST_NAME = 3


def table_lines(columns: Sequence[str], rows: Sequence[Sequence[str]], width: int | None, *, gap: int = 2) -> list[str]:
    """Lines in columns as wide as needed, `gap` cells apart; a `>` before a heading sets its column to the right. A first cell that leaves no room for
    the others has a line of its own, and so have remarks."""
    if columns[-1] == "remarks" and not any(row[-1] for row in rows):
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    names = [column.lstrip(">") for column in columns]
    cells = [names, *([safe(cell) for cell in row] for row in rows)]
    wide = [max(cell_len(row[n]) for row in cells) for n in range(len(names))]
    if width is not None:
        behind = sum(size + gap for size, column in zip(wide[1:], columns[1:], strict=True) if column != "remarks")
        wide[0] = min(wide[0], max(width - behind, cell_len(names[0]), _LEAST_NAME))
    heading, *lines = [_line(row, wide, columns, width, gap) for row in cells]
    return [heading[0], *(text for line in lines for text in line)]


def _line(row: Sequence[str], wide: Sequence[int], columns: Sequence[str], width: int | None, gap: int) -> list[str]:
    """A row as a line; its name or its remarks on lines of their own where they would not fit."""
    if cell_len(row[0]) > wide[0]:
        return [*flow([row[0]], width, most_lines=_MOST_NAME), *_line(["", *row[1:]], wide, columns, width, gap)]
    set_out = [_filled(cell, size, right=column.startswith(">")) for cell, size, column in zip(row, wide, columns, strict=True)]
    line = (" " * gap).join(set_out).rstrip()
    if width is None or cell_len(line) <= width or columns[-1] != "remarks" or not row[-1]:
        return [cut(line, width)]
    return [cut((" " * gap).join(set_out[:-1]).rstrip(), width), *("    " + text for text in flow([row[-1]], width - 4))]


def _filled(text: str, size: int, *, right: bool) -> str:
    blank = " " * (size - cell_len(text))
    return blank + text if right else text + blank


def sheet_text(
    parts: Iterable[tuple[str, Sequence[Sequence[str]]]], title: str, foot: Sequence[str], *, width: int | None, pictures: Mapping[str, Sequence[str]]
) -> str:
    """The evidence sheet: a title, named tables (first row the heading, `>` sets a column to the right; a row of one cell is a
    sentence), below the table of its name a picture, and what is said at the foot."""
    lines = [cut(title, width)]
    for name, rows in parts:
        if rows:
            lines += ["", *flow([name], width), *_block(rows, width)]
        lines += ["", *pictures[name]] if name in pictures else []
    return "\n".join([*lines, "", *(line for text in foot for line in flow([text], width))])


def _block(rows: Sequence[Sequence[str]], width: int | None) -> list[str]:
    if len(rows[0]) == 1:
        room = None if width is None else width - 4
        return [f"  {line}" if n == 0 else f"    {line}" for row in rows for n, line in enumerate(flow([row[0]], room, most_lines=6))]
    table = [row for row in rows[1:] if len(row) > 1]
    sentences = [row[0] for row in rows[1:] if len(row) == 1]
    return ["  " + line for line in [*table_lines(rows[0], table, None if width is None else width - 2), *sentences]]
