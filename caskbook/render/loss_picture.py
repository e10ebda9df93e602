"""A fill drawn: its gauges against what a sound cask would hold, over the years, and where the loss begins."""

from __future__ import annotations

import math

from caskbook.loss.drawing import Drawing, Mark
from caskbook.render.console import cut

ROWS = 12
USUAL_WIDTH, MOST_WIDTH = 78, 100
_LEFT = 7
GAUGE, BAND, BEGINS = "●", "░", "▲"


def picture(drawing: Drawing, *, width: int | None) -> list[str]:
    """Lines of text, `width` cells at most: percent of the first gauge's alcohol upwards, years to the right."""
    cells = min(MOST_WIDTH, width or USUAL_WIDTH) - _LEFT - 1
    marks = drawing.marks
    years = max(mark.years for mark in marks) or 1.0
    lowest = min(min(mark.kept, mark.least) for mark in marks)
    floor = max(0.0, math.floor(lowest * 20) / 20)
    rows = [[" "] * cells for _ in range(ROWS)]
    for column in range(cells):
        least, most = _between(marks, years * column / max(1, cells - 1))
        for row in range(_row(most, floor), _row(least, floor) + 1):
            rows[row][column] = BAND
    for mark in marks:
        rows[_row(mark.kept, floor)][_column(mark.years, years, cells)] = GAUGE
    lines = [f"{_percent(row, floor):>5} ┤{''.join(cells_of).rstrip()}" for row, cells_of in enumerate(rows)]
    return [cut(line, width) for line in [*lines, *_foot(drawing, years, cells)]]


def _row(share: float, floor: float) -> int:
    """The row of a share of the alcohol, 0 at the top."""
    return min(ROWS - 1, max(0, round((1.0 - share) / (1.0 - floor) * (ROWS - 1))))


def _column(years: float, most: float, cells: int) -> int:
    return round(years / most * (cells - 1))


def _percent(row: int, floor: float) -> str:
    return f"{100 * (1 - row / (ROWS - 1) * (1 - floor)):.0f} %" if row % 3 == 0 or row == ROWS - 1 else ""


def _between(marks: tuple[Mark, ...], years: float) -> tuple[float, float]:
    """(least, most) that a sound cask would hold so many years after the first gauge, on lines between the gauges."""
    for one, other in zip(marks, marks[1:], strict=False):
        if years <= other.years or other is marks[-1]:
            part = (years - one.years) / (other.years - one.years) if other.years > one.years else 1.0
            return one.least + part * (other.least - one.least), one.most + part * (other.most - one.most)
    return marks[-1].least, marks[-1].most


def _foot(drawing: Drawing, years: float, cells: int) -> list[str]:
    """The line of years, where the loss begins, and what the signs mean."""
    marks = drawing.marks
    first, last = str(marks[0].day), str(marks[-1].day)
    axis = " " * (_LEFT - 1) + "└" + "─" * cells
    days = " " * _LEFT + first + " " * max(1, cells - len(first) - len(last)) + last
    lines = [axis, days]
    if drawing.begins is not None:
        left, right = (_column(marks[place].years, years, cells) for place in drawing.begins)
        room = [" "] * cells
        room[left : right + 1] = [BEGINS] * (right + 1 - left)
        lines.insert(1, (" " * _LEFT + "".join(room)).rstrip())
    lines += [f"{GAUGE} gauge, % of the alcohol at the first  {BAND} a sound cask: below it the house acts"]
    return lines if drawing.begins is None else [*lines, f"{BEGINS} the loss begins between {marks[drawing.begins[0]].day} and {marks[drawing.begins[1]].day}"]
