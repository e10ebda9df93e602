"""Losses as text, JSON or CSV: the account of many fills, and the evidence sheet of one cask."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from dataclasses import fields
from datetime import date
from decimal import Decimal
from typing import Any

from caskbook.loss.account import FillRow, GroupRow, in_percent
from caskbook.render.console import cut, flow, safe
from caskbook.render.plain_json import safe_json
from caskbook.words.plural import number_of

_NUMBERS = {
    "casks",
    "fills",
    "gauged",
    "years",
    "litres",
    "lpa",
    "put_in",
    "share",
    "per_year",
    "plus_minus",
    "after_in_drink",
    "after_plus_minus",
    "expected",
    "middle",
    "act",
    "watch",
}
_PLACES = 6


def account_text(rows: Sequence[FillRow], groups: Sequence[GroupRow], whole: GroupRow, by: str, *, day: date, width: int | None) -> str:
    """The account: a header with the sums, then a line a fill (by fill) or a line a group."""
    lines = [*flow(_header(whole, by, day), width), ""]
    if by == "fill":
        lines += _table(_FILL_COLUMNS, [_fill_cells(row) for row in rows if row.lpa is not None], width)
    else:
        lines += _table(_columns(by), [_group_cells(row) for row in (*groups, whole)], width)
    left_out = whole.fills - whole.gauged
    if left_out:
        lines += ["", f"{number_of(left_out, 'fill')} without a second gauge: nothing can be told of them"]
    return "\n".join([*lines, "", *(line for text in _FOOT for line in flow([text], width))])


_FOOT = (
    "lost L: litres of pure alcohol at 20 °C, draws, tops and racking allowed for",
    "a year: without what the wood took at first, of several fills the middle;",
    "± is two standard deviations of measuring",
)
_FILL_COLUMNS = ("cask", "filled", "fill", ">years", ">lost L", ">share", ">a year %", ">usual", "remarks")


def _columns(by: str) -> tuple[str, ...]:
    return (by, ">casks", ">gauged", ">put in L", ">lost L", ">share", ">a year", ">act", ">watch")


def _header(whole: GroupRow, by: str, day: date) -> list[str]:
    act = [f"{whole.act} act, {whole.watch} watch"] if whole.act or whole.watch else []
    return [f"loss by {by} on {day}", number_of(whole.casks, "cask"), f"{number_of(whole.gauged, 'fill')} gauged", f"{whole.lpa} L of alcohol lost", *act]


def _fill_cells(row: FillRow) -> list[str]:
    share = f"{in_percent(row.lpa, row.put_in)} %" if row.lpa is not None and row.put_in else ""
    verdict = row.verdict if row.verdict != "usual" else ""
    return [
        row.cask, str(row.filled), row.band.removesuffix(" fill").replace("3rd fill or later", "3rd+"), f"{row.years or 0:.1f}",
        "" if row.lpa is None else str(row.lpa), share, _with_error(row), _bare(row.expected),
        ", ".join([*([verdict] if verdict else []), *row.doubts]),
    ]  # fmt: skip


def _group_cells(row: GroupRow) -> list[str]:
    share = f"{in_percent(row.lpa, row.put_in)} %" if row.put_in else ""
    return [row.name, str(row.casks), str(row.gauged), str(row.put_in), str(row.lpa), share, _percent(row.middle), str(row.act or ""), str(row.watch or "")]


def _with_error(row: FillRow) -> str:
    return "" if row.after_in_drink is None or row.after_plus_minus is None else f"{row.after_in_drink * 100:.2f} ±{row.after_plus_minus * 100:.2f}"


def _percent(share: float | None) -> str:
    return "" if share is None else f"{share * 100:.2f} %"


def _bare(share: float | None) -> str:
    return "" if share is None else f"{share * 100:.2f}"


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]], width: int | None) -> list[str]:
    """Lines in columns as wide as needed; a `>` before a heading sets its column to the right."""
    if columns[-1] == "remarks" and not any(row[-1] for row in rows):
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    names = [column.lstrip(">") for column in columns]
    cells = [names, *([safe(cell) for cell in row] for row in rows)]
    wide = [max(len(row[n]) for row in cells) for n in range(len(names))]
    heading, *lines = [_line(row, wide, columns, width) for row in cells]
    return [heading[0], *(text for line in lines for text in line)]


def _line(row: Sequence[str], wide: Sequence[int], columns: Sequence[str], width: int | None) -> list[str]:
    """A row as a line; its remarks on lines of their own where they would not fit."""
    set_out = [f"{cell:>{w}}" if column.startswith(">") else f"{cell:<{w}}" for cell, w, column in zip(row, wide, columns, strict=True)]
    line = "  ".join(set_out).rstrip()
    if width is None or len(line) <= width or columns[-1] != "remarks" or not row[-1]:
        return [cut(line, width)]
    return [cut("  ".join(set_out[:-1]).rstrip(), width), *("    " + text for text in flow([row[-1]], width - 4))]


def account_json(rows: Sequence[FillRow], groups: Sequence[GroupRow], whole: GroupRow, by: str, day: date) -> str:
    """An object: as_of, by, rows (a fill each, or a group each) and total. Litres to the hundredth; shares and rates as fractions."""
    shown: Sequence[FillRow | GroupRow] = rows if by == "fill" else groups
    return safe_json(
        json.dumps({"as_of": day.isoformat(), "by": by, "rows": [_data(row) for row in shown], "total": _data(whole)}, ensure_ascii=False, indent=2)
    )


def account_csv(rows: Sequence[FillRow], groups: Sequence[GroupRow], by: str) -> str:
    """RFC 4180 rows under the names of the JSON keys."""
    shown: Sequence[FillRow | GroupRow] = rows if by == "fill" else groups
    names = [field.name for field in fields(FillRow if by == "fill" else GroupRow)]
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(names)
    for row in shown:
        writer.writerow([_cell(name, getattr(row, name)) for name in names])
    return out.getvalue()


def _data(row: FillRow | GroupRow) -> dict[str, Any]:
    return {field.name: _plain(getattr(row, field.name)) for field in fields(row)}


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, float):
        return round(value, _PLACES)
    if isinstance(value, date):
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value


def _cell(name: str, value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.{_PLACES}f}"
    text = "; ".join(value) if isinstance(value, tuple) else str(value)
    return text if name in _NUMBERS or text[:1] not in ("=", "+", "-", "@", "\t") else "'" + text


def sheet_text(parts: Iterable[tuple[str, Sequence[Sequence[str]]]], title: str, foot: Sequence[str], *, width: int | None) -> str:
    """The evidence sheet: a title, named tables (first row the heading, `>` sets a column to the right; a row of one cell is a
    sentence), and what is said at the foot."""
    lines = [cut(title, width)]
    for name, rows in parts:
        if rows:
            lines += ["", *flow([name], width), *_block(rows, width)]
    return "\n".join([*lines, "", *(line for text in foot for line in flow([text], width))])


def _block(rows: Sequence[Sequence[str]], width: int | None) -> list[str]:
    if len(rows[0]) == 1:
        room = None if width is None else width - 4
        return [f"  {line}" if n == 0 else f"    {line}" for row in rows for n, line in enumerate(flow([row[0]], room, most_lines=6))]
    table = [row for row in rows[1:] if len(row) > 1]
    sentences = [row[0] for row in rows[1:] if len(row) == 1]
    return ["  " + line for line in [*_table(rows[0], table, None if width is None else width - 2), *sentences]]
