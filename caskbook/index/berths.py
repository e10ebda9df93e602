"""Which files may hold a cask that lies at a berth: as the index knows them, and as they were put in place since."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.index.changed_folders import folder_stamps_of, touched_files
from caskbook.index.file_contents import last_folder_stamps
from caskbook.index.store import NoIndex, Store, has_store, open_store
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.journal import unfinished

_MOST_READ = 2000
"""Files whose bytes are searched where the index does not know them; of more, nothing is told."""
_AT_ONCE = 500


def files_at(root: Path, berths: Sequence[str], *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may say that their cask lies at one of the berths, more rather than fewer: the caller reads
    them. None where that cannot be told without reading a large book. `disk`: whether a kept index may be asked."""
    try:
        known = _of_index(root, berths) if disk else None
        return known if known is not None else _of_files(root, berths)
    except (NoIndex, CaskbookError, sqlite3.Error, OSError):
        return None


def _of_index(root: Path, berths: Sequence[str]) -> list[str] | None:
    """The files that may hold a cask at these berths, by the index and by a look at what came since; None where the index cannot tell."""
    if unfinished(root) or not has_store(root):
        return None
    with closing(open_store(root)) as store:
        before, now = last_folder_stamps(store), folder_stamps_of(root)
        if before is None:
            return None
        files = dict(touched_files(root, now.changed(before), before.since))
        fresh = [name for name, new in files.items() if new]
        if len(fresh) > _MOST_READ:
            return None
        found = dict.fromkeys(name for name in _kept(store, berths))
    return [*found, *(name for name in _naming(root, fresh, berths) if name not in found)]


def _kept(store: Store, berths: Sequence[str]) -> Iterator[str]:
    for at in range(0, len(berths), _AT_ONCE):
        some = berths[at : at + _AT_ONCE]
        marks = ", ".join("?" * len(some))
        yield from (row[0] for row in store.execute(f"SELECT DISTINCT v.name FROM life l JOIN version v ON v.id = l.version WHERE l.berth IN ({marks})", some))


def _of_files(root: Path, berths: Sequence[str]) -> list[str] | None:
    names: list[str] = []
    for folder in sorted(one.name for one in os.scandir(root / "casks") if one.is_dir(follow_symlinks=False)) if (root / "casks").is_dir() else []:
        names += [name for name, _ in touched_files(root, [folder], 0)]
        if len(names) > _MOST_READ:
            return None
    return list(_naming(root, names, berths))


def _naming(root: Path, names: Sequence[str], berths: Sequence[str]) -> Iterator[str]:
    wanted = [berth.encode() for berth in berths]
    for name in names:
        data = read_bytes(root / name)
        if any(berth in data for berth in wanted):
            yield name
