"""The parts of berths that the index knows, for a shell that waits at each Tab: one look at a time, and nothing else of the index is loaded."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from caskbook.index.schema import fingerprint
from caskbook.ledger.machine import bound_index

MOST = 300
_LAST = "\U0010ffff"


def berth_parts(root: str, begun: str) -> list[str]:
    """The next parts of the berths that begin so: `W1/`, then `W1/05/`, then `W1/05/2`; up to 300. Empty where no index was made here."""
    bound = bound_index(Path(root), fingerprint())
    if bound is None:
        return []
    path = Path(root) / ".caskbook" / bound[0]
    try:
        about = path.lstat()
        if (about.st_dev, about.st_ino) != bound[2:]:
            return []
        index = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=0.05)
    except (OSError, sqlite3.Error):
        return []
    try:
        return _parts(index, begun)
    except sqlite3.Error:
        return []
    finally:
        index.close()


def _parts(index: sqlite3.Connection, begun: str) -> list[str]:
    """Each found by a seek behind the one before."""
    found: list[str] = []
    at = begun
    while len(found) < MOST:
        row = index.execute("SELECT min(berth) FROM life WHERE berth IS NOT NULL AND berth >= ?", (at,)).fetchone()
        if row is None or row[0] is None or not row[0].startswith(begun):
            break
        head, slash, _ = row[0][len(begun) :].partition("/")
        part = begun + head + slash
        found += [part] if part.isprintable() else []
        at = part + (_LAST if slash else "\0")
    return found
