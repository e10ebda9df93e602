"""Writing several files so that all of them change or none: their new bytes wait in a folder of their own, and count as
written from the moment its journal is moved into place. The next command completes what a crash left there.

Only a journal that this machine began is believed (`journal.py`).
"""

from __future__ import annotations

import contextlib
import json
import operator
import os
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path, PurePosixPath

from caskbook.core import outcome, run_files
from caskbook.core.finding import CaskbookError
from caskbook.ledger import atomic_write, machine
from caskbook.ledger.atomic_write import (
    check_plain,
    fsync_folder,
    ledger_lock,
    present_bytes,
    put_file,
    read_bytes,
    write_synced,
)
from caskbook.ledger.journal import (
    FOLDER,
    JOURNAL,
    MOST_JOURNAL,
    Entry,
    entries_of,
    foreign,
    hash_of,
    stored,
    token_of,
    unfinished,
    untrack,
)
from caskbook.ledger.many_files import Advance, all_last, at_once, counted, holds, move_all, part_of
from caskbook.ledger.paths import check_written_path, known_as
from caskbook.ledger.tracked import tracked_in
from caskbook.words.plural import number_of

Changes = Mapping[str, tuple[bytes | None, bytes]]


def write_many(root: Path, changes: Changes, advance: Advance | None = None) -> None:
    """Writes all files, or none. `changes`: path in the ledger (with `/`) → (bytes as read, or None; new bytes).

    `advance` is told now and then (of how many acts, how many are done). CaskbookError where a file has changed since; an unfinished
    write of before is completed first.
    """
    with ledger_lock(root):
        recover(root)
        for name, (old, _) in changes.items():
            if present_bytes(root, _inside(root, name)) != old:
                raise CaskbookError(f"{name}: {atomic_write.CHANGED}; nothing written")
        if len(changes) == 1:
            for name, (old, new) in changes.items():
                put_file(root, _inside(root, name), new, partial(operator.eq, old))
        elif changes:
            if tracked := tracked_in(root, FOLDER):
                raise _refused(f"git tracks {tracked[0]}, where several files wait to be written; {untrack(root)}")
            _all_of(root, changes, advance)
        for name, (old, new) in changes.items():
            run_files.note(root, name, old, new)


def _all_of(root: Path, changes: Changes, advance: Advance | None) -> None:
    """Several files. From the moment the journal is in place they are written: what cannot be completed now, the next command
    completes; but where somebody saved one of them since, who takes no lock, all are as before."""
    _prepare(root, changes, part_of(advance, 2, 0))
    with outcome.whole():
        before = outcome.so_far()
        _commit(root, changes)
        try:
            recover(root, part_of(advance, 2, 1))
        except CaskbookError as error:
            try:
                changed = [name for name, sides in changes.items() if present_bytes(root, _inside(root, name)) not in sides]
                if changed:
                    _take_back(root, changes)
                    outcome.back_to(before)
            except (OSError, CaskbookError):
                raise error from None
            if changed:
                raise _refused(f"{changed[0]}: {atomic_write.CHANGED}") from None
            raise CaskbookError(f"{error}; the next command that writes completes it") from None


def _take_back(root: Path, changes: Changes) -> None:
    """Files that were moved into place hold again what they held, and the journal goes; one changed by somebody else stays as it is."""
    for name, (old, new) in changes.items():
        path = _inside(root, name)
        path.with_name(f".{path.name}.tmp").unlink(missing_ok=True)  # One of many that were made to last before the first was moved.
        if present_bytes(root, path) != new:
            continue
        if old is None:
            path.unlink()
        else:
            put_file(root, path, old, partial(operator.eq, new))
    _clear(root / FOLDER)


def _inside(root: Path, name: str) -> Path:
    pure = PurePosixPath(name)
    check_written_path(name)
    path = root.joinpath(*pure.parts)
    check_plain(root, path)
    return path


def _refused(why: str) -> CaskbookError:
    return CaskbookError(f"nothing written: {why}")


def _prepare(root: Path, changes: Changes, advance: Advance | None) -> None:
    """The new bytes and the journal made to last, under a name that nobody believes yet; nothing is left where that ends early."""
    folder, together = root / FOLDER, at_once(len(changes))
    entries = []
    try:
        folder.mkdir()
        atomic_write.step("folder made")
        (folder / ".gitignore").write_text("*\n", encoding="utf-8")
        for number, (name, (old, new)) in enumerate(counted(changes.items(), len(changes), advance)):
            store = f"{number}.new"
            write_synced(folder / store, new, lasting=not together)
            atomic_write.step("new bytes stored")
            entries.append({"path": name, "old": hash_of(old), "new": hash_of(new), "store": store})
        if together:
            all_last()
        token = machine.new_token()
        journal = json.dumps({"version": 2, "token": token, "files": entries}, indent=1).encode("ascii")
        machine.hold_journal(token, journal)
        write_synced(folder / "journal.tmp", journal)
        fsync_folder(folder)
        fsync_folder(root)
        atomic_write.step("journal written")
    except BaseException as error:
        _unprepared(folder, error)
        raise


def _unprepared(folder: Path, error: BaseException) -> None:
    """Sweep away what was prepared; CaskbookError for trouble with the disk."""
    with outcome.whole(), contextlib.suppress(OSError, CaskbookError):
        _clear(folder)
    if isinstance(error, CaskbookError) and "nothing written" not in str(error):
        raise _refused(str(error)) from None
    if isinstance(error, OSError):
        raise CaskbookError(f"{folder}: nothing written, {(error.strerror or str(error)).lower()}") from None


def _commit(root: Path, changes: Changes) -> None:
    """The one act by which all files count as written; each is compared once more just before."""
    folder = root / FOLDER
    try:
        for name, (old, _) in changes.items():
            if present_bytes(root, _inside(root, name)) != old:
                raise CaskbookError(f"{name}: {atomic_write.CHANGED}; nothing written")
        (folder / "journal.tmp").replace(folder / JOURNAL)
    except (OSError, CaskbookError) as error:
        _unprepared(folder, error)
        raise
    outcome.note(known_as(name) for name in changes)
    atomic_write.step("journal in place")
    fsync_folder(folder)


def recover(root: Path, advance: Advance | None = None) -> list[str]:
    """Completes a committed write, or sweeps away one that never was; the paths it wrote.

    CaskbookError, with everything left as it is, where a file was changed by somebody else in between, or the journal is none
    that this machine began.
    """
    folder = root / FOLDER
    if not os.path.lexists(folder):
        return []
    with ledger_lock(root), outcome.whole():
        if not os.path.lexists(folder):
            return []
        check_plain(root, folder)
        if why := foreign(root):
            raise _refused(why)
        entries = entries_of(folder)
        written = _complete(root, folder, entries, advance) if entries is not None else []
        _clear(folder)
        return written


def _complete(root: Path, folder: Path, entries: list[Entry], advance: Advance | None = None) -> list[str]:
    """The paths that a journal still had to put in place, now written. CaskbookError where a file is neither as before nor as after."""
    todo = []
    for entry in entries:
        path = _inside(root, entry.path)
        now = hash_of(present_bytes(root, path))
        if now not in (entry.old, entry.new):
            raise CaskbookError(
                f"{entry.path}: changed while a write of {number_of(len(entries), 'file')} was unfinished; "
                f"put its text of before back, or settle by hand what {FOLDER}/{entry.store} holds and delete {FOLDER}"
            )
        if now != entry.new:
            todo.append((path, entry))
    if at_once(len(todo)):
        move_all(root, folder, todo, advance)
    else:
        for path, entry, data in [(path, entry, stored(folder, entry)) for path, entry in todo]:
            put_file(root, path, data, partial(holds, entry.old))
    return [entry.path for _, entry in todo]


def _clear(folder: Path) -> None:
    """Removes the folder, its journal first: what is left without one counts as never written."""
    if not folder.is_dir():
        return
    token = None
    with contextlib.suppress(CaskbookError):
        token = token_of(read_bytes(folder / JOURNAL, MOST_JOURNAL))
    try:
        (folder / JOURNAL).unlink(missing_ok=True)
        fsync_folder(folder)
        atomic_write.step("journal removed")
        machine.forget_journal(token)
        for path in sorted(folder.iterdir()):
            path.unlink()
        atomic_write.step("folder emptied")
        folder.rmdir()
        atomic_write.step("folder removed")
        fsync_folder(folder.parent)
    except OSError as error:
        raise CaskbookError(f"{folder}: cannot be removed, {(error.strerror or str(error)).lower()}") from None


def overlay(root: Path) -> dict[str, bytes]:
    """What an unfinished write still owes: path in the ledger → bytes that count as its content. For reading only.

    A file that somebody changed in between is left out: it counts as it is.
    """
    folder = root / FOLDER
    found: dict[str, bytes] = {}
    if not unfinished(root):
        return found
    try:
        for entry in entries_of(folder) or []:
            if hash_of(present_bytes(root, _inside(root, entry.path))) == entry.old and (data := _still_owed(root, folder, entry)) is not None:
                found[entry.path] = data
    except CaskbookError:
        if unfinished(root):
            raise
        return {}  # Another command completed it while we looked.
    return found


def _still_owed(root: Path, folder: Path, entry: Entry) -> bytes | None:
    """The bytes that wait for a file; None where another command moved them into place while we looked."""
    try:
        return stored(folder, entry)
    except CaskbookError:
        if hash_of(present_bytes(root, _inside(root, entry.path))) == entry.new:
            return None
        raise


def read_through(root: Path) -> tuple[dict[str, bytes], str]:
    """For commands that only read: completes what is unfinished, else what to read instead, and why in one line.

    What this machine did not begin is neither completed nor read through: the files count as they are.
    """
    if not os.path.lexists(root / FOLDER):
        return {}, ""
    if why := foreign(root):
        return {}, why
    try:
        recover(root)
    except CaskbookError as error:
        owed = overlay(root)
        return owed, f"{error}; what an unfinished write still owes {number_of(len(owed), 'file')} is read where it waits" if owed else str(error)
    return {}, ""


@contextlib.contextmanager
def held_for_writing(root: Path) -> Iterator[None]:
    """The ledger's lock, for a run that is about to write: where it cannot be had, what is written so far is said with the reason."""
    with contextlib.ExitStack() as stack:
        try:
            stack.enter_context(ledger_lock(root))
        except CaskbookError as error:
            raise CaskbookError(f"{error}; {outcome.sentence()}") from None
        yield
