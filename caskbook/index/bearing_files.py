"""Which files may hold a word that is looked for: as the index knows them, and as they were put in place since."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
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

Kept = Callable[[Store], Iterable[str]]
Holds = Callable[[bytes], bool]


def files_bearing(root: Path, kept: Kept, holds: Holds, *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may bear what is looked for, more rather than fewer: the caller reads them. None where that cannot
    be told without reading a large book. `kept` names them out of the index, `holds` tells it of a file's bytes. `disk`: whether a
    kept index may be asked."""
    try:
        known = _of_index(root, kept, holds) if disk else None
        return known if known is not None else _of_files(root, holds)
    except (NoIndex, CaskbookError, sqlite3.Error, OSError):
        return None


def _of_index(root: Path, kept: Kept, holds: Holds) -> list[str] | None:
    """The files by the index and by a look at what came since; None where the index cannot tell."""
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
        found = [name for name in dict.fromkeys(kept(store)) if (root / name).is_file()]
    return [*found, *(name for name in _holding(root, fresh, holds) if name not in found)]


def _of_files(root: Path, holds: Holds) -> list[str] | None:
    names: list[str] = []
    for folder in sorted(one.name for one in os.scandir(root / "casks") if one.is_dir(follow_symlinks=False)) if (root / "casks").is_dir() else []:
        names += [name for name, _ in touched_files(root, [folder], 0)]
        if len(names) > _MOST_READ:
            return None
    return list(_holding(root, names, holds))


def _holding(root: Path, names: Sequence[str], holds: Holds) -> Iterator[str]:
    yield from (name for name in names if holds(read_bytes(root / name)))
