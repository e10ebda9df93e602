"""A spreadsheet as rows of texts, whatever file it came in: headings, and below them rows under the numbers that the spreadsheet shows."""

from __future__ import annotations

import bisect
import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.exchange.row import MERGED, TEXT, Row
from caskbook.exchange.workbook import read_worksheet
from caskbook.exchange.worksheet_xml import Area

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
    """The table: its headings, each once, its rows that hold anything, the row its headings stand in; `counts_from`: of a workbook the year from which
    it counts days."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    header: int
    counts_from: int | None = None


def read_grid(path: Path, data: bytes, layout: Layout) -> Grid:
    """The table of a CSV or an XLSX. CaskbookError where it cannot be read whole, or two columns have one heading."""
    if path.suffix.casefold() in _WORKBOOKS or data[:4] == b"PK\x03\x04":
        sheet = read_worksheet(path.name, data, layout.worksheet)
        return replace(_table(path.name, iter(sheet.rows), layout.header, sheet.merged), counts_from=sheet.counts_from)
    if path.suffix.casefold() == ".xls" or data[:4] == b"\xd0\xcf\x11\xe0":
        raise CaskbookError(f"{path.name}: an old XLS: save it as .xlsx or as CSV")
    return _table(path.name, _rows_of_csv(path.name, data, layout), layout.header)


def _table(name: str, rows: Iterator[Row], header: int | None, merged: Sequence[Area] = ()) -> Grid:
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
    _refuse_second(name, headings, found, first[at].number)
    return Grid(name, tuple(headings), _with_merged(found, merged, headings, first[at].number), first[at].number)


def _refuse_second(name: str, headings: Sequence[str], rows: Sequence[Row], header: int) -> None:
    """CaskbookError where the headings stand once more below, in other columns: what follows would be read by the wrong ones."""
    places = {heading.casefold(): at for at, heading in enumerate(headings) if heading}
    for row in rows:
        there = [(at, places.get(" ".join(text.casefold().split()))) for at, text in enumerate(row.texts) if text]
        named = [(at, place) for at, place in there if place is not None]
        if len(named) > 1 and len(named) * 2 > len(there) and any(at != place for at, place in named):
            raise CaskbookError(f"{name} row {row.number}: headings again, in other columns than in row {header}: put this table into a file of its own")


def _with_merged(rows: Sequence[Row], merged: Sequence[Area], headings: Sequence[str], header: int) -> tuple[Row, ...]:
    """The rows with the cells marked that are merged with others and hold anything: for which of them it is meant nobody can tell."""
    numbers = [row.number for row in rows]
    marked: dict[int, dict[int, str]] = {}
    for area in merged:
        begin, end = bisect.bisect_left(numbers, max(area.top, header + 1)), bisect.bisect_right(numbers, area.bottom)
        held = [text for row in rows[begin:end] for text in row.texts[area.left - 1 : area.right] if text]
        if not held and area.top > header:
            continue
        for n in range(begin, end):
            for at in range(area.left - 1, min(area.right, len(headings))):
                if headings[at]:
                    marked.setdefault(n, {})[at] = held[0] if held else headings[at]
    return tuple(_marked(row, marked[n]) if n in marked else row for n, row in enumerate(rows))


def _marked(row: Row, cells: Mapping[int, str]) -> Row:
    width = max(len(row.texts), max(cells) + 1)
    texts = [row.texts[at] if at < len(row.texts) else "" for at in range(width)]
    kinds = [row.kind(at) if at < len(row.texts) else TEXT for at in range(width)]
    for at, text in cells.items():
        texts[at], kinds[at] = texts[at] or text, MERGED
    return replace(row, texts=tuple(texts), kinds="".join(kinds))


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
