"""Taking a run's lines out of its files again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from caskbook.cli.common import Book
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.entry.built_on import built_on
from caskbook.entry.undo import ids_now, unchanged, without_events
from caskbook.entry.write import last_run, remember, remove_new_file, write_changes
from caskbook.ledger.atomic_write import CHANGED, present_bytes
from caskbook.ledger.paths import known_as
from caskbook.ledger.pending_writes import Changes, held_for_writing
from caskbook.words.plural import number_of
from caskbook.yaml.source import Source


def taken_back(book: Book, files: Sequence[dict[str, Any]]) -> None:
    """Remove the entries of each file; a file the run began goes as a whole. CaskbookError where one was changed since. The last run at
    this ledger is still known where it was another one."""
    changes, gone = to_take_back(book, files)
    last = _written(last_run(book.root))
    with held_for_writing(book.root), outcome.whole():
        for name, data in gone.items():
            if present_bytes(book.root, book.root / name) != data:
                raise CaskbookError(f"{name}: {CHANGED}; nothing written")
        write_changes(book.root, changes)
        for name, data in gone.items():
            remove_new_file(book.root, name, data)
        outcome.note((known_as(one["path"]) for one in files), "taken back")
        if last <= _written(files):
            remember(book.root, [])


def _written(files: Sequence[dict[str, Any]]) -> set[tuple[str, str]]:
    """(file, entry) of a run."""
    return {(str(one["path"]), str(event)) for one in files for event in one["ids"]}


def to_take_back(book: Book, files: Sequence[dict[str, Any]]) -> tuple[Changes, dict[str, bytes]]:
    """(what the files become, those that go as a whole). CaskbookError where an entry is not as the run wrote it, or where one that
    came since rests on it."""
    changes: dict[str, tuple[bytes | None, bytes]] = {}
    gone: dict[str, bytes] = {}
    rests: list[str] = []
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
        rests += _rests(book, one, data, after.data, one["ids"])
        if one["new"] and not _has_events(after):
            gone[one["path"]] = data
        else:
            changes[one["path"]] = (data, after.data)
    _refuse(rests)
    return changes, gone


def refuse_built_on(book: Book, files: Iterable[dict[str, Any]]) -> None:
    """CaskbookError where an entry that came since rests on what a run wrote, though that is to be voided and not taken out."""
    rests: list[str] = []
    for one in files:
        source = Source.from_bytes(one["path"], book.ledger.file_store.read(one["path"]) or b"")
        ids = ids_now(source, one)
        try:
            after = without_events(source, set(ids)).data
        except CaskbookError:  # A void adds to what is there, and needs no lines to be taken out.
            continue
        rests += _rests(book, one, source.data, after, ids)
    _refuse(rests)


def _rests(book: Book, one: dict[str, Any], before: bytes, after: bytes, ids: Sequence[str]) -> list[str]:
    """What is to be said of the first entry of a file that came after the run and rests on it; [] where none does."""
    for number, event, why in built_on(book.ledger, one, before, after, ids):
        who = f", {event.by}" if event.by else ""
        return [
            f"{number}: its {event.job} of {event.date} ({event.id}{who}) came since and rests on it: {why}; nothing taken back. "
            f'Void that first, or put this out of force: caskbook void {one["cask"]} {ids[0]} --why "…"'
        ]
    return []


def _refuse(found: Sequence[str]) -> None:
    if found:
        more = len(found) - 1
        raise CaskbookError(found[0] + (f" ({number_of(more, 'cask')} more of the run {'is' if more == 1 else 'are'} so)" if more else ""))


def _has_events(source: Source) -> bool:
    from caskbook.yaml.document import read_document

    return bool((read_document(source).data or {}).get("events"))
