"""What a worksheet tells beside the values of its cells: which formulas were never worked out, which cells are merged or struck out, which rows
are hidden. The reader of cells leaves it out, and a table would be read otherwise than it looks."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from xml.parsers import expat

from caskbook.core.finding import CaskbookError

MOST_COLUMNS = 400
_STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"
_MAIN = (_STRICT, "http://schemas.openxmlformats.org/spreadsheetml/2006/main")
_RANGE = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]+)(?::\$?([A-Za-z]{1,3})\$?([0-9]+))?")
_YES = ("1", "true", "on")
STRICT_FORM = "is in a form of XLSX that is not read (Strict Open XML): save it as an ordinary .xlsx, or as CSV"


@dataclass(frozen=True, slots=True)
class Area:
    """Cells merged into one: first and last row, first and last column, from 1."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass
class Beside:
    """`unworked`: (row, column) of cells with a formula and no value; `formulas`: of all with one; `struck`: of texts written into the sheet of which a
    part is struck out; `hidden`: rows that are not shown; `no_zeros`: whether a zero is shown as nothing."""

    unworked: set[tuple[int, int]] = field(default_factory=set)
    formulas: set[tuple[int, int]] = field(default_factory=set)
    struck: set[tuple[int, int]] = field(default_factory=set)
    hidden: set[int] = field(default_factory=set)
    merged: list[Area] = field(default_factory=list)
    no_zeros: bool = False


def read_beside(data: bytes) -> Beside:
    """Read the XML of one worksheet, whatever prefix its names have. CaskbookError where cells would be lost: out of their order, or too far right."""
    reader = _Reader()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = reader.begin, reader.end, reader.text
    parser.buffer_text = True
    parser.Parse(data, True)
    return reader.found


def works_out_on_load(data: bytes) -> bool:
    """Whether a workbook's own XML says that its formulas are to be worked out when it is opened: what stands in them is no result yet."""
    said = [False]

    def begin(name: str, attributes: Mapping[str, str]) -> None:
        if name.rpartition(" ")[2] == "calcPr":
            said[0] = _is(attributes, "fullCalcOnLoad")

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = begin
    parser.Parse(data, True)
    return said[0]


def _is(attributes: Mapping[str, str], name: str, usual: str = "0") -> bool:
    return attributes.get(name, usual).strip().casefold() in _YES


@lru_cache(maxsize=2048)
def column_number(letters: str) -> int:
    """AB → 28."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


class _Reader:
    """What a parser of XML calls for each element of a worksheet."""

    def __init__(self) -> None:
        self.found = Beside()
        self._row = self._column = 0
        self._kind = ""
        self._inside = ""
        self._formula = self._value = self._struck = False

    def begin(self, name: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        space, _, local = name.rpartition(" ")
        if space not in _MAIN:
            return
        if local == "c":
            self._cell(attributes)
        elif local == "row":
            self._begin_row(attributes)
        elif self._inside:
            self._formula |= local == "f"
            self._struck |= local == "strike" and _is(attributes, "val", "1")
            self._inside = local if local in ("v", "t") else "c"
        elif local == "sheetView":
            self.found.no_zeros |= not _is(attributes, "showZeros", "1")
        elif local == "mergeCell" and (area := _RANGE.fullmatch(attributes.get("ref", ""))):
            left, right = column_number(area[1]), column_number(area[3] or area[1])
            self.found.merged.append(Area(int(area[2]), left, int(area[4] or area[2]), right))
        elif local == "worksheet" and space == _STRICT:
            raise CaskbookError(STRICT_FORM)

    def end(self, name: str) -> None:
        """An element ends."""
        if not self._inside or not name.endswith(" c"):
            return
        self._inside = ""
        place = (self._row, self._column)
        if self._formula:
            self.found.formulas.add(place)
            if not self._value and self._kind != "str":
                self.found.unworked.add(place)
        if self._struck:
            self.found.struck.add(place)
        if self._column > MOST_COLUMNS and (self._value or self._formula):
            raise CaskbookError(f"row {self._row}: something stands beyond column {MOST_COLUMNS}: too wide for a register")

    def text(self, text: str) -> None:
        """Signs between two elements."""
        if self._inside in ("v", "t"):
            self._value |= not text.isspace()

    def _begin_row(self, attributes: Mapping[str, str]) -> None:
        number = int(float(attributes["r"])) if "r" in attributes else self._row + 1
        if number <= self._row:
            raise CaskbookError(f"row {number} stands behind row {self._row}: a damaged XLSX; save it anew, or as CSV")
        self._row, self._column = number, 0
        if _is(attributes, "hidden") or attributes.get("ht") in ("0", "0.0"):
            self.found.hidden.add(number)

    def _cell(self, attributes: Mapping[str, str]) -> None:
        at = _RANGE.fullmatch(attributes.get("r", ""))
        column = column_number(at[1]) if at else self._column + 1
        if column <= self._column or (at and int(at[2]) != self._row):
            raise CaskbookError(f"row {self._row}: cell {attributes.get('r')} stands out of its place: a damaged XLSX; save it anew, or as CSV")
        self._column, self._kind, self._inside = column, attributes.get("t", ""), "c"
        self._formula = self._value = self._struck = False
