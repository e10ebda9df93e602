"""`caskbook enter sheet FILE` and blank sheets: a day's work from paper, all of it or nothing, twice the same as once."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import open_book, screen, write
from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_empty, refuse_second

if TYPE_CHECKING:
    from caskbook.entry.sheet import Row

_HELP = (
    "caskbook enter sheet FILE.csv|FILE.yaml\n"
    "  a day sheet, one row a job; running it twice adds nothing\n"
    "  columns: date, job, cask, by, then the fields of the jobs, as\n"
    "  `enter JOB --help` names them; YAML: date, by, sheet, and jobs: a list of maps\n"
    "  --date DAY, --by WHO   for rows that say none\n"
    "  --sheet NAME           likewise; else the file's name without its ending\n"
    "  --anyway --why '…', --yes, --dry-run, --records DIR\n"
    "caskbook sheet --for JOB [CASK…]\n"
    "  a blank sheet to print; --format csv, --rows N, --records DIR"
)
_VALUES = ("date", "by", "sheet", "records", "for", "format", "rows", "why")
_SWITCHES = ("yes", "dry-run", "anyway", "help")
_SHORT = {"-y": "--yes", "-n": "--dry-run", "-h": "--help"}
_USUAL_ROWS = 20
_MOST_ROWS = 500
_PAPER = 80
"""Columns that a sheet of A4 takes upright."""
_MOST_BYTES = 20_000_000


def _parsed(argv: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """(loose words, option → value) of the command line. CaskbookError for an option that there is not."""
    loose: list[str] = []
    given: dict[str, str] = {}
    words = [_SHORT.get(word, word) for word in argv]
    at = 0
    while at < len(words):
        word, at = words[at], at + 1
        name, equals, text = word[2:].partition("=")
        if not word.startswith("--"):
            loose.append(word)
        elif name in _SWITCHES:
            given[name] = "yes"
        elif name in _VALUES:
            if not equals and at >= len(words):
                raise CaskbookError(f"--{name} needs a value")
            value = text if equals else words[at]
            refuse_empty(f"--{name}", value)
            refuse_second(f"--{name}", given.get(name, value), value)
            given[name] = value
            at += not equals
        else:
            raise CaskbookError(f"--{name[:40]} is no option of sheet; `caskbook enter sheet --help` lists them")
    return loose, given


def run(argv: list[str]) -> int:
    """Enter a sheet, or print a blank one."""
    loose, given = _parsed(argv)
    if "help" in given:
        write(_HELP)
        return 0
    if "for" in given:
        return _blank(loose, given)
    if len(loose) != 1:
        raise CaskbookError("which sheet? as: caskbook enter sheet tuesday.csv, or for a blank one: caskbook sheet --for test")
    return _enter(Path(loose[0]), given)


def blank(argv: list[str]) -> int:
    """`caskbook sheet --for JOB`."""
    loose, given = _parsed(argv)
    if "help" in given:
        write(_HELP)
        return 0
    if "for" not in given:
        raise CaskbookError("a blank sheet for which job? as: caskbook sheet --for test")
    return _blank(loose, given)


def _blank(loose: Sequence[str], given: dict[str, str]) -> int:
    """A blank sheet for a job goes out, ruled for print or as CSV. It gives the exit code."""
    from caskbook.cli.numbers import named
    from caskbook.entry.blank import blank_print
    from caskbook.entry.casks import in_full, read_casks
    from caskbook.entry.request import MANY_FILES, read_jobs
    from caskbook.entry.sheet import blank_csv

    job, short = read_jobs(given["for"])[0], not in_full(loose)
    casks = named(open_book(given.get("records")), loose) if short else read_casks(loose)
    if job in MANY_FILES:
        raise CaskbookError(f"{job} is written into several files: enter it by itself")
    if given.get("format", "print") == "csv":
        write(blank_csv(job, casks))
        return 0
    if given.get("format", "print") != "print":
        raise CaskbookError(f"--format {given['format'][:20]}: expected print or csv")
    rows = _rows(given.get("rows", str(_USUAL_ROWS)))
    try:
        book = open_book(given.get("records"))
        name = book.ledger.house.on(book.today).name
    except CaskbookError:
        name = None
    write(blank_print(job, casks, name, rows, screen().width or _PAPER))
    return 0


def _rows(text: str) -> int:
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text[:9]) <= _MOST_ROWS:
        raise CaskbookError(f"--rows {text[:20]}: expected 1 to {_MOST_ROWS}")
    return int(text)


def _rows_in(path: Path) -> list[Row]:
    """The rows of a sheet's file. CaskbookError for what cannot be read."""
    from caskbook.entry.sheet import rows_of_csv, rows_of_yaml
    from caskbook.ledger.atomic_write import read_bytes
    from caskbook.yaml.source import Source

    data = read_bytes(path, _MOST_BYTES)
    if len(data) > _MOST_BYTES:
        raise CaskbookError(f"{path}: too large for a day sheet")
    source = Source.from_bytes(str(path), data)
    if source.bad_bytes:
        raise CaskbookError(f"{path}: not UTF-8; save the sheet as CSV UTF-8")
    return rows_of_yaml(data, str(path)) if path.suffix in (".yaml", ".yml") else rows_of_csv(source.text, str(path))


def _enter(path: Path, given: dict[str, str]) -> int:
    """Plan, tell and write; of a sheet nothing is asked in between."""
    from caskbook.cli.entering.desk import asker_of, desk_of, shift_here
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.entry.plan_sheet import plan_sheet

    rows = _rows_in(path)
    book = open_book(given.get("records"), joins=True)
    shift = shift_here(book, by=given.get("by"))
    desk = desk_of(book, shift)
    asker = asker_of(book, desk, shift)
    asker.by = given.get("by", asker.by)
    draft = plan_sheet(desk, path.name, rows, asker, {"sheet": path.stem, **given})
    return tell_and_write(book, draft, dry="dry-run" in given, yes="yes" in given)
