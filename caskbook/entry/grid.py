"""A paper sheet as it is typed: a row for each cask, a column for each field, and what each key does. It draws nothing and reads nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from caskbook.entry.fields import JobField, field_of
from caskbook.entry.labels import example_of
from caskbook.entry.sheet_columns import columns_of
from caskbook.entry.sheet_text import TICK

NOTE, PHOTO = "note", "photo"
CURED = "c"
"""Of a test: it leaked, was driven, and passed."""
CURED_WORDS = "c (leaked, driven, passed)"
DITTO, SAME = '"', "="
"""The row above once more; the cell above once more."""
_THEN: Mapping[tuple[str, str], tuple[str, tuple[str, ...]]] = {
    ("test", "result"): ("leaks", ("fail",)), ("test", "cured_by"): ("leaks", ("drive", "took-up")), ("nose", "verdict"): ("faults", ("fault",)),
    ("examine", "verdict"): ("findings", ("repair",)), ("look", "seen"): ("at", ("weep", "drip", "run")),
}  # fmt: skip
"""Which column is gone to next, once another one of the job says one of these words."""
_FIRST = ("result", "verdict", "seen", "leaks", "cured_by", "faults", "findings", "at")
_WIDE = {"quantity": 7, "int": 5, "leaks": 16, "findings": 18, "nose_faults": 14, "place": 12, "text": 12}


@dataclass(frozen=True, slots=True)
class GridColumn:
    """One column. `words`: the closed list its cells are of; `must`: whether a row without it is not finished; `hint`: how it is typed."""

    job: str
    key: str
    title: str
    must: bool = False
    words: tuple[str, ...] = ()
    hint: str = ""
    width: int = 12
    field: JobField | None = None


@dataclass(slots=True)
class GridRow:
    """One row: its line in the sheet, its cask, where that lies and why it is there. `fault`: what is wrong with it, at column
    `at`; `fixed`: cells of its own that have no column here."""

    line: int
    cask: str
    about: str = ""
    cells: dict[str, str] = field(default_factory=dict)
    fault: str = ""
    at: str = ""
    fixed: dict[str, str] = field(default_factory=dict)


def grid_columns(jobs: Sequence[str]) -> list[GridColumn]:
    """The columns of these jobs: what must be given first, what follows from it, then the rest, photographs and the note last. A job of which
    nothing must be said has a tick in front."""
    found = columns_of(jobs)
    order = {key: n for n, key in enumerate(_FIRST)}
    found.sort(key=lambda one: (not one.field.must and one.field.key not in order, not one.field.must, order.get(one.field.key, len(order))))
    made = [_column(one.job, one.key, one.field, one.label) for one in found]
    if not any(one.must for one in made):
        made.insert(0, GridColumn(jobs[0], TICK, "done", True, ("x",), "x: it was done", 4))
    photo = GridColumn(jobs[0], PHOTO, PHOTO, hint="file names below the ledger, as photos/stave-4.jpg", width=12, field=field_of(jobs[0], PHOTO))
    notes = [one for one in made if one.key == NOTE] or [GridColumn(jobs[0], NOTE, "note", hint="words", width=20)]
    return [*(one for one in made if one.key != NOTE), photo, *notes]


def _column(job: str, key: str, one: JobField, label: str) -> GridColumn:
    title = one.option.removeprefix("--")
    words = (*one.words, CURED_WORDS) if (job, key) == ("test", "result") else one.words
    hint = f"{label}: {', '.join(words)}" if one.words else f"{label}{f', as {example}' if (example := example_of(one)) else ''}"
    wide = max(map(len, one.words)) if one.words else _WIDE.get(one.kind, 12)
    return GridColumn(job, key, title, one.must, one.words, hint, max(min(wide, 18), len(title) + one.must), one)


@dataclass
class Grid:
    """The sheet, where its cursor is, and the cell being typed (None: none). `alike`: what holds for cells left empty. `read_cell` says what
    is wrong with a cell, `judge` what is wrong with a whole row and at which column; `keep` is called whenever a cell is done."""

    columns: Sequence[GridColumn]
    rows: list[GridRow]
    alike: Mapping[str, str]
    read_cell: Callable[[GridColumn, str], str]
    judge: Callable[[GridRow], tuple[str, str]]
    keep: Callable[[], None]
    row: int = 0
    col: int = 0
    typing: str | None = None
    said: str = ""
    bell: bool = False

    def __post_init__(self) -> None:
        self.col = self._begin()

    def _begin(self) -> int:
        """The column at which a row begins: what it lacks, else the first that is not alike for all."""
        lacking = self._needed(self.here)
        return lacking if lacking is not None else next((n for n, one in enumerate(self.columns) if one.key not in self.alike), 0)

    @property
    def here(self) -> GridRow:
        """The row under the cursor."""
        return self.rows[self.row]

    @property
    def column(self) -> GridColumn:
        """The column under the cursor."""
        return self.columns[self.col]

    def sign(self, sign: str) -> None:
        """A sign was typed: an answer by its first letter, ditto, or the next of a cell."""
        self.said, self.bell = "", False
        if self.typing is None and sign in (DITTO, SAME):
            self._ditto() if sign == DITTO else self._same()
            return
        text = (self.typing or "") + sign
        if not self.column.words:
            self.typing = text if sign.isprintable() else self.typing
            return
        fits = self._fitting(text)
        if not fits:
            self._refuse(f"{text}: expected one of {', '.join(self._words())}")
        elif len(fits) == 1 or (len(text) == 1 and len(self.column.words) == 1):
            self._put(fits[0])
        else:
            self.typing = text

    def _words(self) -> tuple[str, ...]:
        return (*self.column.words, CURED_WORDS) if (self.column.job, self.column.key) == ("test", "result") else self.column.words

    def _fitting(self, text: str) -> list[str]:
        """The words that begin so; of a test, c is one."""
        if (self.column.job, self.column.key) == ("test", "result") and text.casefold() == CURED:
            return [CURED]
        return [word for word in self.column.words if word.casefold().startswith(text.casefold())]

    def _refuse(self, why: str) -> None:
        self.said, self.bell, self.typing = why, True, None

    def enter(self) -> None:
        """Enter: the cell being typed is done; on an empty row the next one."""
        self.said, self.bell = "", False
        if self.typing is None:
            if self.here.cells:
                self._onward()
            else:
                self.go(1, 0)
        else:
            self._put(self.typing)

    def _put(self, text: str) -> None:
        """A cell is done: it is read at once; what is wrong with it is told beside it, and the cursor stays."""
        column, row = self.column, self.here
        if self.settle(text):
            if column.key == "result" and text == CURED:
                row.cells |= {"result": "pass", "cured_by": "drive"}
            self.keep()
            self._onward()

    def settle(self, text: str | None = None) -> bool:
        """What is typed goes into its cell; False, with the reason at the cell, where it cannot be read."""
        text = self.typing if text is None else text
        self.typing = None
        if text is None:
            return True
        column, row = self.column, self.here
        text = text.strip()
        if column.words and text and text != CURED:
            exact = [word for word in column.words if word.casefold() == text.casefold()] or self._fitting(text)
            text = exact[0] if len(exact) == 1 else text
        wrong = self.read_cell(column, text) if text and not (column.key == "result" and text == CURED) else ""
        if text:
            row.cells[column.key] = text
        else:
            row.cells.pop(column.key, None)
        row.fault, row.at = wrong, column.key if wrong else ""
        self.bell = bool(wrong)
        self.keep()
        return not wrong

    def _needed(self, row: GridRow) -> int | None:
        """The next column that the row lacks; None where it has all."""
        asked = {
            then
            for (job, key), (then, words) in _THEN.items()
            if any(one.job == job and one.key == key and row.cells.get(key) in words for one in self.columns)
        }
        for n, one in enumerate(self.columns):
            if (one.must or one.key in asked) and one.key not in row.cells and one.key not in self.alike:
                return n
        return None

    def _onward(self) -> None:
        """To what the row lacks; a row that lacks nothing is judged as a whole, and the next one begins."""
        needed = self._needed(self.here)
        if needed is not None:
            self.col = needed
            return
        self.judge_row(self.row)
        self.go(1, 0)

    def judge_row(self, at: int) -> bool:
        """Whether a row goes into the book as it stands; an empty one does. What is wrong with it stays beside it."""
        row = self.rows[at]
        if row.cells:
            row.at, row.fault = self.judge(row)
            self.bell = self.bell or bool(row.fault)
        else:
            row.at = row.fault = ""
        return not row.fault

    def _ditto(self) -> None:
        """The row above once more, and on."""
        if not self.row or not self.rows[self.row - 1].cells:
            self._refuse("nothing stands above")
            return
        self.here.cells = dict(self.rows[self.row - 1].cells)
        self.keep()
        self._onward()

    def _same(self) -> None:
        """The cell above once more."""
        above = self.rows[self.row - 1].cells.get(self.column.key) if self.row else None
        if above is None:
            self._refuse("nothing stands above")
        else:
            self._put(above)

    def go(self, down: int, right: int) -> None:
        """Move the cursor; a cell being typed is done first, and one that cannot be read holds it. To another row: at its first lack."""
        if not self.settle():
            return
        before = self.row
        self.row = min(max(self.row + down, 0), len(self.rows) - 1)
        self.col = min(max(self.col + right, 0), len(self.columns) - 1)
        if self.row != before:
            if down and self.rows[before].cells and not self.rows[before].fault:
                self.judge_row(before)
            self.col = self._begin() if down == 1 else self.col
        elif down == 1:
            self.said = "the last row: Ctrl-S writes all"

    def rub_out(self) -> None:
        """Backspace: the last sign, or the whole cell where none is being typed."""
        self.said, self.bell = "", False
        if self.typing:
            self.typing = self.typing[:-1]
        elif self.typing is None:
            self.here.cells.pop(self.column.key, None)
            self.here.fault = self.here.at = ""
            self.keep()
        else:
            self.typing = None

    def filled(self) -> list[GridRow]:
        """The rows in which something stands."""
        return [row for row in self.rows if row.cells]

    def check_all(self) -> bool:
        """Whether every row that is filled in goes into the book; else the cursor stands on the first that does not."""
        wrong = [n for n in range(len(self.rows)) if not self.judge_row(n)]
        if wrong:
            self.row = wrong[0]
            self.col = next((n for n, one in enumerate(self.columns) if one.key == self.here.at), self.col)
            self.said, self.bell = f"{len(wrong)} {'row is' if len(wrong) == 1 else 'rows are'} to be put right", True
        return not wrong
