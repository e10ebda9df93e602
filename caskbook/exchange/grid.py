"""A spreadsheet as rows of texts, whatever file it came in: headings, and below them rows under the numbers that the spreadsheet shows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.exchange.row import Row
from caskbook.exchange.workbook import rows_of_workbook

ENCODINGS = ("utf-8", "utf-16", "cp1252", "latin-1", "cp850", "cp437", "mac-roman")
SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}
MOST_ROWS = 1_000_000
MOST_BYTES = 500_000_000
_LOOKED_AT = 40
_WORKBOOKS = (".xlsx", ".xlsm")


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the table stands in its file: which worksheet, in which row the headings are, and how a CSV is written. None is found out."""

    worksheet: str | None = None
    header: int | None = None
    encoding: str | None = None
    separator: str | None = None


@dataclass(frozen=True)
class Grid:
    """The table: its headings, each once, its rows that hold anything, and the row its headings stand in."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    header: int


def read_grid(path: Path, data: bytes, layout: Layout) -> Grid:
    """The table of a CSV or an XLSX. CaskbookError where it cannot be read whole, or two columns have one heading."""
    if path.suffix.casefold() in _WORKBOOKS or data[:4] == b"PK\x03\x04":
        rows = rows_of_workbook(path.name, data, layout.worksheet)
    elif path.suffix.casefold() == ".xls" or data[:4] == b"\xd0\xcf\x11\xe0":
        raise CaskbookError(f"{path.name}: an old XLS: save it as .xlsx or as CSV")
    else:
        rows = _rows_of_csv(path.name, data, layout)
    return _table(path.name, rows, layout.header)


def _table(name: str, rows: Iterator[Row], header: int | None) -> Grid:
    """The headings and what stands below them. Without a row given for the headings it is the first that is filled as widely as the table is."""
    first: list[Row] = []
    for row in rows:
        first.append(row)
        if len(first) >= _LOOKED_AT:
            break
    at = _header_among(name, first, header)
    headings = [" ".join(text.split()) for text in first[at].texts]
    while headings and not headings[-1]:
        headings.pop()
    twice = next((one for n, one in enumerate(headings) if one and one in headings[:n]), None)
    if twice is not None:
        raise CaskbookError(f"{name} row {first[at].number}: two columns are called '{twice[:40]}': give one of them another heading")
    kept = list(first[at + 1 :])
    for row in rows:
        kept.append(row)
        if len(kept) > MOST_ROWS:
            raise CaskbookError(f"{name}: more than {MOST_ROWS:,} rows: divide the register")
    found = tuple(row for row in kept if any(row.texts))
    if not found:
        raise CaskbookError(f"{name}: no rows below the headings of row {first[at].number}")
    _refuse_nameless(name, headings, found)
    return Grid(name, tuple(headings), found, first[at].number)


def _refuse_nameless(name: str, headings: Sequence[str], rows: Sequence[Row]) -> None:
    """CaskbookError for a column that holds something and has no heading: no map could say what it is, and it would be lost."""
    for at, heading in enumerate(headings):
        row = None if heading else next((row for row in rows if at < len(row.texts) and row.texts[at]), None)
        if row is not None:
            raise CaskbookError(f"{name} row {row.number}: '{row.texts[at][:40]}' stands in column {at + 1}, which has no heading: give it one")


def _header_among(name: str, first: Sequence[Row], header: int | None) -> int:
    """The place of the headings among the first rows."""
    if not any(any(row.texts) for row in first):
        raise CaskbookError(f"{name}: nothing stands in it")
    if header is not None:
        found = next((n for n, row in enumerate(first) if row.number == header and any(row.texts)), None)
        if found is None:
            raise CaskbookError(f"{name}: no headings in row {header}: expected one of the first {_LOOKED_AT} rows, with headings in it")
        return found
    filled = [sum(map(bool, row.texts)) for row in first]
    return next(n for n, count in enumerate(filled) if count * 2 > max(filled))


def _rows_of_csv(name: str, data: bytes, layout: Layout) -> Iterator[Row]:
    """The rows of a CSV, the empty ones too, so that each has the number that a spreadsheet shows."""
    text = _decoded(name, data, layout.encoding)
    mark = SEPARATORS[layout.separator] if layout.separator else _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    known: dict[str, str] = {}
    number = 0
    while True:
        number += 1
        begun = reader.line_num + 1
        try:
            cells = next(reader, None)
        except csv.Error as error:
            raise CaskbookError(f"{name} row {number}: no CSV, {error} (from line {begun}): is a quote left open?") from None
        if cells is None:
            return
        yield Row(number, tuple([known.setdefault(cell, cell) for cell in map(str.strip, cells)]))


def _decoded(name: str, data: bytes, encoding: str | None) -> str:
    """The text of a CSV: UTF-8 unless the map says otherwise. CaskbookError where it is not."""
    chosen = encoding or ("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8")
    try:
        text = data.decode("utf-8-sig" if chosen == "utf-8" else chosen)
    except UnicodeError as error:
        at = getattr(error, "start", 0)
        row = data.count(b"\n", 0, at) + 1
        others = "" if encoding else f"; say which it is in the map, as `encoding: cp1252` ({', '.join(ENCODINGS)})"
        raise CaskbookError(f"{name} row {row}: not {chosen.upper()}{others}") from None
    if "\0" in text:
        raise CaskbookError(f"{name}: holds signs of value 0: no CSV, or another encoding than {chosen.upper()}")
    return text


def _separator(text: str) -> str:
    """The mark that the first lines have most of, and alike."""
    lines = [line for line in text[:20_000].splitlines() if line.strip()][:10]
    counts = {mark: [line.count(mark) for line in lines] for mark in SEPARATORS.values()}
    return max(counts, key=lambda mark: (min(counts[mark], default=0) > 0, sum(counts[mark])))
