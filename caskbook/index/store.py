"""The index file itself: opened, made anew when it is of another program or damaged, written by one process at a time."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path

from caskbook.finding import CaskbookError
from caskbook.index.schema import TABLES, fingerprint
from caskbook.safewrite import CACHE, cache_folder

_LOCK = "index.lock"
WAIT_SECONDS = 120.0
_BUSY_MS = 30_000

try:
    import fcntl
except ImportError:  # no such locks here: two processes may do the same work, and both are right
    fcntl = None  # type: ignore[assignment]


class NoIndex(Exception):  # noqa: N818 - a way round, not a fault
    """There is no index to be had here; everything works without one."""


class Changed(Exception):  # noqa: N818 - a reason to look again, not a fault
    """A file changed while it was being read."""


def open_store(root: Path) -> sqlite3.Connection:
    """The index of a ledger, made where there is none. NoIndex where it cannot be written, or somebody else is at it too long."""
    try:
        folder = cache_folder(root)
        for _ in range(3):
            try:
                return _opened(folder / _current(folder))
            except sqlite3.OperationalError:
                raise
            except sqlite3.DatabaseError:
                make_anew(root)
    except (CaskbookError, OSError, sqlite3.OperationalError) as error:
        raise NoIndex(str(error)) from None
    raise NoIndex("the index cannot be made")


def has_store(root: Path) -> bool:
    """Whether this program has an index of the ledger already."""
    folder = root / CACHE
    return folder.is_dir() and (folder / _current(folder)).is_file()


def _current(folder: Path) -> str:
    """The name of this program's index: with its fingerprint, so that two programs never share one, and a number.

    A damaged one is followed by the next number and its name never used again: a process that still has it open cannot mix
    the two.
    """
    ours = f"index-{fingerprint()[:12]}-"
    numbers = [int(name[len(ours) : -7]) for name in _names(folder) if name.startswith(ours) and name.endswith(".sqlite")]
    return f"{ours}{max(numbers, default=1)}.sqlite"


def _names(folder: Path) -> list[str]:
    return [one.name for one in folder.iterdir()]


def _opened(path: Path) -> sqlite3.Connection:
    store = _connect(path)
    with closed_if_failed(store):
        if store.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone() is None:
            lay_out(store)
            _remove(path.parent, path.name)
        store.execute("SELECT value FROM meta LIMIT 1").fetchone()
    return store


@contextlib.contextmanager
def closed_if_failed(store: sqlite3.Connection) -> Iterator[None]:
    """Nobody else has the store yet: where what is done with it fails, it is closed."""
    try:
        yield
    except BaseException:
        store.close()
        raise


def lay_out(store: sqlite3.Connection) -> None:
    """Make the tables, unless another process was quicker."""
    with transaction(store):
        if store.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone() is None:
            for statement in TABLES.split(";"):
                store.execute(statement)


def _remove(folder: Path, kept: str) -> None:
    """Take away every other index file."""
    for name in _names(folder):
        if name.startswith("index-") and not name.startswith(kept):
            with contextlib.suppress(OSError):
                (folder / name).unlink()


def make_anew(root: Path) -> None:
    """Begin another index in the place of a damaged one."""
    with index_lock(root):
        folder = cache_folder(root)
        name = _current(folder)
        stem, _, number = name.removesuffix(".sqlite").rpartition("-")
        with contextlib.closing(_connect(folder / f"{stem}-{int(number) + 1}.sqlite")) as store:
            lay_out(store)
        _remove(folder, f"{stem}-{int(number) + 1}.sqlite")


def _connect(path: Path) -> sqlite3.Connection:
    if path.is_symlink():
        raise NoIndex("the index is a symbolic link")
    store = sqlite3.connect(path, timeout=_BUSY_MS / 1000, isolation_level=None, cached_statements=64)
    with closed_if_failed(store):
        store.execute("PRAGMA journal_mode=WAL")
        store.execute("PRAGMA synchronous=NORMAL")
        store.execute("PRAGMA cache_size=-65536")
        store.execute("PRAGMA temp_store=MEMORY")
    return store


@contextlib.contextmanager
def anew_if_damaged(root: Path) -> Iterator[None]:
    """Ends what is done in it where the index turns out to be damaged, and begins another."""
    try:
        yield
    except sqlite3.OperationalError:
        return
    except sqlite3.DatabaseError:
        with contextlib.suppress(NoIndex):
            make_anew(root)


def in_memory() -> sqlite3.Connection:
    """An index that lasts as long as the command."""
    store = sqlite3.connect(":memory:", isolation_level=None)
    lay_out(store)
    return store


@contextlib.contextmanager
def transaction(store: sqlite3.Connection) -> Iterator[None]:
    """All of it or nothing, whenever the process ends."""
    store.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        with contextlib.suppress(sqlite3.Error):
            store.execute("ROLLBACK")
        raise
    store.execute("COMMIT")


def lock_of(store: sqlite3.Connection, root: Path) -> contextlib.AbstractContextManager[bool]:
    """The lock of a kept index; one in memory belongs to its process alone."""
    kept = store.execute("PRAGMA database_list").fetchone()[2]
    return index_lock(root) if kept else contextlib.nullcontext(False)


@contextlib.contextmanager
def index_lock(root: Path, wait: float = WAIT_SECONDS) -> Iterator[bool]:
    """Held by whoever adds to the index, so that eight commands do not do the same work eight times; whether it had to be waited
    for. NoIndex after too long a wait."""
    if fcntl is None:
        yield False
        return
    handle = os.open(cache_folder(root) / _LOCK, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666)
    try:
        until, waited = time.monotonic() + wait, False
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except OSError:
                if time.monotonic() > until:
                    raise NoIndex("another command has been adding to the index for long") from None
                waited = True
                time.sleep(0.01)
        yield waited
    finally:
        os.close(handle)
