"""The rows of an XLSX as the spreadsheet shows them: a day is a day, a figure a figure, a formula that was never worked out an error and no blank."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.exchange.number_format import figure, shown_day, shown_number, shown_text
from caskbook.exchange.row import EARLY, ERROR, OTHERWISE, STRUCK, TEXT, Row
from caskbook.exchange.worksheet_xml import MOST_COLUMNS, STRICT_FORM, Area, Beside, read_beside, works_out_on_load

_MOST_UNPACKED = 2_000_000_000
_NO_READER = "an XLSX needs a reader that is not installed: pip install 'caskbook[xlsx]', or save it as CSV"
_OLE = b"\xd0\xcf\x11\xe0"
# A spreadsheet of 1900 counts a 29 February that never was, and programs differ on the days before it.
_AGREED = {1899: date(1900, 3, 1), 1904: date(1904, 1, 1)}


@dataclass(frozen=True)
class Worksheet:
    """One worksheet: its rows that hold anything, its cells that are merged into one, and the year from which it counts days."""

    rows: list[Row]
    merged: list[Area]
    counts_from: int


def read_worksheet(name: str, data: bytes, worksheet: str | None) -> Worksheet:
    """One worksheet; where there are several, the map says which. CaskbookError where the file cannot be read."""
    try:
        import openpyxl
    except ImportError:
        raise CaskbookError(f"{name}: {_NO_READER}") from None
    _refuse_bomb(name, data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # It tells of pictures and rules that it leaves out.
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False, rich_text=True)
            sheet = book[_chosen(name, book.sheetnames, worksheet)]
            beside = _beside(data, sheet)
            cells = _Cells(beside, _AGREED.get(book.epoch.year))
            rows = [row for number, found in _numbered(sheet) if any((row := cells.row(number, found)).texts)]
    except CaskbookError as error:
        raise CaskbookError(str(error) if str(error).startswith(name) else f"{name} {error}") from None
    except Exception as error:
        raise CaskbookError(f"{name}: cannot be read as XLSX ({type(error).__name__}: {str(error)[:80]}); save it anew, or as CSV") from None
    return Worksheet(rows, beside.merged, 1904 if book.epoch.year == 1904 else 1900)


def _numbered(sheet: Any) -> Iterator[tuple[int, Any]]:
    with suppress(AttributeError):
        sheet.reset_dimensions()  # Some programs write a wrong size, and rows behind it would be lost.
    yield from enumerate(sheet.iter_rows(), 1)


def _refuse_bomb(name: str, data: bytes) -> None:
    """CaskbookError for what is no packed file, or unpacks to more than any register holds."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(one.file_size for one in packed.infolist())
    except zipfile.BadZipFile:
        raise CaskbookError(f"{name}: no XLSX, {'an old XLS, or one with a password' if data[:4] == _OLE else 'or a damaged one'}") from None
    if size > _MOST_UNPACKED:
        raise CaskbookError(f"{name}: unpacks to {size:,} bytes: too large for a register")


def _chosen(name: str, titles: list[str], worksheet: str | None) -> str:
    if not titles:
        raise CaskbookError(f"{name}: {STRICT_FORM}")
    if worksheet is not None and worksheet in titles:
        return worksheet
    listed = ", ".join(titles)
    if worksheet is not None:
        raise CaskbookError(f"{name}: no worksheet '{worksheet[:40]}': there are {listed}")
    if len(titles) > 1:
        raise CaskbookError(f"{name}: which worksheet? say it with --worksheet, or as `worksheet:` in the map: {listed}")
    return titles[0]


def _beside(data: bytes, sheet: Any) -> Beside:
    """What the worksheet tells beside its values. Where the whole book is to be worked out on opening, no formula in it has been."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        found = read_beside(packed.read(sheet._worksheet_path))
        books = [one for one in packed.namelist() if one.rpartition("/")[2].startswith("workbook") and one.endswith(".xml")]
        if found.formulas and any(works_out_on_load(packed.read(one)) for one in books):
            found.unworked |= found.formulas
    return found


class _Cells:
    """Makes rows of texts out of the cells of one worksheet. `agreed`: the first day on which all programs agree."""

    def __init__(self, beside: Beside, agreed: date | None) -> None:
        self._beside, self._agreed = beside, agreed
        self._styles: dict[Any, tuple[str, bool]] = {}

    def row(self, number: int, cells: Any) -> Row:
        """One row of cells as texts, with what each of them is."""
        read = [("", TEXT) if cell.value is None and not hasattr(cell, "coordinate") else self._cell(cell) for cell in cells[:MOST_COLUMNS]]
        while read and not read[-1][0]:
            read.pop()
        return Row(number, tuple([text for text, _ in read]), "".join([kind for _, kind in read]), number in self._beside.hidden)

    def _cell(self, cell: Any) -> tuple[str, str]:
        """A cell's text and what it is: a day in ISO, a figure without exponent, a share in per cent as it is shown."""
        place = (cell.row, cell.column)
        if place in self._beside.unworked:
            return "#NEVER WORKED OUT!", ERROR
        if cell.value is None:
            return "", TEXT
        form, struck = self._style(cell)
        text, kind = self._value(cell.value, cell.data_type, form)
        if text and (struck or place in self._beside.struck or _has_struck_part(cell.value)):
            return text, STRUCK
        return text, kind

    def _style(self, cell: Any) -> tuple[str, bool]:
        """(number format of a cell, whether it is struck out)."""
        style = cell._style_id
        if style not in self._styles:
            font = cell.font
            self._styles[style] = (str(cell.number_format or "General"), bool(font is not None and font.strike))
        return self._styles[style]

    def _value(self, value: Any, kind: str, form: str) -> tuple[str, str]:
        """A value by its format: its text and what it is."""
        if kind == "e":
            return str(value), ERROR
        if isinstance(value, bool):
            return str(value).upper(), TEXT
        if isinstance(value, datetime | date):
            day = value.date() if isinstance(value, datetime) else value
            return (day.isoformat(), EARLY) if self._agreed is None or day < self._agreed else shown_day(form, day)
        if isinstance(value, time | timedelta):
            return str(value), ERROR
        if isinstance(value, int | float):
            return (figure(value), OTHERWISE) if value == 0 and self._beside.no_zeros else shown_number(form, value)
        return shown_text(form, str(value).replace("_x000D_", "").strip())


def _has_struck_part(value: Any) -> bool:
    """Whether some of a text's letters are struck out, where it is of several parts."""
    return isinstance(value, list) and any(getattr(getattr(part, "font", None), "strike", False) for part in value)
