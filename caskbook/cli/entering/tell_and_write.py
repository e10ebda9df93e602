"""The last of the three steps of entering: what was planned is told, agreed to once, and written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say, write

if TYPE_CHECKING:
    from collections.abc import Callable

    from caskbook.entry.plan import Plan
    from caskbook.entry.plan_request import Draft

WELL, REFUSED = 0, 1
_MOST_TOLD = 40


def safe(text: str) -> str:
    """The text with nothing that could steer a terminal. What can do so is rare, and rich is slow to load."""
    if text.isprintable() and all(sign < "\u0300" or sign in "…–—’“”" for sign in text):
        return text
    from caskbook.render.console import safe as made_safe

    return made_safe(text)


def tell_and_write(book: Book, draft: Draft, *, dry: bool, yes: bool, commit: bool = False, again: Callable[[Book], Draft] | None = None) -> int:
    """Tell what the plan would do, and do it after one yes. `again` plans anew where somebody wrote to a file meanwhile; `commit`: what was
    written is committed."""
    from caskbook.cli.committing import commit_run, refuse_dry
    from caskbook.cli.entering.ask import agreed, sure

    refuse_dry(dry=dry, commit=commit)
    for line in (*draft.echoes, *draft.refused):
        say(safe(line))
    plan = draft.plan
    if plan is None:
        return REFUSED
    if plan.refusals:
        return tell_refusals(plan)
    if not plan.written:
        say("nothing to write")
        return WELL
    for line in (*draft.remarks.lines, *draft.remarks.doubts):
        say(safe(line))
    if draft.remarks.cautions:
        from caskbook.cli.entering.shift import note_cautions

        note_cautions(book, draft.remarks.cautions)
    if dry:
        write("".join(diffs(book, plan)))
        return WELL
    if draft.remarks.doubts and not yes and not sure():
        return REFUSED
    if not agreed(len({cask for cask, _ in plan.written}), yes=yes):
        say("nothing written")
        return REFUSED
    code = _put_down(book, plan, again)
    return commit_run(book) if commit and code == WELL else code


def _put_down(book: Book, plan: Plan, again: Callable[[Book], Draft] | None) -> int:
    """Write the plan. Where a file has gone on since it was read, the entries are laid on what it holds now, under the lock."""
    from caskbook.entry.says import result_lines, total_line
    from caskbook.entry.write import write_plan
    from caskbook.index.index import Index
    from caskbook.ledger.files import Folder, open_folder
    from caskbook.ledger.pending_writes import held_for_writing, recover

    with held_for_writing(book.root):
        recover(book.root)
        file_store = Folder(book.root, "")
        if again is not None and any(file_store.read(name) != old for name, (old, _) in plan.changes.items()):
            ledger = open_folder(book.root, Path.cwd())
            ledger.today = book.today
            ledger.claims_known, ledger.takers_known = book.ledger.claims_known, book.ledger.takers_known
            Index.search_near(ledger)
            fresh = again(replace(book, ledger=ledger)).plan
            assert fresh is not None, "what was typed and answered leaves nothing open"
            plan = fresh
            if plan.refusals:
                say("somebody wrote to it meanwhile:")
                return tell_refusals(plan)
        write_plan(book.root, plan)
    write("\n".join(safe(line) for line in result_lines(plan)))
    if total := total_line(plan):
        say(safe(total))
    return WELL


def diffs(book: Book, plan: Plan) -> list[str]:
    """The plan as unified diffs, harmless on a terminal."""
    from caskbook.entry.diff import unified

    found = (unified(book.ledger.file_store.shown + name, old, new) for name, (old, new) in plan.changes.items())
    return ["\n".join(safe(line) for line in text.split("\n")) for text in found]


def tell_refusals(plan: Plan) -> int:
    """Why nothing was written, cask by cask."""
    from caskbook.entry.refusal import all_the_same
    from caskbook.entry.says import refusal_lines

    casks, unsaid = {refusal.cask for refusal in plan.refusals}, {event["id"] for _, _, event in plan.unsaid}
    lines = refusal_lines(plan.refusals)
    for line in lines[: 2 * _MOST_TOLD]:
        say(safe(line))
    if len(lines) > 2 * _MOST_TOLD:
        say(f"… and {len(lines) - 2 * _MOST_TOLD} lines more")
    if all(refusal.policy for refusal in plan.refusals):
        reasoned = {event["id"] for _, event in plan.written if "why" in event or "moved_from" in event}
        open_ = any(cask in casks and event["id"] not in reasoned | unsaid for cask, event in plan.written)
        reason = ' --why "…"' if open_ else ""
        say(all_the_same(plan.refusals, reason))
    count = len(plan.pages)
    say(f"nothing written: {len(casks)} of {count} casks refused" if count > 1 else "nothing written")
    return REFUSED
