"""How a line is taken back, or put out of force where others have it already; which line of a shift `undo` of the bench takes back where this bench wrote none, and
how it is told."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.cli.common import Book, say
from caskbook.core.finding import CaskbookError

Files = list[dict[str, Any]]
TAKEN, VOIDED, PASSED = "TAKEN BACK", "VOIDED", "NO MORE IN FORCE"
"""What `undo` did: its lines are gone; a void stands for each entry; it was out of force already, or is no longer there, and the next `undo` is of the line before."""
_MOST_NAMED = 6
_MOST_KINDS = 3


def last_of_shift(book: Book) -> Files | None:
    """What the latest run of this shift wrote of which anything is still in force; None where there is none, or where no shift is in
    force. What another hand entered meanwhile is passed over, and the voids that took a line back."""
    from caskbook.cli.commands.undo import events_of
    from caskbook.cli.entering.shift import out_of_force
    from caskbook.entry.shift_runs import runs_of_shift
    from caskbook.ledger.shift import shift_of

    shift = shift_of(book.root)
    if shift is None or out_of_force(book, shift):
        return None
    runs: list[Files] = runs_of_shift(book.root, shift)
    for files in reversed(runs):
        events = [event for one in files for event in events_of(book, one)]
        if any(event.by in (shift.by, None) for event in events) and in_force(book, files) and not all(_takes_back(event) for event in events):
            return files
    return None


def _takes_back(event: Any) -> bool:
    from caskbook.cli.commands.undo import TAKEN_BACK

    return bool(event.job == "void" and event.why == TAKEN_BACK)


def in_force(book: Book, files: Sequence[dict[str, Any]]) -> bool:
    """Whether anything that a line wrote still counts; also where its file cannot be read, which is then told."""
    from caskbook.entry.undo import ids_now
    from caskbook.model.cask_file import read_record
    from caskbook.model.standing import corrections
    from caskbook.yaml.source import Source

    for one in files:
        if (data := book.ledger.file_store.read(one["path"])) is None:
            continue
        cask = read_record(one["path"], data).cask
        fallen = corrections(cask.events).fallen if cask is not None else {}
        mine = ids_now(Source.from_bytes(one["path"], data), one)
        if cask is None or any(event.id in mine and event.id not in fallen for event in cask.events):
            return True
    return False


def committed(book: Book, files: Sequence[dict[str, Any]]) -> list[tuple[str, str]]:
    """(cask, event) of what a line wrote and git has already."""
    from caskbook.cli.commands.undo import committed_ids

    return [(one["cask"], event) for one in files for event in sorted(set(one["ids"]) & (committed_ids(book, one["path"]) or set()))]


def take_out(book: Book, files: Sequence[dict[str, Any]]) -> str:
    """The lines go; where any of them was committed meanwhile, a void is written for each entry instead; where nothing of it is in force, neither.
    Which of these. CaskbookError where it cannot be."""
    from caskbook.cli.commands.undo_files import taken_back

    if not in_force(book, files):
        return PASSED
    if committed(book, files):
        _voided(book, files)
        return VOIDED
    taken_back(book, files)
    return TAKEN


def _voided(book: Book, files: Sequence[dict[str, Any]]) -> None:
    """Voids by the hand of the shift; where none is in force, by that of the entries. CaskbookError where it is not agreed to."""
    from caskbook.cli.commands.undo import events_of, void_landed
    from caskbook.cli.commands.undo_files import refuse_built_on
    from caskbook.cli.entering import ask
    from caskbook.cli.entering.desk import desk_of
    from caskbook.cli.entering.shift import out_of_force
    from caskbook.ledger.shift import shift_of

    refuse_built_on(book, files)
    given = {} if ask.on_terminal() else {"yes": "yes"}
    shift, hands = shift_of(book.root), {event.by for one in files for event in events_of(book, one)}
    if (shift is None or out_of_force(book, shift)) and len(hands) == 1 and (by := hands.pop()):
        given["by"] = by
    if void_landed(book, desk_of(book), files, given):
        raise CaskbookError("it was committed meanwhile, and no void is written; nothing taken back")


def line_words(book: Book, files: Sequence[dict[str, Any]]) -> str:
    """ "TH-007005  test: pass, 11 psi  Sun 2026-11-29, ab", of several casks their numbers first."""
    from caskbook.cli.commands.undo import events_of
    from caskbook.cli.entering.tell_and_write import safe
    from caskbook.entry.says import job_words

    casks = list(dict.fromkeys(one["cask"] for one in files))
    events = [event for one in files for event in events_of(book, one)]
    named = ", ".join(casks[:_MOST_NAMED]) + (f" … {len(casks)} casks" if len(casks) > _MOST_NAMED else "")
    kinds = list(dict.fromkeys(job_words(event) for event in events))
    said = "; ".join(kinds[:_MOST_KINDS]) + (f"; {len(kinds) - _MOST_KINDS} more" if len(kinds) > _MOST_KINDS else "")
    days = ", ".join(dict.fromkeys(f"{event.date:%a} {event.date}" for event in events))
    hands = ", ".join(dict.fromkeys(event.by for event in events if event.by))
    return safe("  ".join(part for part in (named, said, ", ".join(part for part in (days, hands) if part)) if part))


def meant(said: str) -> bool:
    """Whether a line that stood there before this bench began shall go: asked at a terminal, with what it is."""
    from caskbook.cli.entering import ask

    if not ask.on_terminal():
        return True
    try:
        say(said)
        return ask.yes_no("Written before this bench began: take it back? [y/N] ", "n")
    except ask.DeclinedError:
        return False
