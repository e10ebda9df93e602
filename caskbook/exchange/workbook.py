"""The rows of an XLSX: a day is a day, a figure a figure, and a formula that was never worked out is an error and no blank."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.exchange.row import DAY, ERROR, NUMBER, TEXT, Row

_MOST_UNPACKED = 2_000_000_000
_MOST_COLUMNS = 400
_NO_READER = "an XLSX needs a reader that is not installed: pip install 'caskbook[xlsx]', or save it as CSV"


def rows_of_workbook(name: str, data: bytes, worksheet: str | None) -> Iterator[Row]:
    """The rows of one worksheet; where there are several, the map says which. CaskbookError where the file cannot be read."""
    try:
        import openpyxl
    except ImportError:
        raise CaskbookError(f"{name}: {_NO_READER}") from None
    _refuse_bomb(name, data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # It tells of pictures and rules that it leaves out.
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            sheet = book[_chosen(name, book.sheetnames, worksheet)]
            formulas = _formulas(data, book.sheetnames.index(sheet.title))
            rows = [_row(number, cells, formulas) for number, cells in _numbered(sheet)]
    except CaskbookError:
        raise
    except Exception as error:
        raise CaskbookError(f"{name}: cannot be read as XLSX ({type(error).__name__}: {str(error)[:80]}); save it anew, or as CSV") from None
    yield from rows


def _numbered(sheet: Any) -> Iterator[tuple[int, Any]]:
    with suppress(AttributeError):
        sheet.reset_dimensions()  # Some programs write a wrong size, and rows behind it would be lost.
    yield from enumerate(sheet.iter_rows(max_col=_MOST_COLUMNS), 1)


def _refuse_bomb(name: str, data: bytes) -> None:
    """CaskbookError for what is no packed file, or unpacks to more than any register holds."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(one.file_size for one in packed.infolist())
    except zipfile.BadZipFile:
        raise CaskbookError(f"{name}: no XLSX, or a damaged one") from None
    if size > _MOST_UNPACKED:
        raise CaskbookError(f"{name}: unpacks to {size:,} bytes: too large for a register")


def _chosen(name: str, titles: list[str], worksheet: str | None) -> str:
    if worksheet is not None and worksheet in titles:
        return worksheet
    listed = ", ".join(titles)
    if worksheet is not None:
        raise CaskbookError(f"{name}: no worksheet '{worksheet[:40]}': there are {listed}")
    if len(titles) > 1:
        raise CaskbookError(f"{name}: which worksheet? say it with --worksheet, or as `worksheet:` in the map: {listed}")
    return titles[0]


def _formulas(data: bytes, at: int) -> set[str]:
    """Coordinates of the cells with a formula. The file is read a second time only where there are any."""
    import openpyxl

    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        sheets = [one for one in packed.namelist() if one.startswith("xl/worksheets/sheet")]
        if not any(b"<f>" in packed.read(one) or b"<f " in packed.read(one) for one in sheets):
            return set()
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True)
    sheet = book[book.sheetnames[at]]
    return {cell.coordinate for _, row in _numbered(sheet) for cell in row if cell.value is not None and cell.data_type == "f"}


def _row(number: int, cells: Any, formulas: set[str]) -> Row:
    """One row of cells as texts, with what each of them is."""
    texts: list[str] = []
    kinds: list[str] = []
    for cell in cells:
        text, kind = _cell(cell)
        if not text and formulas and cell.value is None and getattr(cell, "coordinate", "") in formulas:
            text, kind = "#NEVER WORKED OUT!", ERROR
        texts.append(text)
        kinds.append(kind)
    while texts and not texts[-1]:
        texts.pop()
    return Row(number, tuple(texts), "".join(kinds[: len(texts)]))


def _cell(cell: Any) -> tuple[str, str]:
    """A cell's text and what it is: a day in ISO, a figure without exponent, a share in per cent as it is shown."""
    value = cell.value
    if value is None:
        return "", TEXT
    if getattr(cell, "data_type", "") == "e":
        return str(value), ERROR
    if isinstance(value, bool):
        return ("yes" if value else "no"), TEXT
    if isinstance(value, datetime | date):
        return value.isoformat()[:10], DAY
    if isinstance(value, time | timedelta):
        return str(value), ERROR
    if isinstance(value, int | float):
        percent = "%" in str(getattr(cell, "number_format", ""))
        return _figure(value * 100 if percent else value) + ("%" if percent else ""), NUMBER
    return str(value).strip(), TEXT


def _figure(value: float) -> str:
    """Twelve digits, as a spreadsheet shows them: 63.300000000000004 is 63.3."""
    text = f"{float(value):.12g}"
    return text if "e" not in text else f"{float(text):.12f}".rstrip("0").rstrip(".")
