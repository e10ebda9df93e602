"""`caskbook enter sheet --type`: a paper sheet is typed in a grid at the terminal, and entered as one that was read back from a file."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import Book, open_book, say
from caskbook.cli.entering import ask
from caskbook.cli.entering.sheet_head import asked_head, read_typed
from caskbook.cli.entering.sheet_words import read_words
from caskbook.core.finding import CaskbookError
from caskbook.entry.grid import NOTE, Grid, GridColumn, GridRow, grid_columns
from caskbook.ledger.typed_drafts import draft_at, drop_draft, keep_draft, put_draft_aside
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.build import Asker
    from caskbook.entry.sheet_text import Row
    from caskbook.ledger.shift import Shift

_VALUES = ("date", "by", "sheet", "records", "why")
_SWITCHES = ("yes", "dry-run", "anyway", "commit", "due", "soon", "help")
_OWN_CELLS = ("date", "by", "sheet")
_ENDINGS = (".csv", ".yaml", ".yml")
_MOST_ROWS = 500
_KEPT = "caskbook enter sheet --type goes on with it"

Given = dict[str, str]


def type_sheet(argv: Sequence[str]) -> int:
    """Type a sheet and enter it. 0 written; 1 refused, declined or left, and then kept; 2 (as an error) where it cannot be."""
    loose, texts = read_words([word for word in argv if word != "--type"], _VALUES, _SWITCHES, fields=True)
    given = {name: found[-1] for name, found in texts.items()}
    if os.environ.get("TERM", "dumb") == "dumb" or not (ask.on_terminal() and sys.stdout.isatty()) or find_spec("prompt_toolkit") is None:
        raise CaskbookError("--type is typed at a terminal; elsewhere: caskbook sheet --for JOB --save tuesday.csv, then caskbook enter sheet tuesday.csv")
    book = open_book(given.get("records"), joins=True)
    from caskbook.cli.entering.desk import shift_here

    shift = shift_here(book, by=given.get("by"))
    draft = _resumed(book, loose)
    if draft is None:
        draft = _begun(book, shift, loose, given)
    return _Sheet(book, shift, draft).run(given)


def _resumed(book: Book, loose: Sequence[str]) -> dict[str, Any] | None:
    """What was typed before and is not written, if somebody goes on with it. CaskbookError where there is nothing and nothing is named."""
    draft = draft_at(book.root)
    try:
        known = draft is not None and [GridRow(*row) for row in draft["rows"]]
        words = known and f"{'+'.join(draft['jobs'])} on {number_of(len(known), 'cask')}, typed {draft['at']}" if draft is not None else ""
    except (KeyError, TypeError):
        draft, known, words = None, False, ""
    if draft is None or not known:
        if not loose:
            raise CaskbookError("which sheet? as: caskbook enter sheet --type test 7001..7040, --type test --due, or --type tuesday.csv")
        return None
    if not loose:
        return draft
    count = sum(1 for row in known if row.cells)
    say(f"not written yet: {words}, {count} of them filled in")
    if ask.yes_no("Go on with it? [Y/n] ", "y"):
        return draft
    if aside := put_draft_aside(book.root):
        say(f"put aside: {aside}")
    return None


def _begun(book: Book, shift: Shift | None, loose: Sequence[str], given: Given) -> dict[str, Any]:
    """A sheet with its rows, and what holds for all of them. CaskbookError where there are no rows."""
    from caskbook.entry.request import MANY_FILES, read_jobs
    from caskbook.entry.sheet_rows import refuse_unused
    from caskbook.entry.sheet_text import Row

    path = Path(loose[0])
    if path.suffix.lower() in _ENDINGS:
        jobs, rows = _of_file(path, loose)
        name = path.stem
    else:
        jobs = read_jobs(loose[0])
        rows, name = _of_casks(book, jobs, loose[1:], given), ""
    alone = next((job for job in jobs if job in MANY_FILES), None)
    if alone:
        raise CaskbookError(f"{alone} is written into several files: enter it by itself")
    if not rows:
        raise CaskbookError(f"which casks? as: caskbook enter sheet --type {loose[0]} 7001..7040, or --due")
    if len(rows) > _MOST_ROWS:
        raise CaskbookError(f"{len(rows)} rows are too many to be typed at once: at most {_MOST_ROWS}")
    alike = {**_usual(jobs, shift), **{key: text for key, text in given.items() if key not in (*_VALUES, *_SWITCHES)}}
    refuse_unused([Row(0, {"job": "+".join(jobs)})], alike)
    head = asked_head(book, shift, jobs, {**given, **({"sheet": given.get("sheet", name)} if name else {})}, alike)
    return {"jobs": list(jobs), "rows": rows, "alike": alike, "head": head, "row": 0, "at": f"{book.now:%Y-%m-%d %H:%M} UTC"}


def _usual(jobs: Sequence[str], shift: Shift | None) -> Given:
    """What the shift has for the fields of these jobs."""
    keys = {one.key for one in grid_columns(jobs)}
    return {key: text for key, text in shift.usual.items() if key in keys} if shift is not None else {}


def _of_file(path: Path, loose: Sequence[str]) -> tuple[list[str], list[list[Any]]]:
    """(jobs, rows) of a saved blank sheet, what is filled in already with them. CaskbookError for one of several jobs."""
    from caskbook.cli.entering.sheet_file import rows_in
    from caskbook.entry.request import read_jobs

    if len(loose) > 1:
        raise CaskbookError(f"--type {path.name} has its casks: leave {loose[1][:20]} out")
    found = rows_in(path)
    named = {row.cells.get("job", "") for row in found}
    if len(named) != 1 or not all(row.cells.get("cask") for row in found):
        raise CaskbookError(f"{path}: a grid is of one job, with a cask in each row; enter it as it is: caskbook enter sheet {path}")
    rows = []
    for row in found:
        own = {key: text for key, text in row.cells.items() if key not in ("job", "cask", *_OWN_CELLS)} | ({"tick": row.tick} if row.tick else {})
        rows.append([row.line, row.cells["cask"], "", own, "", "", {key: text for key, text in row.cells.items() if key in _OWN_CELLS}])
    return read_jobs(named.pop()), rows


def _of_casks(book: Book, jobs: Sequence[str], words: Sequence[str], given: Given) -> list[list[Any]]:
    """A row for each cask named, as it was named; with --due for each on which the job is due, along the berths."""
    from caskbook.cli.entering.blank_sheet import due_cards, known_cards
    from caskbook.cli.numbers import named
    from caskbook.entry.blank import Card
    from caskbook.entry.fields import NEW_FILE_JOBS

    casks = named(book, words, by_mark=not set(jobs) & set(NEW_FILE_JOBS)) if words else []
    if "due" in given:
        cards = due_cards(book, jobs, casks, {}, soon="soon" in given)
        if not cards:
            raise CaskbookError(f"nothing is due on {book.day} that calls for {'+'.join(jobs)}")
    elif set(jobs) & set(NEW_FILE_JOBS):
        cards = [Card(cask) for cask in casks]
    else:
        absent = next((cask for cask in casks if book.ledger.find(cask) is None), None)
        if absent:
            raise CaskbookError(book.ledger.absent(absent))
        cards = known_cards(book, casks, {}) if casks else []
    return [[n, card.cask, card.berth, {}, "", "", {}] for n, card in enumerate(cards, 1)]


class _Sheet:
    """A sheet that is being typed: its grid, what it is judged by, and where it is kept."""

    def __init__(self, book: Book, shift: Shift | None, draft: dict[str, Any]) -> None:
        """From what was begun or kept; CaskbookError where that cannot be kept from now on."""
        self.book, self.shift, self.draft = book, shift, draft
        self.head: Given = draft["head"]
        self.jobs: list[str] = draft["jobs"]
        rows = [GridRow(*row) for row in draft["rows"]]
        self.grid = Grid(grid_columns(self.jobs), rows, draft["alike"], self._cell, self._judged, self._keep, min(draft["row"], len(rows) - 1))
        self._keep()

    def _keep(self) -> None:
        rows = [[row.line, row.cask, row.about, row.cells, row.fault, row.at, row.fixed] for row in self.grid.rows]
        keep_draft(self.book.root, {**self.draft, "rows": rows, "row": self.grid.row})

    def _cell(self, column: GridColumn, text: str) -> str:
        from datetime import date

        if column.key == NOTE:
            return ""
        try:
            read_typed(self.book, date.fromisoformat(self.head["date"]), column, text)
        except CaskbookError as error:
            return str(error)
        return ""

    def _rows(self, rows: Sequence[GridRow]) -> list[Row]:
        from caskbook.entry.sheet_text import Row

        job = "+".join(self.jobs)
        cells = [{**row.fixed, "job": job, "cask": row.cask, **{key: text for key, text in row.cells.items() if key != "tick"}} for row in rows]
        return [Row(row.line, own, "x") for row, own in zip(rows, cells, strict=True)]

    def _judged(self, row: GridRow) -> tuple[str, str]:
        """(column, what is wrong) of a row, as a sheet that is read back would tell it."""
        from caskbook.entry.plan_sheet import sheet_faults

        try:
            faults = sheet_faults(self._desk(), self._rows([row]), self._asker(), self._given({}))
        except CaskbookError as error:
            return "", str(error)
        if not faults:
            return "", ""
        _, text, remedy = faults[0]
        at = next((one.key for one in self.grid.columns if f"--{one.title}" in text), "")
        return at, text + (f"; {remedy}" if remedy else "")

    def _desk(self) -> Any:
        from caskbook.cli.entering.desk import desk_of

        return desk_of(self.book, self.shift)

    def _asker(self) -> Asker:
        from caskbook.cli.entering.desk import asker_of

        asker = asker_of(self.book, self._desk(), self.shift)
        asker.by = self.head.get("by", asker.by)
        return asker

    def _given(self, given: Mapping[str, str]) -> Given:
        return {
            **self.grid.alike,
            **{key: text for key, text in self.head.items() if key != "by"},
            **{key: given[key] for key in ("anyway", "why") if key in given},
        }

    def run(self, given: Given) -> int:
        """Type, then plan all rows that are filled in, tell, ask once and write."""
        from caskbook.cli.entering.grid_screen import type_in
        from caskbook.cli.entering.tell_and_write import WELL, tell_and_write
        from caskbook.entry.plan_sheet import plan_sheet

        if not type_in(self.grid, self._title(), judged="anyway" not in given):
            say(f"not written: {number_of(len(self.grid.filled()), 'row')} typed; {_KEPT}")
            return 1
        filled = self.grid.filled()
        skipped = len(self.grid.rows) - len(filled)
        if skipped:
            say(f"not filled in, and skipped: {number_of(skipped, 'row')}")
        draft = plan_sheet(self._desk(), self.head["sheet"], self._rows(filled), self._asker(), self._given(given))
        code = tell_and_write(self.book, draft, dry="dry-run" in given, yes="yes" in given, commit="commit" in given)
        if "dry-run" in given or (code != WELL and not self._stands(filled)):
            say(f"what was typed is kept; {_KEPT}")
        else:
            drop_draft(self.book.root)
        return code

    def _stands(self, rows: Sequence[GridRow]) -> bool:
        """Whether all of it is in the book, whatever came after it was written."""
        from caskbook.core.run_files import run_files

        return bool(run_files(self.book.root)) and bool(rows)

    def _title(self) -> str:
        alike = "".join(f" · {key} {text}" for key, text in self.grid.alike.items())
        by = f" · {self.head['by']}" if "by" in self.head else ""
        from datetime import date

        day = date.fromisoformat(self.head["date"])
        return f"{'+'.join(self.jobs)} · {day:%A} {day}{by} · sheet {self.head['sheet']}{alike}"
