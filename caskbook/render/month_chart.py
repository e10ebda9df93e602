"""A control chart drawn in text: a column for each month with its share, its limits and the middle; what lies outside is another sign."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.render.console import cut
from caskbook.stats.control_chart import Chart, Mark, Month

ROWS, MOST_MONTHS, _LEFT = 11, 24, 8
SIGNS: dict[Mark, str] = {"within": "o", "above": "X", "below": "X", "small": ".", "none": " "}
LIMIT, MIDDLE = "-", "="
LEGEND = ("o a month", "X outside its limits", ". too few to tell, at the top so many or more", "= the middle", "- limits")


def chart_lines(chart: Chart, *, width: int) -> list[str]:
    """Lines of at most `width` cells with the last months that there is room for, 24 at the most; none of a chart without months."""
    cells = 3 if all(month.of < 100 for month in chart.months[-MOST_MONTHS:]) else 4
    months = chart.months[-min(MOST_MONTHS, max(1, (width - _LEFT) // cells)) :]
    if not months or chart.middle is None:
        return []
    top = _top(months, chart.middle)
    columns = [_column(month, chart.middle, top) for month in months]
    rows = [f"{_percent(row, top):>{_LEFT - 2}} |{''.join(f' {column[row]:<{cells - 1}}' for column in columns)}" for row in range(ROWS)]
    axis = " " * (_LEFT - 1) + "+" + "-" * (cells * len(months))
    return [cut(line.rstrip(), width) for line in [*rows, axis, *_under(months, cells)]]


def _top(months: Sequence[Month], middle: float) -> float:
    """The share at the top: a round one above the points and the limits of all months that are told; of too few a point may lie higher."""
    told = [month for month in months if month.mark != "small"]
    highest = max([middle, *(max(month.share or 0.0, month.upper or 0.0) for month in told)])
    return next((top for top in (0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75) if highest <= top), 1.0)


def _column(month: Month, middle: float, top: float) -> list[str]:
    """The signs of a month from the top down; its point lies over the limits, and these over the middle."""
    column = [" "] * ROWS
    column[_row(middle, top)] = MIDDLE
    if month.mark not in ("small", "none") and month.lower is not None and month.upper is not None:
        for limit in (month.lower, month.upper):
            column[_row(limit, top)] = LIMIT
    if month.share is not None:
        column[_row(month.share, top)] = SIGNS[month.mark]
    return column


def _row(share: float, top: float) -> int:
    return min(ROWS - 1, max(0, round((1 - share / top) * (ROWS - 1))))


def _percent(row: int, top: float) -> str:
    return f"{100 * top * (1 - row / (ROWS - 1)):g} %" if row % 5 == 0 else ""


def _under(months: Sequence[Month], cells: int) -> list[str]:
    """Under the axis the month of each column, how many it is of, and the year where it begins."""
    names = "".join(f" {month.month[5:]:<{cells - 1}}" for month in months)
    counts = "".join(f" {month.of if month.of < 1000 else f'{month.of / 1000:.0f}k':<{cells - 1}}" for month in months)
    years = [month.month[:4] if n == 0 or month.month[5:] == "01" else "" for n, month in enumerate(months)]
    if years[1:2] and years[1]:
        years[0] = ""
    line = [" "] * (cells * len(months) + _LEFT)
    for n, year in enumerate(years):
        line[cells * n : cells * n + len(year)] = year
    told = (("month", names), ("tested", counts), ("year", f" {''.join(line)}"))
    return [f"{name:<{_LEFT}}{text}".rstrip() for name, text in told]
