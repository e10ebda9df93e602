"""Which content each file of the work tree has: files whose stamp is as before are taken as known, others are read."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.index.changed_folders import FolderStamps
from caskbook.index.files_now import Tree, content_key, stat_stamps
from caskbook.ledger.atomic_write import read_bytes

_MOST = 12_000_000


class Known(Mapping[str, int]):
    """Name → version of the files of the work tree: as the index has it, with what was found out since. Looked up one by one
    unless all are asked for."""

    def __init__(self, store: sqlite3.Connection) -> None:
        self._store = store
        self._found: dict[str, int | None] = {}

    def __getitem__(self, name: str) -> int:
        if name not in self._found:
            row = self._store.execute("SELECT version FROM place WHERE name = ?", (name,)).fetchone()
            self._found[name] = row[0] if row else None
        version = self._found[name]
        if version is None:
            raise KeyError(name)
        return version

    def __setitem__(self, name: str, version: int | None) -> None:
        self._found[name] = version

    def whole(self) -> dict[str, int]:
        """All of them, by name."""
        rows: dict[str, int | None] = dict(self._store.execute("SELECT name, version FROM place").fetchall())
        rows.update(self._found)
        return {name: version for name, version in sorted(rows.items()) if version is not None}

    def __iter__(self) -> Iterator[str]:
        return iter(self.whole())

    def __len__(self) -> int:
        return len(self.whole())


@dataclass
class Places:
    """`known`: name → version of every file whose content the index knows; `unknown` are files that nobody has read yet, with the
    stamp they have; `changed` the names whose content is another than before (None: gone). `turned`: git's name of some file is
    not that of the bytes on disk, so git's list alone does not tell whether they changed."""

    known: Known
    unknown: dict[str, str] = field(default_factory=dict)
    unreadable: list[str] = field(default_factory=list)
    changed: dict[str, int | None] = field(default_factory=dict)
    stamps: dict[str, str] = field(default_factory=dict)
    turned: bool = False


def meta(store: sqlite3.Connection, key: str) -> str:
    """A word the index keeps about itself; empty where there is none."""
    row = store.execute("SELECT value FROM meta WHERE key = ?", (key,)).fetchone()
    return str(row[0]) if row else ""


def set_meta(store: sqlite3.Connection, key: str, value: str) -> None:
    """Keep it."""
    store.execute("INSERT INTO meta VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value", (key, value))


def version_of(store: sqlite3.Connection, name: str, key: str, joins: str | None = None) -> int:
    """The number of a file's content, a new one if it was never seen."""
    row = store.execute("SELECT id FROM version WHERE name = ? AND key = ?", (name, key)).fetchone()
    if row is not None:
        return int(row[0])
    return int(store.execute("INSERT INTO version (name, key, joins) VALUES (?, ?, ?)", (name, key, joins)).lastrowid or 0)


def look(store: sqlite3.Connection, root: Path, tree: Tree) -> Places:
    """Compare the files as they are now with those last seen. Nothing is written."""
    found = Places(Known(store))
    doubtful, gone = _by_lines(store, tree) or _by_stamps(store, tree)
    was = {name: last_seen(store, name) for name in doubtful}
    for name in gone:
        found.known[name] = None
        found.changed[name] = None
    again = stat_stamps(root, [name for name, stamp in doubtful.items() if stamp[:1] == "g" and was[name][0][:1] == "s"])
    for name, stamp in sorted(doubtful.items()):
        seen, version = was[name]
        if version is not None and stamp and stamp == seen:
            continue
        if version is not None and again.get(name) and again[name] == seen:
            if store.execute("SELECT 1 FROM version WHERE id = ? AND key = ?", (version, stamp[1:])).fetchone():
                found.stamps[name], found.known[name] = stamp, version
            else:
                found.turned = True  # git may give one name to a file with either kind of newline
            continue
        found.known[name] = None
        _settle(store, root, found, name, stamp, version)
    return found


def _by_lines(store: sqlite3.Connection, tree: Tree) -> tuple[dict[str, str], list[str]] | None:
    """(name → stamp of the files that may have changed, names of those that are no more), by git's list."""
    odd = {row[0] for row in store.execute("SELECT name FROM place WHERE stamp < 'g' OR stamp >= 'h'")}
    lines = (row[0] for row in store.execute("SELECT 'H 100644 ' || substr(stamp, 2) || ' 0' || char(9) || name FROM place WHERE stamp >= 'g' AND stamp < 'h'"))
    compared = tree.few(meta(store, "listed"), odd) or tree.unlike(lines)
    if compared is None:
        return None
    doubtful, past = compared
    past |= odd - doubtful.keys()
    return doubtful, [name for name in sorted(past) if store.execute("SELECT 1 FROM place WHERE name = ?", (name,)).fetchone()]


def _by_stamps(store: sqlite3.Connection, tree: Tree) -> tuple[dict[str, str], list[str]]:
    """The same, by all stamps."""
    before = dict(store.execute("SELECT name, stamp FROM place WHERE version IS NOT NULL").fetchall())
    gone = [name for (name,) in store.execute("SELECT name FROM place") if name not in tree.stamps]
    return {name: stamp for name, stamp in tree.stamps.items() if not stamp or before.get(name) != stamp}, gone


def last_seen(store: sqlite3.Connection, name: str) -> tuple[str, int | None]:
    """(stamp, version) of a file as the index has it; empty and None where it has none."""
    row = store.execute("SELECT stamp, version FROM place WHERE name = ?", (name,)).fetchone()
    return (row[0], row[1]) if row else ("", None)


def _settle(store: sqlite3.Connection, root: Path, found: Places, name: str, stamp: str, was: int | None) -> None:
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


def _seen(store: sqlite3.Connection, name: str) -> bool:
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


def keep(store: sqlite3.Connection, places: Places, gone: Iterable[str], tree: Tree | None) -> None:
    """Write down what was found. With a change the work tree has a new state, and answers about the old one are not found again.

    `tree`: the files as they are, None where not all of them were looked at.
    """
    for name in gone:
        store.execute("DELETE FROM place WHERE name = ?", (name,))
    store.executemany(
        "INSERT INTO place VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET stamp = excluded.stamp, version = excluded.version",
        [(name, stamp, places.known.get(name)) for name, stamp in places.stamps.items()],
    )
    store.executemany("INSERT OR REPLACE INTO place VALUES (?, '', NULL)", [(name,) for name in places.unreadable])
    digest = tree.digest if tree is not None else ""
    whole = tree is not None and tree.tells() and not places.unreadable and not places.turned
    whole = whole and store.execute("SELECT 1 FROM place WHERE stamp = '' LIMIT 1").fetchone() is None
    set_meta(store, "digest", digest if whole else "")
    set_meta(store, "listed", tree.listed if tree is not None else "")
    keep_folder_stamps(store, tree.folder_stamps if tree is not None else None)


def last_folder_stamps(store: sqlite3.Connection) -> FolderStamps | None:
    """The folders of casks as they were when all files were known to the index."""
    text = meta(store, "folder_stamps")
    return FolderStamps(*json.loads(text)) if text else None


def keep_folder_stamps(store: sqlite3.Connection, folder_stamps: FolderStamps | None) -> None:
    """All files are known as of this look; None: they are not."""
    set_meta(store, "folder_stamps", json.dumps([folder_stamps.marks, folder_stamps.since]) if folder_stamps is not None else "")
