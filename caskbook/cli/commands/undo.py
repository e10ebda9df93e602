"""`caskbook undo`: what the last run wrote is taken back whole, once it is told what that is and whose."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from caskbook.cli.commands.put_right import MOST_TOLD, common, declinable, helped, parsed, tell_rest, write_voids
from caskbook.cli.common import Book, open_book, say, write
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk

TAKEN_BACK = "taken back"
"""Why an entry is voided that `undo` would have taken out, had nobody had it yet."""
_UNDO = (
    "caskbook undo\n"
    "  take back what the last run wrote, whole, be it one cask or a sheet of sixty:\n"
    "  its lines go where nobody has them yet, else a void is written. It is told\n"
    "  first: job, day and person; at a terminal it is asked. Refused where entries\n"
    "  that came since rest on it.\n"
    "  as: caskbook undo --dry-run, then caskbook undo\n"
    "  --why REASON, --by, --yes, --dry-run, --commit, --records DIR\n"
    "  exit code 0 taken back, 1 declined, 2 it cannot be"
)


@declinable
def undo(argv: list[str]) -> int:
    """Take back the last run: lines nobody has go, what landed gets a void."""
    from caskbook.cli.committing import refuse_dry
    from caskbook.cli.entering.desk import desk_of
    from caskbook.entry.write import last_run

    loose, given = parsed("undo", argv, ("why", "by", "date"))
    if helped(_UNDO, given):
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
    from caskbook.cli.commands.undo_files import refuse_built_on, taken_back, to_take_back
    from caskbook.cli.committing import commit_run

    landed = {one["path"]: landed_ids(book, one["path"]) for one in files}
    fresh = [one for one in files if not set(one["ids"]) & landed[one["path"]]]
    if len(fresh) < len(files):
        refuse_built_on(book, files)
        return void_landed(book, desk, files, given)
    to_take_back(book, files)
    for one in files[:MOST_TOLD]:
        say(f"{one['cask']}  {run_words(book, one)}{', and the file' if one['new'] else ''}")
    tell_rest(len(files), "cask")
    if "dry-run" in given:
        return 0
    if not _agreed(book, files, yes="yes" in given):
        say("nothing changed")
        return 1
    taken_back(book, files)
    write("\n".join(f"{one['cask']}  undone" for one in files) if len(files) <= MOST_TOLD else f"{number_of(len(files), 'cask')} undone")
    return commit_run(book) if "commit" in given else 0


def _agreed(book: Book, files: Sequence[dict[str, Any]], *, yes: bool) -> bool:
    """One yes. What another hand than that of the shift wrote is told, and Enter alone takes none of it back."""
    from caskbook.cli.entering import ask
    from caskbook.cli.entering.desk import shift_here

    shift = shift_here(book, by=None, told=False) if ask.on_terminal() and not yes else None
    hands = {event.by for event in events_of(book, files[0])}
    if shift is not None and hands and shift.by not in hands:
        say(f"that is {' and '.join(sorted(by or 'nobody' for by in hands))}'s work, and the shift is {shift.by}'s")
        try:
            return ask.yes_no("Take it back all the same? [y/N] ", "n")
        except ask.DeclinedError:
            return False
    return ask.agreed(len(files), yes=yes, what="Take {} back")


def run_words(book: Book, one: dict[str, Any]) -> str:
    """What a run wrote into one file: "test: pass, 11 psi on Tuesday 2026-11-24  (ab)"."""
    from caskbook.cli.entering.tell_and_write import safe
    from caskbook.entry.says import job_words

    events = events_of(book, one)
    if not events:
        return number_of(len(one["ids"]), "entry")
    days = list(dict.fromkeys(f"{event.date:%A} {event.date}" for event in events))
    hands = list(dict.fromkeys(event.by for event in events if event.by))
    return safe("; ".join(job_words(event) for event in events) + f" on {', '.join(days)}" + (f"  ({', '.join(hands)})" if hands else ""))


def events_of(book: Book, one: dict[str, Any]) -> list[Any]:
    """The run's entries in one file, in the order of the work."""
    from caskbook.model.cask_file import read_record

    data = book.ledger.file_store.read(one["path"])
    cask = read_record(one["path"], data).cask if data is not None else None
    return [event for event in cask.events if event.id in one["ids"]] if cask else []


def landed_ids(book: Book, name: str) -> set[str]:
    """Event ids of a file that others may have: those in git's HEAD; without git, all that is on disk."""
    from caskbook.entry.undo import ids_in

    committed = committed_ids(book, name)
    return committed if committed is not None else ids_in(name, book.ledger.file_store.read(name)) or set()


def committed_ids(book: Book, name: str) -> set[str] | None:
    """Event ids of a file in git's HEAD. None where there is no git, where it cannot read its commit or has some on other branches alone, or where what it has is no
    cask file that can be read, as where a filter ciphers it."""
    from caskbook.entry.undo import ids_in
    from caskbook.git import open_git

    try:
        git = open_git(book.root)
        if git.head() is None:
            return None if git.text("for-each-ref", "--count=1") else set()
        entry = git.entry("HEAD", git.prefix + name)
        return ids_in(name, git.blobs([entry.oid])[entry.oid]) if entry else set()
    except CaskbookError:
        return None


def void_landed(book: Book, desk: Desk, files: Sequence[dict[str, Any]], given: dict[str, str]) -> int:
    """A run's entries have landed, so they are voided instead of taken out; the exit code. CaskbookError where all of them are out of force."""
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
    return write_voids(book, desk, targets, common(book, desk, {"why": TAKEN_BACK, **given}), given)
