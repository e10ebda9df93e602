"""Putting the book right from the command line: void, move-event, stamp. Nothing that landed is ever edited."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from caskbook.cli.commands.put_right import (
    common,
    declinable,
    entries_of,
    helped,
    parsed,
    refuse_without_why,
    tell_target,
    with_reason,
    write_voids,
)
from caskbook.cli.commands.undo import undo as undo
from caskbook.cli.common import Book, open_book
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk

_VOID = (
    "caskbook void CASK EVENT --why REASON\n"
    "  put an entry out of force; it stays, struck through\n"
    "  as: caskbook void 4217 gqw --why 'wrong cask'\n"
    "caskbook void --sheet REF --why REASON\n"
    "  every entry of a sheet or run, all or none; CASK… --sheet REF: of these\n"
    "  as: caskbook void --sheet run-20261124-ab-x7k2 --why 'gauge was broken'\n"
    "  EVENT is an id or its first figures; REF its name, or its last figures\n"
    "  (x7k2); caskbook show CASK --all tells both. The other files of a rack,\n"
    "  conversion or swap are written too; --alone leaves standing what the book\n"
    "  wrote with it. At a terminal the reason is asked for.\n"
    "  --by, --date, --yes, --dry-run, --commit, --records DIR\n"
    "  exit code 0 written, 1 refused or declined, 2 not understood"
)
_MOVE = (
    "caskbook move-event CASK EVENT --to CASK --why REASON\n"
    "  out of force here, and copied to the cask it belongs to\n"
    "  as: caskbook move-event 4217 gqw --to 4271 --why 'misread'\n"
    "caskbook move-event --sheet REF --map '7005=7006,7006=7005' --why REASON\n"
    "  entries of a sheet or run go from the left cask to the right one, all or\n"
    "  none; swaps, chains and ranges (7005..7010=7006..7011); casks that are not\n"
    "  named stay. --map FILE: a pair a line, as 7005=7006 or 7005,7006\n"
    "  REF is the name of the sheet, or its last figures; caskbook show CASK --all\n"
    "  tells it. At a terminal the reason is asked for.\n"
    "  --by, --anyway, --yes, --dry-run, --commit, --records DIR\n"
    "  exit code 0 written, 1 refused or declined, 2 not understood"
)
_STAMP = "caskbook stamp FILE…\n  give ids to events written by hand; nothing else is touched; --dry-run"


@declinable
def void(argv: list[str]) -> int:
    """`void CASK EVENT --why`, `void --sheet S --why`."""
    from caskbook.cli.entering.desk import desk_of
    from caskbook.cli.numbers import named_one
    from caskbook.entry.correct import targets_of

    loose, given = parsed("void", argv, ("why", "sheet", "by", "date", "alone"))
    if helped(_VOID, given):
        return 0
    refuse_without_why(given)
    book = open_book(given.get("records"), joins=True)
    desk = desk_of(book)
    bears = common(book, desk, given)
    if "sheet" in given:
        from caskbook.entry.of_sheet import sheet_targets

        targets = sheet_targets(desk, entries_of(book, desk, given["sheet"], loose))
    elif len(loose) == 2:
        targets = targets_of(desk, named_one(book, loose[0]), loose[1], alone="alone" in given)
    else:
        raise CaskbookError("which entry? as: caskbook void TH-004217 dt3q62s1 --why '…', or --sheet REF")
    return write_voids(book, desk, targets, bears, given)


@declinable
def move_event(argv: list[str]) -> int:
    """`move-event CASK EVENT --to CASK --why`, `move-event --sheet REF --map PAIRS --why`."""
    from caskbook.cli.entering.desk import desk_of
    from caskbook.entry.entry import run_sheet

    loose, given = parsed("move-event", argv, ("why", "sheet", "map", "to", "by", "date", "anyway"))
    if helped(_MOVE, given):
        return 0
    of_sheet = "sheet" in given or "map" in given
    if of_sheet and (loose or "to" in given or not {"sheet", "map"} <= given.keys()):
        raise CaskbookError("as: caskbook move-event --sheet REF --map '7005=7006,7006=7005' --why '…'")
    if not of_sheet and (len(loose) != 2 or "to" not in given):
        raise CaskbookError("as: caskbook move-event TH-004217 dt3q62s1 --to TH-004271 --why '…'")
    refuse_without_why(given)
    book = open_book(given.get("records"), joins=True)
    desk = desk_of(book)
    bears = common(book, desk, given)
    bears["sheet"] = run_sheet(book.today, bears.get("by"), desk.bits)
    if of_sheet:
        from caskbook.cli.commands.move_sheet import move_sheet

        return move_sheet(book, desk, bears, given)
    return _move_one(book, desk, loose, bears, given)


def _move_one(book: Book, desk: Desk, loose: Sequence[str], bears: dict[str, Any], given: dict[str, str]) -> int:
    """One entry goes to another cask. It gives the exit code."""
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.cli.numbers import named_one
    from caskbook.entry.correct import Target, plan_move
    from caskbook.entry.plan import standing_event
    from caskbook.entry.plan_request import drafted

    cask, to = named_one(book, loose[0]), named_one(book, given["to"])
    if not bears.get("why"):
        tell_target(Target(cask, standing_event(desk.page(cask), loose[1]), f"to {to}"))
        bears = with_reason(bears)
    plan = plan_move(desk, cask, loose[1], to, bears, anyway="anyway" in given)
    return tell_and_write(book, drafted(desk, plan, work=False), dry="dry-run" in given, yes="yes" in given, commit="commit" in given)


def stamp(argv: list[str]) -> int:
    """`stamp FILE…`: ids for hand-written events."""
    from caskbook.cli.commands.stamp_files import stamp_all

    loose, given = parsed("stamp", argv, ())
    if helped(_STAMP, given):
        return 0
    if "commit" in given:
        raise CaskbookError("stamp goes over what was written by hand: git add and git commit do the rest")
    if not loose:
        raise CaskbookError("which files? as: caskbook stamp records/casks/TH-004/TH-004217.yaml")
    return stamp_all(loose, dry="dry-run" in given)
