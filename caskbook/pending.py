"""Writing several files so that all of them change or none: their new bytes wait in a folder of their own, and count as
written from the moment its journal is moved into place. The next command completes what a crash left there.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import operator
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path, PurePosixPath
from typing import Any

from caskbook import outcome, safewrite
from caskbook.finding import CaskbookError
from caskbook.how_many import how_many
from caskbook.safewrite import (
    check_plain,
    fsync_folder,
    known_as,
    ledger_lock,
    present_bytes,
    put_file,
    read_bytes,
    write_synced,
)

FOLDER = ".pending"
JOURNAL = "journal.json"

Changes = Mapping[str, tuple[bytes | None, bytes]]


@dataclass(frozen=True)
class _Entry:
    """One file of the journal: its path in the ledger, hashes of what it held (None: nothing) and shall hold."""

    path: str
    old: str | None
    new: str
    store: str


def _hash(data: bytes | None) -> str | None:
    return None if data is None else hashlib.sha256(data).hexdigest()


def unfinished(root: Path) -> bool:
    """Whether a write of several files was committed and not yet completed."""
    return (root / FOLDER / JOURNAL).exists()


def write_many(root: Path, changes: Changes) -> None:
    """Writes all files, or none. `changes`: path in the ledger (with `/`) → (bytes as read, or None; new bytes).

    CaskbookError where a file has changed since; an unfinished write of before is completed first.
    """
    with ledger_lock(root):
        recover(root)
        for name, (old, _) in changes.items():
            if present_bytes(root, _inside(root, name)) != old:
                raise CaskbookError(f"{name}: {safewrite.CHANGED}; nothing written")
        if len(changes) == 1:
            for name, (old, new) in changes.items():
                put_file(root, _inside(root, name), new, partial(operator.eq, old))
        elif changes:
            _all_of(root, changes)


def _all_of(root: Path, changes: Changes) -> None:
    """Several files. From the moment the journal is in place they are written: what cannot be completed now, the next command
    completes."""
    _prepare(root, changes)
    with outcome.whole():
        _commit(root, changes)
        try:
            recover(root)
        except CaskbookError as error:
            raise CaskbookError(f"{error}; the next command that writes completes it") from None


def _inside(root: Path, name: str) -> Path:
    pure = PurePosixPath(name)
    if pure.is_absolute() or ".." in pure.parts or not pure.parts or "\0" in name:
        raise CaskbookError(f"{name!r}: not a path inside the ledger")
    path = root.joinpath(*pure.parts)
    check_plain(root, path)
    return path


def _prepare(root: Path, changes: Changes) -> None:
    """The new bytes and the journal made to last, under a name that nobody believes yet; nothing is left where that ends early."""
    folder = root / FOLDER
    entries = []
    try:
        folder.mkdir()
        safewrite.step("folder made")
        (folder / ".gitignore").write_text("*\n", encoding="utf-8")
        for number, (name, (old, new)) in enumerate(changes.items()):
            store = f"{number}.new"
            write_synced(folder / store, new)
            safewrite.step("new bytes stored")
            entries.append({"path": name, "old": _hash(old), "new": _hash(new), "store": store})
        journal = json.dumps({"version": 1, "files": entries}, indent=1, ensure_ascii=False)
        write_synced(folder / "journal.tmp", journal.encode("utf-8"))
        fsync_folder(folder)
        fsync_folder(root)
        safewrite.step("journal written")
    except BaseException as error:
        _unprepared(folder, error)
        raise


def _unprepared(folder: Path, error: BaseException) -> None:
    """Sweep away what was prepared; CaskbookError for trouble with the disk."""
    with outcome.whole(), contextlib.suppress(OSError, CaskbookError):
        _clear(folder)
    if isinstance(error, OSError):
        raise CaskbookError(f"{folder}: nothing written, {(error.strerror or str(error)).lower()}") from None


def _commit(root: Path, changes: Changes) -> None:
    """The one act by which all files count as written; each is compared once more just before."""
    folder = root / FOLDER
    try:
        for name, (old, _) in changes.items():
            if present_bytes(root, _inside(root, name)) != old:
                raise CaskbookError(f"{name}: {safewrite.CHANGED}; nothing written")
        (folder / "journal.tmp").replace(folder / JOURNAL)
    except (OSError, CaskbookError) as error:
        _unprepared(folder, error)
        raise
    outcome.note(known_as(name) for name in changes)
    safewrite.step("journal in place")
    fsync_folder(folder)


def recover(root: Path) -> list[str]:
    """Completes a committed write, or sweeps away one that never was; the paths it wrote.

    CaskbookError, with everything left as it is, where a file was changed by somebody else in between.
    """
    folder = root / FOLDER
    if not folder.is_dir() and not folder.is_symlink():
        return []
    with ledger_lock(root), outcome.whole():
        check_plain(root, folder)
        entries = _journal(folder)
        written = _complete(root, folder, entries) if entries is not None else []
        _clear(folder)
        return written


def _complete(root: Path, folder: Path, entries: list[_Entry]) -> list[str]:
    todo = []
    for entry in entries:
        path = _inside(root, entry.path)
        now = _hash(present_bytes(root, path))
        if now not in (entry.old, entry.new):
            raise CaskbookError(
                f"{entry.path}: changed while a write of {how_many(len(entries), 'file')} was unfinished; "
                f"put its text of before back, or settle by hand what {FOLDER}/{entry.store} holds and delete {FOLDER}"
            )
        if now != entry.new:
            todo.append((path, entry, _stored(folder, entry)))
    for path, entry, data in todo:
        put_file(root, path, data, partial(_holds, entry.old))
    return [entry.path for _, entry, _ in todo]


def _holds(wanted: str | None, now: bytes | None) -> bool:
    return _hash(now) == wanted


def _stored(folder: Path, entry: _Entry) -> bytes:
    data = read_bytes(folder / entry.store, 1 << 40)
    if _hash(data) != entry.new:
        raise CaskbookError(f"{folder / entry.store}: damaged; restore {entry.path} from version control")
    return data


def _journal(folder: Path) -> list[_Entry] | None:
    """The entries of a committed journal; None where none is in place."""
    path = folder / JOURNAL
    if not path.exists():
        return None
    try:
        entries = [_entry(one) for one in json.loads(read_bytes(path, 1 << 30))["files"]]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise CaskbookError(f"{path}: damaged; settle by hand what {FOLDER} holds and delete it") from None
    for entry in entries:
        if PurePosixPath(entry.store).name != entry.store:
            raise CaskbookError(f"{path}: names a file outside {FOLDER}")
    return entries


def _entry(one: Any) -> _Entry:
    entry = _Entry(one["path"], one["old"], one["new"], one["store"])
    if not all(isinstance(text, str) for text in (entry.path, entry.new, entry.store, entry.old or "")):
        raise TypeError("a journal entry is made of texts")
    return entry


def _clear(folder: Path) -> None:
    """Removes the folder, its journal first: what is left without one counts as never written."""
    if not folder.is_dir():
        return
    try:
        (folder / JOURNAL).unlink(missing_ok=True)
        fsync_folder(folder)
        safewrite.step("journal removed")
        for path in sorted(folder.iterdir()):
            path.unlink()
        safewrite.step("folder emptied")
        folder.rmdir()
        safewrite.step("folder removed")
        fsync_folder(folder.parent)
    except OSError as error:
        raise CaskbookError(
            f"{folder}: cannot be removed, {(error.strerror or str(error)).lower()}"
        ) from None


def overlay(root: Path) -> dict[str, bytes]:
    """What an unfinished write still owes: path in the ledger → bytes that count as its content. For reading only.

    A file that somebody changed in between is left out: it counts as it is.
    """
    folder = root / FOLDER
    found: dict[str, bytes] = {}
    try:
        for entry in _journal(folder) or []:
            if _hash(present_bytes(root, _inside(root, entry.path))) == entry.old:
                found[entry.path] = _stored(folder, entry)
    except CaskbookError:
        if unfinished(root):
            raise
        return {}  # completed by another command while we looked
    return found


def read_through(root: Path) -> tuple[dict[str, bytes], str]:
    """For commands that only read: completes what is unfinished, else what to read instead, and why in one line."""
    if not (root / FOLDER).is_dir():
        return {}, ""
    try:
        recover(root)
    except CaskbookError as error:
        return overlay(root), str(error)
    return {}, ""
