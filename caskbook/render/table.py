"""Rows as a table for people, fitted to the terminal and whole in a pipe; as CSV, JSON and JSON lines for programs."""

from __future__ import annotations

import csv
import io
import json
import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from rich.cells import cell_len

from caskbook.render.console import USUAL_WIDTH, cut, safe
from caskbook.render.plain_json import data_json, day_text, safe_json

_GAP = "  "
_LEAST = 4
# These are the words of a column's name, each with the stroke behind it, so that the name can be read off.
_STACKED = re.compile(r"[^_]+_?|_")


def table_text(columns: Sequence[str], rows: Sequence[Sequence[Any]], width: int | None) -> str:
    """A heading and one line a row, numbers to the right. Where the width does not take it, the words of the headings stand
    under each other, then the widest columns are cut, and columns that still find no room are left off and named below."""
    cells = [[_shown(value) for value in row] for row in rows]
    wide = [max((cell_len(row[n]) for row in cells), default=0) for n in range(len(columns))]
    heads = [[safe(name)] for name in columns]
    kept = len(columns)
    if width is not None and _total(heads, wide) > width:
        heads = [_STACKED.findall(safe(name)) or [""] for name in columns]
    sizes = [max(size, *map(cell_len, head)) for size, head in zip(wide, heads, strict=True)]
    if width is not None:
        sizes, kept = _fitted(sizes, width)
    right = [bool(rows) and all(row[n] is None or isinstance(row[n], int | float) for row in rows) for n in range(kept)]
    lines = [_line(row, sizes, right) for row in (*_headings(heads[:kept]), *cells)]
    if kept < len(columns):
        left_off = "no room for: " + ", ".join(columns[kept:]) + " (name fewer with --columns, or use --format csv)"
        lines += ["", *textwrap.wrap(left_off, width or USUAL_WIDTH, break_on_hyphens=False)]
    return "\n".join(lines)


def _total(heads: Sequence[Sequence[str]], wide: Sequence[int]) -> int:
    return sum(max(size, *map(cell_len, head)) for size, head in zip(wide, heads, strict=True)) + len(_GAP) * (len(wide) - 1)


def _headings(heads: Sequence[Sequence[str]]) -> Iterator[list[str]]:
    """The lines of the headings, the last words on the same line."""
    most = max(map(len, heads), default=1)
    for at in range(most):
        yield [head[at - most + len(head)] if at >= most - len(head) else "" for head in heads]


def _fitted(sizes: list[int], width: int) -> tuple[list[int], int]:
    """(the width of each column in cells, how many columns are kept) so that a line fits: the widest are cut, then the last are left off."""
    sizes = list(sizes)
    while sum(sizes) + len(_GAP) * (len(sizes) - 1) > width and len(sizes) > 1:
        widest = max(range(len(sizes)), key=lambda n: sizes[n])
        over = sum(sizes) + len(_GAP) * (len(sizes) - 1) - width
        if sizes[widest] <= 12:
            sizes.pop()
        else:
            sizes[widest] = max(12, sizes[widest] - over, sorted(sizes)[-2] if len(sizes) > 1 else _LEAST)
            if sizes[widest] == sorted(sizes)[-2] and over > 0:
                sizes[widest] -= 1
    return [min(size, width) for size in sizes], len(sizes)


def _line(row: Sequence[str], sizes: list[int], right: list[bool]) -> str:
    out = []
    for text, size, to_right in zip(row, sizes, right, strict=False):
        text = cut(text, size)
        blank = " " * max(0, size - cell_len(text))
        out.append(blank + text if to_right else text + blank)
    return _GAP.join(out).rstrip()


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | dict):
        return safe(json.dumps(value, ensure_ascii=False, default=day_text)) if value else ""
    return safe(f"{value:g}" if isinstance(value, float) and value == int(value) and abs(value) < 1e15 else str(value))


def table_csv(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """RFC 4180; lists and maps as JSON, yes and no as words, unknown empty, nothing a spreadsheet takes for a formula."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False, default=day_text)
    if isinstance(value, date):
        return day_text(value) or ""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t"):
        return "'" + value
    return "" if value is None else value


def table_json(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """A list with one object a row, each on a line of its own."""
    lines = ",\n".join("  " + safe_json(json.dumps(dict(zip(columns, row, strict=True)), ensure_ascii=False, default=day_text)) for row in rows)
    return f"[\n{lines}\n]" if lines else "[]"


def table_jsonl(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """One object a line."""
    return data_json((dict(zip(columns, row, strict=True)) for row in rows), "jsonl")
