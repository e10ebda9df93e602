"""Which line of a shift `undo` of the bench takes back where this bench wrote none, and how it is told."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.cli.common import Book, say

Files = list[dict[str, Any]]
_MOST_NAMED = 6
_MOST_KINDS = 3


def last_of_shift(book: Book) -> Files | None:
    """What the latest run of this shift wrote of which anything is still in the book; None where there is none, or where no shift is in
    force. What another hand entered meanwhile is passed over."""
    from caskbook.cli.commands.undo import events_of
    from caskbook.cli.entering.shift import out_of_force
    from caskbook.entry.shift_runs import runs_of_shift
    from caskbook.ledger.shift import shift_of

    shift = shift_of(book.root)
    if shift is None or out_of_force(book, shift):
        return None
    runs: list[Files] = runs_of_shift(book.root, shift)
    for files in reversed(runs):
        hands = [event.by for one in files for event in events_of(book, one)]
        if any(by in (shift.by, None) for by in hands):
            return files
    return None


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
