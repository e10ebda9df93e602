"""A curve of service drawn in text: the share that still serves with its band, and under the axis, at round ages, what the curve says there."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from caskbook.render.console import cut
from caskbook.stats.service import Served, Unit
from caskbook.stats.survival import Span, Step

ROWS = 11
MOST_WIDTH = 100
LEVEL, DROP, BAND = "━", "┃", "░"
_AGE_CELLS, _FINE_CELLS, _FINE = 8, 12, 0.9
"""How many cells an age takes under the axis, and with tenths of a percent; from which foot of the picture on these are told."""


def picture(one: Served, unit: Unit, *, width: int) -> list[str]:
    """Lines of at most `width` cells; none of a group without a curve."""
    if one.stretch is None:
        return []
    left = max(len("still serve"), *(len(kind) for kind in one.ends)) + 2
    cells = min(MOST_WIDTH, width) - left - 2
    frame = _Frame(one.stretch, cells, _floor(one.steps))
    rows = [f"{_percent(row, frame.floor):>{left - 1}} ┤{''.join(line).rstrip()}" for row, line in enumerate(_drawn(one.steps, frame))]
    marks = one.ages(max(2, cells // (_AGE_CELLS if frame.floor < _FINE else _FINE_CELLS)))
    at = {frame.column(age) for age in marks}
    axis = " " * left + "└" + "".join("┴" if column in at else "─" for column in range(cells))
    under = [_under(name, texts, frame, left, cells) for name, texts in _told(one, marks, unit, fine=frame.floor >= _FINE)]
    return [cut(line, width) for line in [*rows, axis, *under]]


class _Frame:
    """Where an age and a share stand: the beginning of the stretch at the left, its end at the right; all at the top, `floor` at the foot."""

    def __init__(self, stretch: Span, cells: int, floor: float) -> None:
        self.first, self.last, self.cells, self.floor = max(0.0, stretch.since or 0.0), stretch.until, cells, floor

    def column(self, age: float) -> int:
        """The column of an age, 0 at the left."""
        room = self.last - self.first
        return round((age - self.first) / room * (self.cells - 1)) if room > 0 else 0

    def row(self, share: float) -> int:
        """The row of a share, 0 at the top."""
        return min(ROWS - 1, max(0, round((1.0 - share) / (1.0 - self.floor) * (ROWS - 1))))

    def age(self, column: int) -> float:
        """The age of a column."""
        return self.first + (self.last - self.first) * column / max(1, self.cells - 1)


def _drawn(steps: Sequence[Step], frame: _Frame) -> list[list[str]]:
    """The rows of the picture from 100 % down: the band, the curve on it, and where the curve falls the drop."""
    rows = [[" "] * frame.cells for _ in range(ROWS)]
    before = 0
    for column in range(frame.cells):
        step = step_at(steps, frame.age(column))
        share, band = (step.survival, step.band) if step else (1.0, None)
        if band is not None:
            for row in range(frame.row(band[1]), frame.row(band[0]) + 1):
                rows[row][column] = BAND
        row = frame.row(share)
        for between in range(before + 1, row):
            rows[between][column] = DROP
        rows[row][column] = LEVEL
        before = row
    return rows


def _floor(steps: Sequence[Step]) -> float:
    """The share at the foot: 0, or where hardly any end a round one below the band, that the fall can be seen."""
    lowest = min((step.band[0] if step.band else step.survival for step in steps), default=0.0)
    return next((floor for floor in (0.98, 0.95, 0.9, 0.8, 0.5) if lowest > floor), 0.0)


def _percent(row: int, floor: float) -> str:
    return f"{100 - 100 * (1 - floor) * row / (ROWS - 1):g} %" if row % 5 == 0 else ""


def step_at(steps: Sequence[Step], age: float) -> Step | None:
    """The last step up to an age; None before the first."""
    at = bisect_right([step.time for step in steps], age + 1e-9)
    return steps[at - 1] if at else None


def _told(one: Served, marks: Sequence[float], unit: Unit, *, fine: bool) -> list[tuple[str, list[tuple[float, str]]]]:
    """(name, (age, text) in order) of each line under the axis."""
    found = {age: step_at(one.steps, age) for age in marks}
    lines = [
        (unit, [(age, f"{age:g}") for age in found]),
        ("at risk", [(age, str(one.at_risk(age))) for age in marks]),
        ("still serve", [(age, share(step.survival if step else 1.0, fine=fine)) for age, step in found.items()]),
        ("95 % band", [(age, _band(step, fine=fine)) for age, step in found.items()]),
    ]
    return lines + [(kind, [(age, share(step.incidence.get(kind, 0.0) if step else 0.0, fine=fine)) for age, step in found.items()]) for kind in one.ends]


def _band(step: Step | None, *, fine: bool) -> str:
    if step is None or step.band is None:
        return "-"
    return "-".join(f"{100 * edge:.{int(fine)}f}" for edge in step.band)


def share(part: float, *, fine: bool = False) -> str:
    """A share in whole percent, `fine` in tenths; what is little but not nothing, or nearly all but not all, is told so."""
    least = 0.001 if fine else 0.01
    if 0 < part < least / 2:
        return f"<{100 * least:g} %"
    if 1 - least / 2 <= part < 1:
        return f">{100 - 100 * least:g} %"
    return f"{100 * part:.{int(fine)}f} %"


def _under(name: str, texts: Sequence[tuple[float, str]], frame: _Frame, left: int, cells: int) -> str:
    """A line under the axis: its name, and each text centred below its age."""
    room = [" "] * (cells + 2)
    for age, text in texts:
        at = min(max(0, frame.column(age) + 1 - len(text) // 2), len(room) - len(text))
        room[at : at + len(text)] = text
    return f"{name:<{left}}{''.join(room)}".rstrip()
