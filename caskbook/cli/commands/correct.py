"""Putting the book right from the command line: void, move-event, undo, stamp. Nothing that landed is ever edited."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from caskbook.cli.common import Book, open_book, say, write
from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_empty, refuse_second
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.correct import Target
    from caskbook.entry.plan import Desk

_HELP = {
    "void": "caskbook void CASK EVENT --why REASON\n"
    "  put an entry out of force; it stays, struck through\n"
    "caskbook void --sheet REF --why REASON\n"
    "  every entry of a sheet or run\n"
    "  EVENT is an id or its first figures; the other files of a rack, conversion\n"
    "  or swap are written too; --alone leaves standing what the book wrote with it\n"
    "  --by, --date, --yes, --dry-run, --commit, --records DIR",
    "move-event": "caskbook move-event CASK EVENT --to CASK --why REASON\n"
    "  out of force here, and copied to the cask it belongs to\n"
    "  --by, --anyway, --yes, --dry-run, --commit, --records DIR",
    "undo": "caskbook undo\n"
    "  take back what the last run wrote: its lines go where nobody has them yet,\n"
    "  else a void is written\n"
    "  --why REASON, --by, --yes, --dry-run, --commit, --records DIR",
    "stamp": "caskbook stamp FILE…\n  give ids to events written by hand; nothing else is touched; --dry-run",
}  # fmt: skip
_VALUES = ("why", "sheet", "by", "to", "records", "date", "note")
_SWITCHES = ("yes", "dry-run", "anyway", "alone", "commit", "help")
_MOST_TOLD = 10
_SHORT = {"-y": "--yes", "-n": "--dry-run", "-h": "--help"}


def _parsed(command: str, argv: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """Loose words and options. CaskbookError for an option there is none of."""
    loose: list[str] = []
    given: dict[str, str] = {}
    words = [_SHORT.get(word, word) for word in argv]
    at = 0
    while at < len(words):
        word, at = words[at], at + 1
        if not word.startswith("--"):
            loose.append(word)
            continue
        name, equals, text = word[2:].partition("=")
        if name in _SWITCHES:
            given[name] = "yes"
        elif name in _VALUES:
            if not equals:
                if at >= len(words):
                    raise CaskbookError(f"--{name} needs a value")
                text, at = words[at], at + 1
            refuse_empty(f"--{name}", text)
            refuse_second(f"--{name}", given.get(name, text), text)
            given[name] = text
        else:
            raise CaskbookError(f"--{name[:40]} is no option of {command}; `caskbook {command} --help` lists them")
    return loose, given


def _helped(command: str, given: dict[str, str]) -> bool:
    if "help" in given:
        write(_HELP[command])
    return "help" in given


def _common(book: Book, desk: Desk, given: dict[str, str], *, need_why: bool = True) -> dict[str, Any]:
    """What all entries of a run bear: day, who, why. CaskbookError where one of these is lacking."""
    from caskbook.cli.entering.desk import shift_here
    from caskbook.entry.build import default_by, read_day
    from caskbook.entry.correct import common_of

    if need_why and not given.get("why"):
        raise CaskbookError("the reason is needed: --why …")

    shift = shift_here(book, by=given.get("by"))
    by = given.get("by") or (shift.by if shift is not None else None) or default_by(desk, os.environ.get("CASKBOOK_BY"))
    if by is None and book.ledger.house.on(book.today).crew:
        raise CaskbookError("who puts it right? --by INITIALS")
    day = read_day(given["date"], book.today) if "date" in given else book.today
    return common_of(day, by, given.get("why", ""), None)


def void(argv: list[str]) -> int:
    """`void CASK EVENT --why`, `void --sheet S --why`."""
    from caskbook.cli.entering.desk import desk_of
    from caskbook.cli.numbers import named_one
    from caskbook.entry.correct import targets_of

    loose, given = _parsed("void", argv)
    if _helped("void", given):
        return 0
    book = open_book(given.get("records"), joins=True)
    desk = desk_of(book)
    common = _common(book, desk, given)
    if "sheet" in given:
        targets = _of_sheet(book, desk, given["sheet"], loose)
    elif len(loose) == 2:
        targets = targets_of(desk, named_one(book, loose[0]), loose[1], alone="alone" in given)
    else:
        raise CaskbookError("which entry? as: caskbook void TH-004217 dt3q62s1 --why '…', or --sheet REF")
    return _write_voids(book, desk, targets, common, given)


def _of_sheet(book: Book, desk: Desk, sheet: str, loose: Sequence[str]) -> list[Target]:
    """The standing entries that bear a sheet, in the casks named or in the whole book. CaskbookError where there is none."""
    from caskbook.cli.numbers import named
    from caskbook.entry.correct import sheet_targets

    mark = sheet.encode()
    if loose:
        casks = named(book, loose)
    else:
        file_store = book.ledger.file_store
        casks = [Path(name).stem for name in file_store.names() if mark in (file_store.read(name) or b"")]
    targets = sheet_targets(desk, sheet, casks)
    if not targets:
        raise CaskbookError(f"no standing entry bears the sheet {sheet[:60]}")
    return targets


def _write_voids(book: Book, desk: Desk, targets: Sequence[Target], common: dict[str, Any], given: dict[str, str]) -> int:
    """The voids of these entries are planned, told and written, under one sheet where they are in several casks. It gives the exit code."""
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.entry.correct import move_of, plan_voids
    from caskbook.entry.entry import run_sheet
    from caskbook.entry.plan_request import drafted

    if len({target.cask for target in targets}) > 1:
        common["sheet"] = run_sheet(book.today, common.get("by"), desk.bits)
    plan = plan_voids(desk, targets, common, anyway=True)
    voided = {(cask, event.get("of")) for cask, event in plan.written}
    told = [target for target in targets if (target.cask, target.event.id) in voided]
    for target in told[:_MOST_TOLD]:
        _tell_target(target)
    _tell_rest(len(told), "entry")
    for target in told[:_MOST_TOLD]:
        if (move := move_of(desk, target)) is not None and (move.cask, move.event.id) not in voided:
            say(f"{target.cask}  its {target.event.job} stands on {move.cask} no more either; to take back the move: caskbook void {move.cask} {move.event.id}")
    return tell_and_write(book, drafted(desk, plan), dry="dry-run" in given, yes="yes" in given, commit="commit" in given)


def _tell_rest(count: int, noun: str) -> None:
    if count > _MOST_TOLD:
        say(f"… and {count - _MOST_TOLD} more, {number_of(count, noun)} in all")


def _tell_target(target: Target) -> None:
    from caskbook.cli.entering.tell_and_write import safe
    from caskbook.model.jobs.base import event_words

    event = target.event
    because = f"  ({target.because})" if target.because else ""
    say(safe(f"{target.cask}  {event.date} {event.job}: {event_words(event)}{because}"))


def move_event(argv: list[str]) -> int:
    """`move-event CASK EVENT --to CASK --why`."""
    from caskbook.cli.entering.desk import desk_of
    from caskbook.cli.entering.tell_and_write import tell_and_write
    from caskbook.cli.numbers import named_one
    from caskbook.entry.correct import plan_move
    from caskbook.entry.entry import run_sheet
    from caskbook.entry.plan_request import drafted

    loose, given = _parsed("move-event", argv)
    if _helped("move-event", given):
        return 0
    if len(loose) != 2 or "to" not in given:
        raise CaskbookError("as: caskbook move-event TH-004217 dt3q62s1 --to TH-004271 --why '…'")
    book = open_book(given.get("records"), joins=True)
    desk = desk_of(book)
    common = _common(book, desk, given)
    common["sheet"] = run_sheet(book.today, common.get("by"), desk.bits)
    plan = plan_move(desk, named_one(book, loose[0]), loose[1], named_one(book, given["to"]), common, anyway="anyway" in given)
    return tell_and_write(book, drafted(desk, plan), dry="dry-run" in given, yes="yes" in given, commit="commit" in given)


def undo(argv: list[str]) -> int:
    """Take back the last run: lines nobody has go, what landed gets a void."""
    from caskbook.cli.committing import refuse_dry
    from caskbook.cli.entering.desk import desk_of
    from caskbook.entry.write import last_run

    loose, given = _parsed("undo", argv)
    if _helped("undo", given):
        return 0
    refuse_dry(dry="dry-run" in given, commit="commit" in given)
    if loose:
        raise CaskbookError("undo takes back the last run; for another entry: caskbook void CASK EVENT --why …")
    book = open_book(given.get("records"), joins=True)
    files = last_run(book.root)
    if not files:
        raise CaskbookError("no run to take back is known here; put it right with: caskbook void CASK EVENT --why …")
    return undo_files(book, desk_of(book), files, given)


def undo_files(book: Book, desk: Desk, files: Sequence[dict[str, Any]], given: dict[str, str]) -> int:
    """Take back these files' entries, as `write.last_run` tells them."""
    from caskbook.cli.commands.undo_files import taken_back, to_take_back
    from caskbook.cli.committing import commit_run
    from caskbook.cli.entering.ask import agreed

    landed = {one["path"]: landed_ids(book, one["path"]) for one in files}
    fresh = [one for one in files if not set(one["ids"]) & landed[one["path"]]]
    if len(fresh) < len(files):
        return _void_landed(book, desk, files, given)
    to_take_back(book, files)
    for one in files[:_MOST_TOLD]:
        say(f"{one['cask']}  {number_of(len(one['ids']), 'entry')} taken out{', and the file' if one['new'] else ''}")
    _tell_rest(len(files), "cask")
    if "dry-run" in given:
        return 0
    if not agreed(len(files), yes="yes" in given, what="Take {} back"):
        say("nothing changed")
        return 1
    taken_back(book, files)
    write("\n".join(f"{one['cask']}  undone" for one in files) if len(files) <= _MOST_TOLD else f"{number_of(len(files), 'cask')} undone")
    return commit_run(book) if "commit" in given else 0


def landed_ids(book: Book, name: str) -> set[str]:
    """Event ids of a file that others may have: those in git's HEAD; without git, all that is on disk."""
    committed = committed_ids(book, name)
    return committed if committed is not None else _ids_in(name, book.ledger.file_store.read(name))


def committed_ids(book: Book, name: str) -> set[str] | None:
    """Event ids of a file in git's HEAD; None where there is no git."""
    from caskbook.git import open_git

    try:
        git = open_git(book.root)
    except CaskbookError:
        return None
    entry = git.entry("HEAD", git.prefix + name) if git.head() else None
    return _ids_in(name, git.blobs([entry.oid])[entry.oid] if entry else None)


def _ids_in(name: str, data: bytes | None) -> set[str]:
    from caskbook.model.cask_file import read_record

    cask = read_record(name, data).cask if data is not None else None
    return {event.id for event in cask.events} if cask else set()


def _void_landed(book: Book, desk: Desk, files: Sequence[dict[str, Any]], given: dict[str, str]) -> int:
    """The last run's entries have landed, so they are voided instead of taken out. CaskbookError where all of them are out of force."""
    from caskbook.entry.correct import Target
    from caskbook.entry.page import event_named
    from caskbook.entry.undo import ids_now
    from caskbook.model.standing import corrections
    from caskbook.yaml.source import Source

    known = committed_ids(book, files[0]["path"]) is not None
    say(f"{'already landed' if known else 'no git here tells who has it already'}: not taken out, but put out of force")
    targets = []
    for one in files:
        page = desk.page(one["cask"])
        fallen = corrections(page.events).fallen
        ids = ids_now(Source.from_bytes(one["path"], book.ledger.file_store.read(one["path"]) or b""), one)
        events = [event for event_id in ids if (event := event_named(page, event_id)) and event_id not in fallen]
        targets += [Target(one["cask"], event) for event in reversed(events)]
    if not targets:
        raise CaskbookError("the last run is out of force already")
    return _write_voids(book, desk, targets, _common(book, desk, {"why": "taken back", **given}), given)


def stamp(argv: list[str]) -> int:
    """`stamp FILE…`: ids for hand-written events."""
    from caskbook.cli.commands.stamp_files import stamp_all

    loose, given = _parsed("stamp", argv)
    if _helped("stamp", given):
        return 0
    if "commit" in given:
        raise CaskbookError("stamp goes over what was written by hand: git add and git commit do the rest")
    if not loose:
        raise CaskbookError("which files? as: caskbook stamp records/casks/TH-004/TH-004217.yaml")
    return stamp_all(loose, dry="dry-run" in given)
