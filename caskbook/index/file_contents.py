"""Which content each file of the work tree has: files whose stamp is as before are taken as known, others are read."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.index.changed_folders import FolderStamps
from caskbook.index.files_now import FilesNow, content_key, stat_stamps
from caskbook.index.store import Store
from caskbook.ledger.atomic_write import read_bytes

_MOST = 12_000_000


class Known(Mapping[str, int]):
    """Name → version of the files of the work tree: as the index has it, with what was found out since. Looked up one by one
    unless all are asked for."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._found: dict[str, int | None] = {}

    def __getitem__(self, name: str) -> int:
        if name not in self._found:
            row = self._store.execute("SELECT version FROM work_file WHERE name = ?", (name,)).fetchone()
            self._found[name] = row[0] if row else None
        version = self._found[name]
        if version is None:
            raise KeyError(name)
        return version

    def __setitem__(self, name: str, version: int | None) -> None:
        self._found[name] = version

    def written(self, names: Iterable[str]) -> None:
        """The index has these now: they need not be remembered."""
        for name in names:
            self._found.pop(name, None)

    def whole(self) -> dict[str, int]:
        """All of them, by name."""
        rows: dict[str, int | None] = dict(self._store.execute("SELECT name, version FROM work_file").fetchall())
        rows.update(self._found)
        return {name: version for name, version in sorted(rows.items()) if version is not None}

    def __iter__(self) -> Iterator[str]:
        return iter(self.whole())

    def __len__(self) -> int:
        return len(self.whole())


@dataclass
class Contents:
    """`known`: name → version of every file whose content the index knows; `unknown` are files that nobody has read yet, with the
    stamp they have; `changed` the names whose content is another than before (None: gone). `turned`: git's name of some file is
    not that of the bytes on disk, so git's list alone does not tell whether they changed."""

    known: Known
    unknown: dict[str, str] = field(default_factory=dict)
    unreadable: list[str] = field(default_factory=list)
    changed: dict[str, int | None] = field(default_factory=dict)
    stamps: dict[str, str] = field(default_factory=dict)
    turned: bool = False


def version_of(store: Store, name: str, key: str, joins: str | None = None) -> int:
    """The number of a file's content, a new one if it was never seen."""
    row = store.execute("SELECT id FROM version WHERE name = ? AND key = ?", (name, key)).fetchone()
    if row is not None:
        return int(row[0])
    return int(store.execute("INSERT INTO version (name, key, joins) VALUES (?, ?, ?)", (name, key, joins)).lastrowid or 0)


def compare_files(store: Store, root: Path, files: FilesNow) -> Contents:
    """Compare the files as they are now with those last seen. Nothing is written."""
    found = Contents(Known(store))
    doubtful, gone = _by_lines(store, files) or _by_stamps(store, files)
    was = {name: last_seen(store, name) for name in doubtful} if store.execute("SELECT 1 FROM work_file LIMIT 1").fetchone() else {}
    for name in gone:
        found.known[name] = None
        found.changed[name] = None
    again = stat_stamps(root, [name for name, stamp in doubtful.items() if stamp[:1] == "g" and was and was[name][0][:1] == "s"])
    for name in sorted(doubtful):
        stamp = doubtful[name]
        seen, version = was.get(name, ("", None))
        if version is not None and stamp and stamp == seen:
            continue
        if version is not None and again.get(name) and again[name] == seen:
            if store.execute("SELECT 1 FROM version WHERE id = ? AND key = ?", (version, stamp[1:])).fetchone():
                found.stamps[name], found.known[name] = stamp, version
            else:
                found.turned = True  # git may give one name to a file with either kind of newline
            continue
        if version is not None:
            found.known[name] = None
        _settle(store, root, found, name, stamp, version)
    return found


def _by_lines(store: Store, files: FilesNow) -> tuple[dict[str, str], list[str]] | None:
    """(name → stamp of the files that may have changed, names of those that are no more), by git's list."""
    odd = {row[0] for row in store.execute("SELECT name FROM work_file WHERE stamp < 'g' OR stamp >= 'h'")}
    lines = (
        row[0] for row in store.execute("SELECT 'H 100644 ' || substr(stamp, 2) || ' 0' || char(9) || name FROM work_file WHERE stamp >= 'g' AND stamp < 'h'")
    )
    compared = files.few(store.meta("listed"), odd) or files.unlike(lines)
    if compared is None:
        return None
    doubtful, past = compared
    past |= odd - doubtful.keys()
    return doubtful, [name for name in sorted(past) if store.execute("SELECT 1 FROM work_file WHERE name = ?", (name,)).fetchone()]


def _by_stamps(store: Store, files: FilesNow) -> tuple[dict[str, str], list[str]]:
    """The same, by all stamps."""
    before = dict(store.execute("SELECT name, stamp FROM work_file WHERE version IS NOT NULL").fetchall())
    gone = [name for (name,) in store.execute("SELECT name FROM work_file") if name not in files.stamps]
    return {name: stamp for name, stamp in files.stamps.items() if not stamp or before.get(name) != stamp}, gone


def last_seen(store: Store, name: str) -> tuple[str, int | None]:
    """(stamp, version) of a file as the index has it; empty and None where it has none."""
    row = store.execute("SELECT stamp, version FROM work_file WHERE name = ?", (name,)).fetchone()
    return (row[0], row[1]) if row else ("", None)


def _settle(store: Store, root: Path, found: Contents, name: str, stamp: str, was: int | None) -> None:
    """Find out what a file holds; without parsing it, where the index has seen that content."""
    if stamp[:1] == "g":
        row = store.execute("SELECT id FROM version WHERE name = ? AND key = ?", (name, stamp[1:])).fetchone()
        key, kept = stamp[1:], ""
    else:
        row = key = None
        kept = stamp
    if row is None and _seen(store, name):
        try:
            key = content_key(read_bytes(root / name, _MOST), key or "")
        except CaskbookError:
            found.unreadable.append(name)
            found.changed[name] = None
            return
        kept = settled_stamp(root, name, stamp, key)
        row = store.execute("SELECT id FROM version WHERE name = ? AND key = ?", (name, key)).fetchone()
    elif row is not None:
        kept = stamp
    if row is None:
        found.unknown[name] = stamp
        return
    found.known[name] = row[0]
    found.stamps[name] = kept
    found.turned |= stamp[:1] == "g" != kept[:1]
    if row[0] != was:
        found.changed[name] = row[0]


def _seen(store: Store, name: str) -> bool:
    return store.execute("SELECT 1 FROM version WHERE name = ? LIMIT 1", (name,)).fetchone() is not None


def settled_stamp(root: Path, name: str, stamp: str, key: str) -> str:
    """The stamp under which content just read may be known again; empty where the file may have changed meanwhile.

    Git's name of the content is taken only where it is the name of these very bytes: newlines may be turned on their way.
    """
    if stamp == "g" + key:
        return stamp
    now = stat_stamps(root, [name]).get(name, "")
    if stamp[:1] == "g":
        return now
    return stamp if stamp and now == stamp else ""


def keep_contents(store: Store, contents: Contents, gone: Iterable[str], files: FilesNow | None) -> None:
    """Write down what was found. With a change the work tree has a new state, and answers about the old one are not found again.

    `files`: the files as they are, None where not all of them were looked at.
    """
    for name in gone:
        store.execute("DELETE FROM work_file WHERE name = ?", (name,))
    store.executemany(
        "INSERT INTO work_file VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET stamp = excluded.stamp, version = excluded.version",
        [(name, stamp, contents.known.get(name)) for name, stamp in contents.stamps.items()],
    )
    store.executemany("INSERT OR REPLACE INTO work_file VALUES (?, '', NULL)", [(name,) for name in contents.unreadable])
    digest = files.digest if files is not None else ""
    whole = files is not None and files.tells() and not contents.unreadable and not contents.turned
    whole = whole and store.execute("SELECT 1 FROM work_file WHERE stamp = '' LIMIT 1").fetchone() is None
    store.set_meta("digest", digest if whole else "")
    store.set_meta("strays", json.dumps(files.strays) if files is not None else "")
    store.set_meta("listed", files.listed if files is not None else "")
    keep_folder_stamps(store, files.folder_stamps if files is not None else None)


def kept_strays(store: Store, files: FilesNow | None) -> list[str]:
    """Files of casks that strayed, as the index has them where the files are as it knows them; `files` None: they are."""
    text = store.meta("strays") if files is None or store.meta("digest") == files.digest else ""
    return list(json.loads(text)) if text else [] if files is None else files.strays


def last_folder_stamps(store: Store) -> FolderStamps | None:
    """The folders of casks as they were when all files were known to the index."""
    text = store.meta("folder_stamps")
    return FolderStamps(*json.loads(text)) if text else None


def keep_folder_stamps(store: Store, folder_stamps: FolderStamps | None) -> None:
    """All files are known as of this look; None: they are not."""
    store.set_meta("folder_stamps", json.dumps([folder_stamps.marks, folder_stamps.since]) if folder_stamps is not None else "")
