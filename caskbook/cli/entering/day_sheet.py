"""`caskbook enter sheet FILE`: a day's work from paper, all of it or nothing, twice the same as once."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

from caskbook.cli.common import open_book, write
from caskbook.cli.entering.sheet_file import rows_in
from caskbook.cli.entering.sheet_words import SHEET_HELP, read_words
from caskbook.core.finding import CaskbookError

_VALUES = ("date", "by", "sheet", "records", "why")
_SWITCHES = ("yes", "dry-run", "anyway", "commit", "help")


def run(argv: list[str]) -> int:
    """Enter a sheet, type one, or print a blank one."""
    if any(word == "--for" or word.startswith("--for=") for word in argv):
        from caskbook.cli.entering.blank_sheet import blank

        return blank(argv)
    if "--type" in argv and not {"-h", "--help"} & set(argv):
        from caskbook.cli.entering.type_sheet import type_sheet

        return type_sheet(argv)
    loose, given = read_words(argv, _VALUES, _SWITCHES, fields=True)
    if "help" in given:
        write(SHEET_HELP)
        return 0
    if len(loose) != 1:
        raise CaskbookError("which sheet? as: caskbook enter sheet tuesday.csv, or for a blank one: caskbook sheet --for test")
    return _enter(Path(loose[0]), {name: texts[-1] for name, texts in given.items()})


def _enter(path: Path, given: dict[str, str]) -> int:
    """Plan, tell and write; of a sheet nothing is asked in between."""
    from caskbook.cli.entering.desk import asker_of, desk_of, shift_here
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.entry.plan_sheet import plan_sheet

    rows = rows_in(path)
    book = open_book(given.get("records"), joins=True)
    shift = shift_here(book, by=given.get("by"))
    desk = desk_of(book, shift)
    asker = asker_of(book, desk, shift)
    asker.by, asker.named = given.get("by", asker.by), "by" in given
    if shift is not None:
        from caskbook.cli.entering.shift import take_usual

        own = replace(shift, usual={key: text for key, text in shift.usual.items() if key != "sheet"})  # A sheet read again is known by its own name.
        asker.usual = partial(take_usual, shift=own, house=book.ledger.house.on(book.today))
    draft = plan_sheet(desk, path.name, rows, asker, {"sheet": path.stem, **given})
    return tell_and_write(book, draft, dry="dry-run" in given, yes="yes" in given, commit="commit" in given)
