"""The text of a day sheet, CSV or YAML, cut into rows; what the cells mean is for others to say."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml

MOST_ROWS = 10_000
TICK = "tick"
"""The column with the tick: a row without it, and with nothing else filled in, is none."""
REMARK = "#"
"""A heading that begins so is there to be read by people."""
EMPTY_BOXES = ("[ ]", "[]", "( )", "()", "☐", "□", "_")
"""A box to tick, as cards print it, with nothing in it."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: where it stands, which of a table's rows it is with the headings as the first, or the line of a job in YAML; its cells that hold something, by column. `tick`: what stands where a tick is made; None
    where the sheet has no room for one."""

    line: int
    cells: Mapping[str, str]
    tick: str | None = None


def rows_of_csv(text: str, path: str) -> list[Row]:
    """The rows of a CSV with a header line; semicolons or tabs as separators are taken too."""
    first = text.split("\n", 1)[0]
    mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    try:
        rows = [(number, reader.line_num, cells) for number, cells in enumerate(reader, 1)]
    except csv.Error as error:
        raise CaskbookError(f"{path}: no CSV: {error}") from None
    if not rows:
        raise CaskbookError(f"{path}: an empty sheet")
    header = [_heading(cell) for cell in rows[0][2]]
    _refuse_twice(header, path)
    remarks = header[0] in ("date", "job", "cask", "by")  # nothing of these begins with #
    found = []
    for number, line, cells in rows[1:]:
        if len(cells) > len(header) and any(cell.strip() for cell in cells[len(header) :]):
            raise CaskbookError(f"{path}:{line}: {len(cells)} cells under {len(header)} headings; put a list in quotes")
        if remarks and cells and cells[0].strip().startswith("#"):
            continue
        _refuse_unheaded(header, cells, f"{path}:{line}")
        filled = {name: cell.strip() for name, cell in zip(header, cells, strict=False) if cell.strip() and not name.startswith(REMARK)}
        if filled:
            found.append(_row(number, filled, ticked=TICK in header))
    return _some(found, path)


def _refuse_unheaded(header: Sequence[str], cells: Sequence[str], where: str) -> None:
    """CaskbookError for a cell in a column without a heading: nobody knows what it says, and it would be dropped."""
    at, cell = next(((at, cell.strip()) for at, (name, cell) in enumerate(zip(header, cells, strict=False), 1) if cell.strip() and not name), (0, ""))
    if at:
        told = f"column {at} has no heading, and `{cell[:30]}` stands in it"
        raise CaskbookError(f"{where}: {told}; give it one, beginning with {REMARK} where it is not to be read")


def _row(line: int, cells: dict[str, str], *, ticked: bool) -> Row:
    """A row, its tick apart; `ticked`: whether there is room for one."""
    tick = cells.pop(TICK, "")
    tick = "" if tick in EMPTY_BOXES else tick
    return Row(line, cells, tick if ticked else None)


def _refuse_twice(names: Sequence[str], path: str, line: int = 1) -> None:
    """CaskbookError for a heading that stands there twice: which of two cells is meant cannot be known."""
    twice = next((name for n, name in enumerate(names) if name and name in names[:n]), None)
    if twice is not None:
        raise CaskbookError(f"{path}:{line}: two columns are called {twice[:30]}: expected one; take out the other")


def rows_of_yaml(data: bytes, path: str) -> list[Row]:
    """The rows of a map with `jobs:`, a list of maps; date, by and sheet beside it hold for every row."""
    reading = read_yaml(Source.from_bytes(path, data))
    if reading.findings:
        found = reading.findings[0]
        raise CaskbookError(f"{path}:{found.span.line}:{found.span.column}: {found.message}")
    content = reading.data if isinstance(reading.data, dict) else {}
    jobs = content.get("jobs")
    if not isinstance(jobs, list) or not all(isinstance(one, dict) for one in jobs):
        raise CaskbookError(f"{path}: expected `jobs:` and below it a list, as - {{job: test, cask: TH-004217, psi: 11, result: pass}}")
    shared = {key: _cell(value) for key, value in content.items() if key != "jobs"}
    rows = []
    for at, one in enumerate(jobs):
        _refuse_twice([_heading(str(key)) for key in one], path, reading.span(("jobs", at)).line)
        cells = {_heading(str(key)): _cell(value) for key, value in one.items() if value is not None}
        rows.append(_row(reading.span(("jobs", at)).line, {**shared, **cells}, ticked=any(_heading(str(key)) == TICK for key in one)))
    return _some(rows, path)


def _heading(text: str) -> str:
    return text.strip().lstrip("\ufeff").casefold().replace("-", "_").replace(" ", "_")


def _cell(value: Any) -> str:
    """A value of YAML as it would be typed: maps, and lists of what has commas of its own, in brackets."""
    if isinstance(value, list) and not any(isinstance(one, dict | list) or set(str(one)) & {",", ";"} for one in value):
        return ",".join(str(one) for one in value)
    return json.dumps(value, default=str, ensure_ascii=False) if isinstance(value, dict | list) else str(value)


def _some(rows: list[Row], path: str) -> list[Row]:
    if not rows:
        raise CaskbookError(f"no rows in {path}: nothing to write")
    if len(rows) > MOST_ROWS:
        raise CaskbookError(f"{path}: {len(rows)} rows are too many for one sheet: at most {MOST_ROWS}")
    return rows
