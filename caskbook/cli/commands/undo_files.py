"""Taking a run's lines out of its files again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.cli.common import Book
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.entry.undo import unchanged, without_events
from caskbook.entry.write import last_run, remember, remove_new_file, write_changes
from caskbook.ledger.atomic_write import CHANGED, present_bytes
from caskbook.ledger.paths import known_as
from caskbook.ledger.pending_writes import Changes, held_for_writing
from caskbook.yaml.source import Source


def tell_unfit(book: Book, changes: Changes) -> None:
    """Say which entries, made meanwhile, cannot have been without those that are taken out."""
    from caskbook.cli.common import say
    from caskbook.cli.entering.tell_and_write import safe
    from caskbook.entry.page import made_impossible
    from caskbook.model.cask_file import read_record

    for name, (old, new) in changes.items():
        before, now = (read_record(name, data).cask if data is not None else None for data in (old, new))
        for fault in made_impossible(book.ledger, before, now) if before is not None and now is not None else ():
            say(safe(f"{now.id if now else name}  a later entry no longer fits: {fault.message} ({fault.related[0] if fault.related else fault.code})"))


def taken_back(book: Book, files: Sequence[dict[str, Any]]) -> None:
    """Remove the entries of each file; a file the run began goes as a whole. CaskbookError where one was changed since. The last run at
    this ledger is still known where it was another one."""
    changes, gone = to_take_back(book, files)
    with held_for_writing(book.root), outcome.whole():
        for name, data in gone.items():
            if present_bytes(book.root, book.root / name) != data:
                raise CaskbookError(f"{name}: {CHANGED}; nothing written")
        write_changes(book.root, changes)
        for name, data in gone.items():
            remove_new_file(book.root, name, data)
        outcome.note((known_as(one["path"]) for one in files), "taken back")
        if _written(last_run(book.root)) <= _written(files):
            remember(book.root, [])


def _written(files: Sequence[dict[str, Any]]) -> set[tuple[str, str]]:
    """(file, entry) of a run."""
    return {(str(one["path"]), str(event)) for one in files for event in one["ids"]}


def to_take_back(book: Book, files: Sequence[dict[str, Any]]) -> tuple[Changes, dict[str, bytes]]:
    """(what the files become, those that go as a whole). CaskbookError where an entry is not as the run wrote it."""
    changes: dict[str, tuple[bytes | None, bytes]] = {}
    gone: dict[str, bytes] = {}
    for one in files:
        data = book.ledger.file_store.read(one["path"])
        if data is None:
            raise CaskbookError(f"{one['path']} is not there any more")
        source = Source.from_bytes(one["path"], data)
        after = without_events(source, set(one["ids"]), one.get("steps") or ())
        if not unchanged(source, one, after):
            raise CaskbookError(
                f'{one["path"]}: changed by hand since; nothing of the run is taken back. Put it out of force: caskbook void {one["cask"]} {one["ids"][0]} --why "…"'
            )
        if one["new"] and not _has_events(after):
            gone[one["path"]] = data
        else:
            changes[one["path"]] = (data, after.data)
    return changes, gone


def _has_events(source: Source) -> bool:
    from caskbook.yaml.document import read_document

    return bool((read_document(source).data or {}).get("events"))
