"""The grid on the screen: prompt_toolkit draws it and reads its keys; it is loaded here and nowhere else."""

from __future__ import annotations

import os
from shutil import get_terminal_size
from textwrap import wrap

from prompt_toolkit.application import Application
from prompt_toolkit.formatted_text import StyleAndTextTuples
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.layout import Layout, Window
from prompt_toolkit.layout.controls import FormattedTextControl
from prompt_toolkit.output import ColorDepth

from caskbook.cli.entering.tell_and_write import safe
from caskbook.entry.grid import Grid, GridColumn, GridRow
from caskbook.words.plural import number_of

_KEYS = '" row above · = cell above · Enter next · Tab, arrows move · ^S write · ^C leave'
_AROUND = 6
"""Lines that are not of rows: head, headings, hint, answer, keys, and one to spare."""
_CASK = 12
_BOLD, _HERE, _WRONG, _DIM = "bold", "reverse", "bold fg:ansired", "fg:ansigray"


def type_in(grid: Grid, title: str, *, judged: bool) -> bool:
    """Let somebody type; True where all is to be written, and with `judged` every row goes into the book, False where it is left."""
    keys = _bindings(grid, judged=judged)
    window = Window(FormattedTextControl(lambda: shown(grid, title, *get_terminal_size()), focusable=True, show_cursor=False), wrap_lines=False)
    depth = ColorDepth.DEPTH_1_BIT if os.environ.get("NO_COLOR") else None
    app: Application[bool] = Application(layout=Layout(window), key_bindings=keys, full_screen=True, erase_when_done=True, color_depth=depth)
    app.ttimeoutlen = 0.05
    return bool(app.run())


def _bindings(grid: Grid, *, judged: bool) -> KeyBindings:
    """What each key does."""
    keys = KeyBindings()
    moves = {"up": (-1, 0), "down": (1, 0), "left": (0, -1), "right": (0, 1), "tab": (0, 1), "s-tab": (0, -1), "pageup": (-10, 0), "pagedown": (10, 0)}
    for name, (down, right) in moves.items():
        keys.add(name)(lambda event, down=down, right=right: _heard(event, grid, lambda: grid.go(down, right)))
    keys.add("enter")(lambda event: _heard(event, grid, grid.enter))
    for name in ("backspace", "delete"):
        keys.add(name)(lambda event: _heard(event, grid, grid.rub_out))

    @keys.add("c-s")
    @keys.add("f2")
    def _write(event: KeyPressEvent) -> None:
        if not grid.settle():
            return
        if not grid.filled():
            grid.said = "nothing is filled in"
        elif not judged or grid.check_all():
            event.app.exit(result=True)

    @keys.add("c-c")
    @keys.add("c-d")
    def _leave(event: KeyPressEvent) -> None:
        grid.settle()
        event.app.exit(result=False)

    @keys.add(Keys.BracketedPaste)
    @keys.add(Keys.Any)
    def _typed(event: KeyPressEvent) -> None:
        for sign in event.data:
            if sign.isprintable():
                _heard(event, grid, lambda sign=sign: grid.sign(sign))

    return keys


def _heard(event: KeyPressEvent, grid: Grid, act: object) -> None:
    """Do it; a bell where something is wrong."""
    assert callable(act)
    grid.bell = False
    act()
    if grid.bell:
        event.app.output.bell()


def shown(grid: Grid, title: str, columns: int, lines: int) -> StyleAndTextTuples:
    """The screen: whose sheet, the columns that there is room for, the rows around the cursor, what is wrong below its row, and the keys."""
    wide = max(columns, 40)
    first, last = _in_sight(grid, wide)
    some = list(grid.columns[first:last])
    out: StyleAndTextTuples = [(_BOLD, _cut(title, wide) + "\n"), (_DIM, _cut(_headings(grid, some, first), wide) + "\n")]
    body: list[StyleAndTextTuples] = []
    starts = []
    for n, row in enumerate(grid.rows):
        starts.append(len(body))
        body += _row_lines(grid, n, row, some, wide)
    room = max(lines - _AROUND, 3)
    top = max(0, min(starts[grid.row] - room // 2, len(body) - room))
    for line in body[top : top + room]:
        out += [*line, ("", "\n")]
    wrong = sum(1 for row in grid.rows if row.fault)
    count = f"{len(grid.filled())} of {number_of(len(grid.rows), 'row')} filled in" + (f", {wrong} wrong" if wrong else "")
    must = " (must be given)" if grid.column.must else ""
    out += [
        (_DIM, _cut(f"{safe(grid.column.hint)}{must}", wide) + "\n"),
        (_WRONG if grid.bell else "", _cut(safe(grid.said) or count, wide) + "\n"),
        (_DIM, _cut(_KEYS, wide)),
    ]
    return out


def _in_sight(grid: Grid, wide: int) -> tuple[int, int]:
    """The first column that is shown, and the one behind the last, the cursor's among them."""
    first, room = 0, wide - _CASK - _about(grid)
    while first < grid.col and sum(one.width + 1 for one in grid.columns[first : grid.col + 1]) > room:
        first += 1
    last = grid.col + 1
    while last < len(grid.columns) and sum(one.width + 1 for one in grid.columns[first : last + 1]) <= room:
        last += 1
    return first, last


def _about(grid: Grid) -> int:
    return min(max((len(row.about) for row in grid.rows), default=0), 10) + 1


def _headings(grid: Grid, some: list[GridColumn], first: int) -> str:
    more = "<" if first else " "
    return " " * (_CASK + _about(grid) - 1) + more + " ".join(f"{one.title + ('*' if one.must else ''):<{one.width}}" for one in some)


def _row_lines(grid: Grid, n: int, row: GridRow, some: list[GridColumn], wide: int) -> list[StyleAndTextTuples]:
    """The line of a row, and below it what is wrong with it."""
    mark = "!" if row.fault else ">" if n == grid.row else " "
    line: StyleAndTextTuples = [(_WRONG if row.fault else _BOLD if n == grid.row else "", f"{mark} {safe(row.cask):<{_CASK - 2}}")]
    line.append((_DIM, f"{safe(row.about)[:10]:<{_about(grid)}}"))
    for one in some:
        here = n == grid.row and one is grid.column
        text = grid.typing if here and grid.typing is not None else row.cells.get(one.key)
        known = text if text is not None else grid.alike.get(one.key, "") if row.cells else ""
        shown_text = safe(known)[-one.width :] if here and grid.typing else _cut(safe(known), one.width)
        style = _HERE if here else _WRONG if row.at == one.key else _DIM if text is None else ""
        line += [(style, f"{shown_text:<{one.width}}"), ("", " ")]
    said = wrap(safe(row.fault).removeprefix(row.cask).strip(), wide, initial_indent="    ^ ", subsequent_indent="      ", max_lines=2, placeholder=" …")
    below: list[StyleAndTextTuples] = [[(_WRONG, text)] for text in said]
    return [line, *below]


def _cut(text: str, wide: int) -> str:
    return text if len(text) <= wide else text[: wide - 1] + "…"
