"""The journal of a write of several files: what it says, and whether it is one that this machine began.

It bears a random token that this machine keeps outside the repository, with a hash of the whole journal: one that somebody else
made is never completed and never read through, for a repository can carry any file.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.ledger import machine
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.closed import refuse_closed
from caskbook.ledger.tracked import tracked_in

FOLDER = ".pending"
JOURNAL = "journal.json"
MOST_JOURNAL = 64_000_000
_WAY_OUT = f"see what the book says, then take {FOLDER} away (mv {FOLDER} elsewhere)"


@dataclass(frozen=True)
class Entry:
    """One file of the journal: its path in the ledger, hashes of what it held (None: nothing) and shall hold."""

    path: str
    old: str | None
    new: str
    store: str


def hash_of(data: bytes | None) -> str | None:
    return None if data is None else hashlib.sha256(data).hexdigest()


def unfinished(root: Path) -> bool:
    """Whether a write of several files that this machine began was committed and not yet completed."""
    return os.path.lexists(root / FOLDER / JOURNAL) and foreign(root) is None


def foreign(root: Path) -> str | None:
    """Why what lies in the folder of unfinished writes is not believed, in one line; None where it is, or where nothing is.

    It is believed where this machine began just this journal and git tracks nothing of it. CaskbookError where this user may not read it.
    """
    folder = root / FOLDER
    if not os.path.lexists(folder):
        return None
    if folder.is_symlink() or not folder.is_dir():
        return f"{folder}: no folder of ours, so it is left alone; take it away"
    if tracked := tracked_in(root, FOLDER):
        return f"git tracks {tracked[0]}, which no journal of ours is: left alone; {untrack(root)}"
    path = folder / JOURNAL
    refuse_closed(folder)
    if not os.path.lexists(path):
        return None
    if path.is_file() and not path.is_symlink() and not os.access(path, os.R_OK):
        raise CaskbookError(
            f"{path}: permission denied, and what was said to be written may wait in it: ask whoever can read it to enter the next job, which completes it"
        )
    try:
        data = read_bytes(path, MOST_JOURNAL)
        known = len(data) <= MOST_JOURNAL and machine.holds_journal(token_of(data), data)
    except CaskbookError as error:
        return f"{error}; it is left alone: take {FOLDER} away"
    return None if known else f"{path}: a write of several files that this machine did not begin, or finished before; {_WAY_OUT}"


def untrack(root: Path) -> str:
    """The line to paste."""
    try:
        folder = os.path.relpath(root / FOLDER)
    except ValueError:  # The two lie on different drives.
        folder = str(root / FOLDER)
    return f"git rm -r --cached {typed_word(folder)}, and commit that"


def token_of(data: bytes) -> object:
    try:
        return json.loads(data)["token"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def stored(folder: Path, entry: Entry) -> bytes:
    data = read_bytes(folder / entry.store, 1 << 40)
    if hash_of(data) != entry.new:
        raise CaskbookError(f"{folder / entry.store}: damaged; restore {entry.path} from version control")
    return data


def entries_of(folder: Path) -> list[Entry] | None:
    """The entries of a committed journal; None where none is in place."""
    path = folder / JOURNAL
    if not path.exists():
        return None
    try:
        entries = [_entry(one) for one in json.loads(read_bytes(path, MOST_JOURNAL))["files"]]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise CaskbookError(f"{path}: damaged; settle by hand what {FOLDER} holds and delete it") from None
    for entry in entries:
        if PurePosixPath(entry.store).name != entry.store:
            raise CaskbookError(f"{path}: names a file outside {FOLDER}")
    if len({entry.path for entry in entries}) < len(entries):
        raise CaskbookError(f"{path}: names the same file twice")
    return entries


def _entry(one: Any) -> Entry:
    entry = Entry(one["path"], one["old"], one["new"], one["store"])
    if not all(isinstance(text, str) for text in (entry.path, entry.new, entry.store, entry.old or "")):
        raise TypeError("a journal entry is made of texts")
    return entry
