"""Reading and replacing one file so that nothing is lost: a lock for the ledger, a comparison, a new file moved into place."""

from __future__ import annotations

import contextlib
import errno
import operator
import os
import stat
import threading
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.ledger.links_above import refuse_outside
from caskbook.ledger.paths import known_as
from caskbook.yaml.source import MAX_BYTES

try:
    import fcntl
except ImportError:  # On another system locks are taken by a library that knows them.
    fcntl = None  # type: ignore[assignment]

CACHE = ".caskbook"
LOCK = "lock"
LOCK_SECONDS = 10.0
CHANGED = "changed by somebody else since it was read"

Expected = Callable[[bytes | None], bool]

_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_LINK = "a symbolic link, which a ledger may not hold"

_held = threading.local()


def step(name: str) -> None:
    """Called after each act on the disk, so that a test can stop the process there."""


def _said(error: OSError | ValueError) -> str:
    if getattr(error, "errno", None) == errno.ENXIO:  # This may be a socket.
        return "not an ordinary file"
    return (getattr(error, "strerror", None) or str(error)).lower()


def check_plain(root: Path, path: Path) -> None:
    """Refuses a path outside `root`, or one that leads over a symbolic link; what does not exist yet is fine."""
    try:
        parts = path.relative_to(root).parts
    except ValueError:
        raise CaskbookError(f"{path}: outside the ledger {root}") from None
    if not parts or ".." in parts:
        raise CaskbookError(f"{path}: not a path inside the ledger {root}")
    at = root
    for part in parts:
        at = at / part
        try:
            mode = at.lstat().st_mode
        except FileNotFoundError:
            return
        except (OSError, ValueError) as error:
            raise CaskbookError(f"{_printable(at)}: {_said(error)}") from None
        if stat.S_ISLNK(mode):
            raise CaskbookError(f"{at}: {_LINK}")


def read_bytes(path: Path, limit: int = MAX_BYTES, *, root: Path | None = None) -> bytes:
    """The bytes of a regular file, at most `limit` + 1 of them, so that a longer one can be told from a full one.

    With `root`, no folder between it and the file may be a symbolic link. CaskbookError where it cannot be read.
    """
    if root is not None:
        check_plain(root, path)
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except (OSError, ValueError) as error:
        if isinstance(error, OSError) and error.errno == errno.ELOOP:
            raise CaskbookError(f"{path}: {_LINK}") from None
        raise CaskbookError(f"{_printable(path)}: {_said(error)}") from None
    try:
        about = os.fstat(handle)
        if not stat.S_ISREG(about.st_mode):
            raise CaskbookError(f"{path}: not an ordinary file")
        with os.fdopen(handle, "rb", closefd=False) as file:
            # The read is bounded by the size as well, for Python sets aside the room it is asked for.
            return file.read(min(limit, about.st_size + 65536) + 1)
    except OSError as error:
        raise CaskbookError(f"{path}: {_said(error)}") from None
    finally:
        os.close(handle)


def _printable(path: Path) -> str:
    text = str(path)
    return text if text.isprintable() and len(text) <= 200 else repr(text[:200])


def present_bytes(root: Path, path: Path) -> bytes | None:
    """The whole of a file in the ledger, None where there is none."""
    check_plain(root, path)
    return read_bytes(path, 1 << 40) if path.exists() else None


@contextlib.contextmanager
def ledger_lock(root: Path, timeout: float = LOCK_SECONDS) -> Iterator[None]:
    """Holds the one lock of a ledger; a thread that has it may take it again. CaskbookError when the wait is too long."""
    key = (os.getpid(), str(root.resolve()))
    counts: dict[tuple[int, str], int] = _held.__dict__.setdefault("counts", {})
    if counts.get(key):
        counts[key] += 1
        try:
            yield
        finally:
            counts[key] -= 1
        return
    let_go = _locked_handle(root, timeout)
    counts[key] = 1
    try:
        yield
    finally:
        del counts[key]
        let_go()


def _locked_handle(root: Path, timeout: float) -> Callable[[], None]:
    """Waits for the lock; gives what lets go of it."""
    if fcntl is None:
        return _locked_by_library(root, timeout)
    until = time.monotonic() + timeout
    while True:
        handle = open_lock(root, LOCK)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if _is_current(root, handle):
                return partial(os.close, handle)
            os.close(handle)  # The folder was deleted while we waited.
            continue
        except BlockingIOError:
            os.close(handle)
        except OSError as error:
            os.close(handle)
            raise CaskbookError(f"{root}: the ledger cannot be locked ({_said(error)})") from None
        if time.monotonic() >= until:
            raise CaskbookError(f"{root}: another command has been writing for {timeout:g} s; try again")
        time.sleep(0.01)


def _locked_by_library(root: Path, timeout: float) -> Callable[[], None]:
    """The same where this system has other locks than flock."""
    from filelock import FileLock, Timeout

    os.close(open_lock(root, LOCK))  # It is a file of ours and no link.
    lock = FileLock(root / CACHE / LOCK, timeout=timeout, poll_interval=0.01)
    try:
        lock.acquire()
    except Timeout:
        raise CaskbookError(f"{root}: another command has been writing for {timeout:g} s; try again") from None
    except (OSError, NotImplementedError) as error:
        raise CaskbookError(f"{root}: the ledger cannot be locked ({error})") from None
    return lock.release


def open_lock(root: Path, name: str) -> int:
    """A handle on a lock file of the ledger, made where there is none; never on one that a link leads to."""
    while True:
        path = cache_folder(root) / name
        check_plain(root, path)
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT | _NO_LINK | getattr(os, "O_CLOEXEC", 0), 0o666)
        except FileNotFoundError:
            if path.is_symlink():
                raise CaskbookError(f"{path}: {_LINK}") from None
            continue  # The folder was deleted just now.
        except OSError as error:
            raise CaskbookError(f"{path}: {_LINK if error.errno == errno.ELOOP else _said(error)}") from None
        if stat.S_ISREG(os.fstat(handle).st_mode):
            return handle
        os.close(handle)
        raise CaskbookError(f"{path}: not an ordinary file")


def _is_current(root: Path, handle: int) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), (root / CACHE / LOCK).lstat())
    except OSError:
        return False


def cache_folder(root: Path) -> Path:
    """The ledger's disposable folder, made on demand, with a rule of its own that keeps it out of git. CaskbookError where a
    link stands in its place, in the place of that rule, or above the ledger: nothing is made where a link leads.
    """
    folder = root / CACHE
    check_plain(root, folder)
    refuse_outside(root)
    try:
        folder.mkdir(exist_ok=True)
        ignore = folder / ".gitignore"
        there = ignore.lstat() if os.path.lexists(ignore) else None
        if there is None or (stat.S_ISREG(there.st_mode) and not there.st_size):  # empty: the disk was full when it was made
            with contextlib.suppress(FileExistsError):
                handle = os.open(ignore, os.O_WRONLY | (os.O_CREAT | os.O_EXCL if there is None else 0) | _NO_LINK, 0o666)
                with os.fdopen(handle, "w", encoding="utf-8") as file:
                    file.write("*\n")
    except OSError as error:
        raise CaskbookError(f"{folder}: {_said(error)}") from None
    check_plain(root, ignore)
    return folder


def fsync_folder(folder: Path) -> None:
    """Makes the names in a folder last; a file system that cannot is left to its own ways."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def replace_file(root: Path, path: Path, old: bytes | None, new: bytes) -> None:
    """Writes a file of the ledger, if it still holds `old` (None: does not exist yet); else CaskbookError."""
    with ledger_lock(root):
        if present_bytes(root, path) != old:
            raise CaskbookError(f"{path}: {CHANGED}; not written")
        put_file(root, path, new, partial(operator.eq, old))


def put_file(root: Path, path: Path, new: bytes, expected: Expected | None = None, called: str = "") -> None:
    """Moves new bytes into place, keeping the file's mode. The caller holds the lock and has compared. `called`: its name in the
    last sentence of a run that ends early, if not that of a file of the ledger.

    `expected` is asked once more, just before the move, about what the file holds then (None: there is none): an editor takes no
    lock, and may have saved while the new bytes were made to last. What is left is the time between that look and the move.
    """
    check_plain(root, path)
    try:
        lay_beside(root, path, new)
        move_into_place(root, path, expected, called)
        fsync_folder(path.parent)
    except OSError as error:
        raise CaskbookError(f"{path}: not written, {_said(error)}") from None
    finally:
        with contextlib.suppress(OSError):
            _beside(path).unlink(missing_ok=True)


def _beside(path: Path) -> Path:
    return path.with_name(f".{path.name}.tmp")


def lay_beside(root: Path, path: Path, new: bytes, *, lasting: bool = True) -> None:
    """The first half of `put_file`: new bytes beside their place; without `lasting` the caller makes them last before any is moved."""
    make_folders(root, path.parent)
    mode = stat.S_IMODE(path.stat().st_mode) if path.exists() else None
    _beside(path).unlink(missing_ok=True)
    write_synced(_beside(path), new, mode, lasting=lasting)
    step("temporary file written")


def move_into_place(root: Path, path: Path, expected: Expected | None = None, called: str = "", waiting: Path | None = None) -> None:
    """The second half: what is `waiting` (beside, unless said) is moved after a last look; the name is still to be made to last."""
    with outcome.whole():
        if expected is not None and not expected(present_bytes(root, path)):
            raise CaskbookError(f"{path}: {CHANGED}; not written")
        (waiting or _beside(path)).replace(path)
        outcome.note([called or known_as(path.name)])
    step("moved into place")


def write_synced(path: Path, data: bytes, mode: int | None = None, *, lasting: bool = True) -> None:
    """Creates a file that must not exist and makes its content last, unless that is left to the caller."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with os.fdopen(handle, "wb") as file:
        if mode is not None:
            _give_mode(file.fileno(), path, mode)
        file.write(data)
        if lasting:
            file.flush()
            os.fsync(file.fileno())


def _give_mode(handle: int, path: Path, mode: int) -> None:
    if hasattr(os, "fchmod"):
        os.fchmod(handle, mode)
    else:  # There is no such call on Windows before Python 3.13; the file is new and still ours alone.
        path.chmod(mode)


def make_folders(root: Path, folder: Path) -> None:
    """The folders down to this one."""
    missing = [one for one in (folder, *folder.parents) if one != root and root in one.parents and not one.exists()]
    for one in reversed(missing):
        one.mkdir(exist_ok=True)
        fsync_folder(one.parent)
        step("folder made")
