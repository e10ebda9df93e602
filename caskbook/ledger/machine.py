"""What this machine knows by itself, kept where no repository reaches: the user's state folder. A journal or an index that lies in
a ledger is believed only if it fits what stands here.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import stat
import sys
from pathlib import Path

from caskbook.core.finding import CaskbookError

VARIABLE = "CASKBOOK_STATE"
SPARE = "/var/tmp"
"""Where a user without a home may keep something that outlasts a restart."""
_TOKEN = re.compile(r"[0-9a-f]{32}")
_MOST = 4096
_SEALS = "seals"


def new_token() -> str:
    """A random number that nobody guesses, as 32 hex digits."""
    return os.urandom(16).hex()


def usual_folder() -> Path:
    """Where the user's state belongs on this system; RuntimeError where there is no home."""
    if sys.platform.startswith("linux"):  # Platformdirs says the same, but takes a tenth of a short command to load.
        named = os.environ.get("XDG_STATE_HOME", "").strip()
        base = Path(named) if named and Path(named).is_absolute() else Path("~/.local/state").expanduser()
        return base / "caskbook"
    from platformdirs import user_state_path

    return Path(user_state_path("caskbook", appauthor=False))


def state_folder() -> Path:
    """The folder, made where there is none: named by CASKBOOK_STATE, else the user's own, else one in /var/tmp that only
    this user can enter. CaskbookError, in one line, where none can be written.
    """
    named = os.environ.get(VARIABLE)
    if named:
        return _usable(Path(named).absolute())
    with contextlib.suppress(CaskbookError, RuntimeError):
        return _usable(usual_folder())
    if hasattr(os, "getuid") and Path(SPARE).is_dir():
        return _usable(Path(SPARE) / f"caskbook-{os.getuid()}")
    raise CaskbookError(f"no folder for what this machine knows: name one outside the repository in {VARIABLE}")


def _usable(folder: Path) -> Path:
    """The folder, made where it was not there. CaskbookError where it cannot be written, or where others can write to it."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        about = folder.lstat() if folder.parent == Path(SPARE) else folder.stat()
    except OSError as error:
        raise _unwritable(folder, (error.strerror or str(error)).lower()) from None
    ours = not hasattr(os, "getuid") or (about.st_uid == os.getuid() and not about.st_mode & 0o022)
    if not stat.S_ISDIR(about.st_mode) or not ours:
        raise _unwritable(folder, "others can write to it, or it is no folder")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise _unwritable(folder, "permission denied")
    return folder


def _unwritable(folder: Path, why: str) -> CaskbookError:
    return CaskbookError(f"{folder}: {why}; name a folder of yours outside the repository in {VARIABLE}")


def _read(name: str) -> str:
    """What stands under a name; empty where nothing does."""
    try:
        with (state_folder() / name).open(encoding="ascii") as file:
            return file.read(_MOST)
    except (OSError, ValueError, CaskbookError):
        return ""


def _write(name: str, text: str) -> None:
    """Keeps a text, whole or not at all, so that it outlasts the machine's fall."""
    folder = state_folder()
    temporary = folder / f"{name}.{os.urandom(4).hex()}.tmp"
    try:
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(folder / name)
    except OSError as error:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise _unwritable(folder, (error.strerror or str(error)).lower()) from None


def shift_name(root: Path) -> str:
    """Under which name the shift at a ledger is noted."""
    return f"shift-{hashlib.sha256(str(root.resolve()).encode('utf-8', 'surrogateescape')).hexdigest()[:32]}"


def round_path(root: Path) -> Path:
    """The file in which what is seen on a round of a ledger is kept until it is ended. CaskbookError where no state can be kept."""
    return state_folder() / f"round-{shift_name(root).removeprefix('shift-')}"


def has_shift(root: Path) -> bool:
    """Whether one is noted, of whatever day; a look that takes no time where there is none, as for most entries."""
    try:
        return (state_folder() / shift_name(root)).exists()
    except CaskbookError:
        return False


def kept_note(name: str) -> str:
    """A note of this machine's, empty where there is none."""
    return _read(name)


def keep_note(name: str, text: str) -> None:
    """Keep a note, whole or not at all: ASCII, at most 4096 signs. CaskbookError where it cannot be kept."""
    if len(text) > _MOST:
        raise CaskbookError(f"a note of {len(text)} signs is too long to be kept")
    _write(name, text)


def drop_note(name: str) -> None:
    """There is no such note any more."""
    _forget(name)


def _forget(name: str) -> None:
    with contextlib.suppress(OSError, CaskbookError):
        (state_folder() / name).unlink()


def seal(root: Path, data: bytes) -> str:
    """A mark of something that lies in a ledger: who does not know what this machine alone knows cannot make it, and it is good in this place
    alone. Empty where no state can be kept: then nothing is believed later."""
    key = _read(_SEALS)
    try:
        if not _TOKEN.fullmatch(key):
            key = new_token()
            _write(_SEALS, key)
        about = root.stat()
    except (CaskbookError, OSError):
        return ""
    place = f"{root.resolve()} {about.st_dev} {about.st_ino}\0".encode("utf-8", "surrogateescape")
    return hashlib.blake2b(place + data, key=key.encode("ascii"), digest_size=32).hexdigest()


def is_sealed(root: Path, data: bytes, mark: str) -> bool:
    """Whether this machine put that mark on it, in this place."""
    return len(mark) == 64 and mark == seal(root, data)


def hold_journal(token: str, journal: bytes) -> None:
    """Notes that a journal was begun here: its token, and what the whole of it says. CaskbookError where it cannot."""
    _write(f"journal-{token}", hashlib.sha256(journal).hexdigest())


def holds_journal(token: object, journal: bytes) -> bool:
    """Whether just this journal was begun here and is not completed yet."""
    if not isinstance(token, str) or _TOKEN.fullmatch(token) is None:
        return False
    return _read(f"journal-{token}") == hashlib.sha256(journal).hexdigest()


def forget_journal(token: object) -> None:
    """The journal is done with: the same bytes, coming back from anywhere, are foreign from now on."""
    if isinstance(token, str) and _TOKEN.fullmatch(token):
        _forget(f"journal-{token}")


def _index_name(root: Path, program: str) -> str:
    return f"index-{hashlib.sha256(f'{program} {root.resolve()}'.encode('utf-8', 'surrogateescape')).hexdigest()[:32]}"


def bound_index(root: Path, program: str) -> tuple[str, str, int, int] | None:
    """(file name, random number, device, inode) of the index that a program made for the ledger in this place; None: none."""
    try:
        name, number, device, inode = json.loads(_read(_index_name(root, program)))
    except (ValueError, RecursionError, TypeError):
        return None
    return (name, number, device, inode) if isinstance(name, str) and isinstance(number, str) else None


def bind_index(root: Path, program: str, path: Path, number: str) -> None:
    """Notes the index in `path` as the one made here. CaskbookError where it cannot."""
    about = path.stat()
    _write(_index_name(root, program), json.dumps([path.name, number, about.st_dev, about.st_ino]))


def forget_index(root: Path, program: str) -> None:
    """Nothing that lies there is the index of this machine any more."""
    _forget(_index_name(root, program))
