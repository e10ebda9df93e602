"""The index file itself: opened, made anew when it is of another program or damaged, written by one process at a time."""

from __future__ import annotations

import contextlib
import os
import re
import sqlite3
import stat
import time
from collections.abc import Iterator
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.index.schema import fingerprint, tables
from caskbook.ledger import machine
from caskbook.ledger.atomic_write import CACHE, cache_folder, check_plain, open_lock

_LOCK = "index.lock"
_NAME = re.compile(r"index-[0-9a-f]{12}-[0-9a-f]{16}\.sqlite")
_Bound = tuple[str, str, int, int]
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


class Store(sqlite3.Connection):
    """An open index: its tables, the words it keeps about itself, and how it is written to."""

    def meta(self, key: str) -> str:
        """A word the index keeps about itself; empty where there is none."""
        row = self.execute("SELECT value FROM meta WHERE key = ?", (key,)).fetchone()
        return str(row[0]) if row else ""

    def set_meta(self, key: str, value: str) -> None:
        """Keep it."""
        self.execute("INSERT INTO meta VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value", (key, value))

    @property
    def path(self) -> str:
        """The file of the index; empty where it is in memory."""
        return str(self.execute("PRAGMA database_list").fetchone()[2])

    def lock(self, root: Path) -> contextlib.AbstractContextManager[bool]:
        """The lock of a kept index, as `index_lock` gives it; one in memory belongs to its process alone."""
        return index_lock(root) if self.path else contextlib.nullcontext(False)

    @contextlib.contextmanager
    def transaction(self) -> Iterator[None]:
        """All of it or nothing, whenever the process ends."""
        self.execute("BEGIN IMMEDIATE")
        try:
            yield
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self.execute("ROLLBACK")
            raise
        self.execute("COMMIT")


def open_store(root: Path) -> Store:
    """The index that this machine made for the ledger in this place, made where there is none; any other is thrown away unread.

    NoIndex where it cannot be written, or somebody else is at it too long.
    """
    try:
        cache_folder(root)
        machine.state_folder()
        for _ in range(3):
            bound = machine.bound_index(root, fingerprint())
            try:
                store = _opened(root, bound) if bound is not None else None
            except sqlite3.OperationalError:
                raise
            except sqlite3.DatabaseError:
                store = None
            if store is not None:
                return store
            make_anew(root, bound)
    except (CaskbookError, OSError, sqlite3.OperationalError) as error:
        raise NoIndex(str(error)) from None
    raise NoIndex("the index cannot be made")


def has_store(root: Path) -> bool:
    """Whether this program has an index of the ledger already."""
    bound = machine.bound_index(root, fingerprint())
    return bound is not None and _is_bound(root, bound)


def _is_bound(root: Path, bound: _Bound) -> bool:
    """Whether the file noted is there, and is the very one that was made here: an ordinary file, on its device, under its inode."""
    name, _, device, inode = bound
    if _NAME.fullmatch(name) is None:
        return False
    try:
        check_plain(root, root / CACHE / name)
        about = (root / CACHE / name).lstat()
        beside = [(root / CACHE / f"{name}{end}") for end in ("-wal", "-shm", "-journal")]
        odd = any(one.is_symlink() or (one.exists() and not one.is_file()) for one in beside)
    except (OSError, CaskbookError):
        return False
    return stat.S_ISREG(about.st_mode) and (about.st_dev, about.st_ino) == (device, inode) and not odd


def _names(folder: Path) -> list[str]:
    return [one.name for one in folder.iterdir()]


def _opened(root: Path, bound: _Bound) -> Store | None:
    """The index noted for this place; None where what lies there is not it, or does not bear the number noted."""
    if not _is_bound(root, bound):
        return None
    store = _connect(root / CACHE / bound[0])
    with closed_if_failed(store):
        row = store.execute("SELECT value FROM meta WHERE key = 'bound'").fetchone()
    if row is not None and row[0] == bound[1]:
        return store
    store.close()
    return None


@contextlib.contextmanager
def closed_if_failed(store: Store) -> Iterator[None]:
    """Nobody else has the store yet: where what is done with it fails, it is closed."""
    try:
        yield
    except BaseException:
        store.close()
        raise


def lay_out(store: Store) -> None:
    """Make the tables, unless another process was quicker."""
    with store.transaction():
        if store.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone() is None:
            for statement in tables().split(";"):
                store.execute(statement)


def _remove(folder: Path, kept: str) -> None:
    """Take away every other index file."""
    for name in _names(folder):
        if name.startswith("index-") and not name.startswith(kept):
            with contextlib.suppress(OSError):
                (folder / name).unlink()


_ANY = ("", "", 0, 0)


def make_anew(root: Path, instead: _Bound | None = _ANY) -> None:
    """Begin another index, under a name never used before, and note it as the one of this machine.

    `instead`: the one that it takes the place of; where another process has noted a newer one meanwhile, nothing is done.
    """
    program = fingerprint()
    with index_lock(root):
        if instead is not _ANY and machine.bound_index(root, program) != instead:
            return
        folder = cache_folder(root)
        number = machine.new_token()
        name = f"index-{program[:12]}-{machine.new_token()[:16]}.sqlite"
        os.close(os.open(folder / name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        with contextlib.closing(_connect(folder / name)) as store:
            lay_out(store)
            store.execute("INSERT OR REPLACE INTO meta VALUES ('bound', ?)", (number,))
        try:
            machine.bind_index(root, program, folder / name, number)
        except CaskbookError as error:
            raise NoIndex(str(error)) from None
        _remove(folder, name)


def _connect(path: Path) -> Store:
    store = sqlite3.connect(path, timeout=_BUSY_MS / 1000, isolation_level=None, cached_statements=64, factory=Store)
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


def in_memory() -> Store:
    """An index that lasts as long as the command."""
    store = sqlite3.connect(":memory:", isolation_level=None, factory=Store)
    lay_out(store)
    return store


@contextlib.contextmanager
def index_lock(root: Path, wait: float = WAIT_SECONDS) -> Iterator[bool]:
    """Held by whoever adds to the index, so that eight commands do not do the same work eight times; whether it had to be waited
    for. NoIndex after too long a wait."""
    if fcntl is None:
        yield False
        return
    try:
        handle = open_lock(root, _LOCK)
    except CaskbookError as error:
        raise NoIndex(str(error)) from None
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
