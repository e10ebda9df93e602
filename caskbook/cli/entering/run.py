"""One run of entering: what was typed is planned, told, asked about once, and written."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say, write
from caskbook.cli.entering.answers import ANSWERING
from caskbook.cli.entering.joined import refuse_joined
from caskbook.core.finding import CaskbookError
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from caskbook.entry.build import Asker, Built
    from caskbook.entry.plan import Desk, Plan
    from caskbook.entry.request import Request

WELL, REFUSED = 0, 1
_MOST_TOLD = 40
_MOST_LATER = 10


def safe(text: str) -> str:
    """The text with nothing that could steer a terminal. What can do so is rare, and rich is slow to load."""
    if text.isprintable() and all(sign < "\u0300" or sign in "…–—’“”" for sign in text):
        return text
    from caskbook.render.console import safe as made_safe

    return made_safe(text)


def random_bits(count: int) -> int:
    """So many bits that cannot be guessed."""
    size = (count + 7) // 8
    return int.from_bytes(os.urandom(size), "big") >> (size * 8 - count)


def desk_of(book: Book) -> Desk:
    """The planning desk of an open ledger."""
    from caskbook.entry.plan import Desk

    return Desk(book.ledger, book.today, book.now, random_bits)


def asker_of(book: Book, desk: Desk) -> Asker:
    """Who enters by default, and the comment of a new file."""
    from caskbook.entry.build import Asker, default_by

    return Asker(default_by(desk, os.environ.get("CASKBOOK_BY")), schema_comment(book))


def schema_comment(book: Book) -> str:
    """The line by which an editor finds the schema, where there is one beside the ledger or in it."""
    for up, folder in (("../../../", book.root.resolve().parent), ("../../", book.root)):
        if (folder / "schemas" / "cask.schema.json").is_file():
            return f"yaml-language-server: $schema={up}schemas/cask.schema.json"
    return ""


def enter_on(book: Book, desk: Desk, request: Request) -> int:
    """Plan and write one request."""
    if request.anyway and not any(request.one("why", job) for job in request.jobs):
        raise CaskbookError("--anyway needs its reason: --why …, which is written on the entry")
    absent = absent_casks(desk, request)
    if absent and not request.has("skip_missing"):
        return _tell_absent(desk, absent, request)
    refuse_joined(book, request)
    request.casks = [cask for cask in request.casks if cask not in absent]
    if not request.casks:
        raise CaskbookError("none of these casks is in the book")
    from caskbook.cli.entering.barred import unless_barred

    return unless_barred(desk, request, lambda: _enter_asked(book, desk, request), tell_refusals)


def _enter_asked(book: Book, desk: Desk, request: Request) -> int:
    """Ask for what is lacking, plan, and write."""
    from caskbook.entry.figures import refuse_clashes, refuse_dips
    from caskbook.entry.plan import plan_run

    refuse_clashes(request)
    if "measure" in request.jobs:
        from caskbook.cli.entering.lengths import ask_dims_unit

        ask_dims_unit(desk, request)
    if request.jobs[-1] in ANSWERING:
        from caskbook.cli.entering.answers import offer_answers

        offer_answers(desk, request)
    built = complete(book, desk, request)
    refuse_dips(desk, built.entries)

    for echo in built.echoes:
        say(echo)
    plan = plan_run(desk, built.entries, anyway=request.anyway)

    def again(fresh: Book) -> Plan:
        new_desk = desk_of(fresh)
        return plan_run(new_desk, complete(fresh, new_desk, request).entries, anyway=request.anyway)

    return finish(book, plan, dry=request.has("dry_run"), yes=request.has("yes"), again=again)


def absent_casks(desk: Desk, request: Request) -> list[str]:
    """Casks named that the book has not, for a job that begins no file."""
    from caskbook.entry.fields import NEW_FILE_JOBS

    if request.jobs[0] in NEW_FILE_JOBS:
        return []
    return [cask for cask in request.casks if desk.page(cask).record is None]


def _tell_absent(desk: Desk, absent: Sequence[str], request: Request) -> int:
    from caskbook.entry.says import short_list

    if len(request.casks) > 1:
        listed = ", ".join(absent) if len(absent) <= _MOST_TOLD else short_list(absent)
        say(f"{len(absent)} of {len(request.casks)} casks are not in the book: {listed}")
    else:
        say(desk.ledger.absent(absent[0]))
    say("  check the number, or enter its receipt first" + ("; --skip-missing goes on without" if len(request.casks) > 1 else ""))
    say("nothing written")
    return REFUSED


def complete(book: Book, desk: Desk, request: Request) -> Built:
    """The entries, every mandatory field given: asked for on a terminal, an error elsewhere."""
    from caskbook.cli.entering.ask import ask_left, ask_missing, missing_line, on_terminal
    from caskbook.entry.request import MANY_FILES

    if request.jobs[0] in MANY_FILES:
        from caskbook.entry.lots import build_lot as make
    else:
        from caskbook.entry.build import build as make
    asker = asker_of(book, desk)
    for turn in range(8):
        built = make(desk, request, asker)
        if not built.missing and not (on_terminal() and ask_left(desk, request)):
            return built
        if not on_terminal():
            raise CaskbookError(missing_line(desk, request, built))
        if not turn:
            _tell_cask(book, desk, request)
        ask_missing(desk, request, built)
    raise CaskbookError(missing_line(desk, request, built))


def _tell_cask(book: Book, desk: Desk, request: Request) -> None:
    """Before anything is asked: which cask this is, while a wrong number can still be noticed."""
    from caskbook.entry.says import page_line

    page = desk.page(request.casks[0])
    if len(request.casks) == 1 and page.first is not None and page.first.cask is not None:
        say(safe(page_line(page, book.ledger.house, book.today)))


def finish(book: Book, plan: Plan, *, dry: bool, yes: bool, again: Callable[[Book], Plan] | None = None) -> int:
    """Tell what the plan would do, and do it after one yes. `again` plans anew where somebody wrote to a file meanwhile."""
    from caskbook.cli.entering.ask import agreed, sure
    from caskbook.cli.entering.doubts import doubts, notices
    from caskbook.cli.entering.slips import tell_slips

    if plan.refusals:
        return tell_refusals(plan)
    if not plan.written:
        say("nothing to write")
        return WELL
    tell_plan(book, plan)
    tell_slips(book, plan)
    asked = doubts(book, plan)
    for line in (*notices(book, plan), *asked):
        say(safe(line))
    if dry:
        write("".join(diffs(book, plan)))
        return WELL
    if asked and not yes and not sure():
        return REFUSED
    if not agreed(len({cask for cask, _ in plan.written}), yes=yes):
        say("nothing written")
        return REFUSED
    return put_down(book, plan, again)


def put_down(book: Book, plan: Plan, again: Callable[[Book], Plan] | None) -> int:
    """Write the plan. Where a file has gone on since it was read, the entries are laid on what it holds now, under the lock."""
    from caskbook.entry.says import result_lines, total_line
    from caskbook.entry.write import write_plan
    from caskbook.ledger.atomic_write import ledger_lock
    from caskbook.ledger.files import Folder, open_folder
    from caskbook.ledger.pending_writes import recover

    with ledger_lock(book.root):
        recover(book.root)
        file_store = Folder(book.root, "")
        if again is not None and any(file_store.read(name) != old for name, (old, _) in plan.changes.items()):
            plan = again(replace(book, ledger=open_folder(book.root, Path.cwd())))
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
    from caskbook.entry.says import refusal_lines

    casks = {refusal.cask for refusal in plan.refusals}
    lines = refusal_lines(plan.refusals)
    for line in lines[: 2 * _MOST_TOLD]:
        say(safe(line))
    if len(lines) > 2 * _MOST_TOLD:
        say(f"… and {len(lines) - 2 * _MOST_TOLD} lines more")
    if all(refusal.policy for refusal in plan.refusals):
        say('  it was done all the same? add --anyway --why "…": it is written, and stays a finding')
    count = len(plan.pages)
    say(f"nothing written: {len(casks)} of {count} casks refused" if count > 1 else "nothing written")
    return REFUSED


def tell_plan(book: Book, plan: Plan) -> None:
    """Cautions, the preview, what was put in unasked, what becomes impossible, and lines that change."""
    from caskbook.entry.says import preview

    for line in cautions(book, plan):
        say(line)
    for line in preview(plan, book.ledger.house, book.today):
        say(safe(line))
    for line in (*unsaid_lines(plan), *uncorrected_lines(plan)):
        say(line)
    for line in dict.fromkeys(f"{one.cask}  written anyway, against {one.fault.code}: {one.fault.message}" for one in plan.anyway[:_MOST_TOLD]):
        say(safe(line))
    for cask, fault in plan.later[:_MOST_LATER]:
        say(safe(f"{cask}  a later entry no longer fits: {fault.message} ({fault.related[0] if fault.related else fault.code})"))
    if len(plan.later) > _MOST_LATER:
        say(f"… and {len(plan.later) - _MOST_LATER} more later entries that no longer fit")
    for note in dict.fromkeys(f"{page.name}: {note}" for page in plan.pages for note in page.notes):
        say(safe(note))


def unsaid_lines(plan: Plan) -> list[str]:
    """What the book put in of itself: heads out before a fire, heads in before a test."""
    groups: dict[tuple[str, str, str], int] = {}
    for _, job, event in plan.unsaid:
        key = (str(event["job"]), job, " and ".join(event["heads"]))
        groups[key] = groups.get(key, 0) + 1
    words = {"open": ("closed", "out"), "close": ("open", "in")}
    return [
        f"{'it was' if count == 1 else f'{count} were'} {words[job][0]}: head {heads} {words[job][1]} written before the {of}"
        for (job, of, heads), count in groups.items()
    ]


def uncorrected_lines(plan: Plan) -> list[str]:
    """Litres gauged at no known temperature: what is worked out from them will say so."""
    gauged = jobs_with("at-temperature")
    bare = [event for _, event in plan.written if event["job"] in gauged and "temp_c" not in event and "at_20" not in event and event.get("litres") != 0]
    return ["no temperature: the litres stay uncorrected (--temp, or --at-20)"] if bare else []


def cautions(book: Book, plan: Plan) -> list[str]:
    """Each kind of caution once a run, with the figures of the first cask it concerns."""
    from caskbook.entry.caution import REMINDER, caution_for
    from caskbook.ledger.lineage import life_before
    from caskbook.model.cask import read_event

    told: dict[str, str] = {}
    pages = {page.cask_id: page for page in plan.pages}
    for cask, data in plan.written:
        event, _ = read_event(dict(data), ("events", 0))
        kind = (event.caution or event.job) if event else None
        if event is None or kind is None or kind in told or (event.caution is None and event.job != "bung"):
            continue
        text = caution_for(event, life_before(pages[cask].cask, book.ledger.house, event.date, event.id))
        if text:
            told[kind] = f"{text}" if len(pages) == 1 else f"{text} ({cask})"
    return [*told.values(), REMINDER] if told else []
