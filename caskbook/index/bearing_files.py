"""Which files may hold a word that is looked for: as the index knows them, and as they were put in place since."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.index.changed_folders import folder_stamps_of, touched_files
from caskbook.index.file_contents import last_folder_stamps
from caskbook.index.store import NoIndex, Store, has_store, open_store
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.journal import unfinished
from caskbook.ledger.scan import Holds, files_where, files_with
from caskbook.yaml.escapes import may_hold

_MOST_READ = 2000
"""Files whose bytes are searched one by one where the index does not know them; of more, the whole book is searched."""

Kept = Callable[[Store], Iterable[str]]


def files_bearing(root: Path, kept: Kept, holds: Holds, *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may bear what is looked for, more rather than fewer: the caller reads them. None where the files cannot be
    looked at. `kept` names them out of the index, `holds` tells it of a file's bytes. `disk`: whether a kept index may be asked."""
    return _found(root, kept, holds, disk, lambda: files_where(root, holds))


def files_bearing_words(root: Path, kept: Kept, words: Collection[bytes], *, disk: bool = True, fold: bool = False) -> list[str] | None:
    """The same of files in which one of these words may stand, which git can look for in a large book; `fold` as `files_with` takes it."""
    return _found(root, kept, lambda data: may_hold(data.lower() if fold else data, *words), disk, lambda: files_with(root, words, fold=fold))


def _found(root: Path, kept: Kept, holds: Holds, disk: bool, search: Callable[[], list[str]]) -> list[str] | None:
    try:
        known = _of_index(root, kept, holds) if disk else None
        return known if known is not None else search()
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


def _holding(root: Path, names: Sequence[str], holds: Holds) -> Iterator[str]:
    yield from (name for name in names if holds(read_bytes(root / name)))
