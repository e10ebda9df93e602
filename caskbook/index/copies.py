"""Which files may begin as one of some casks does, so that one is a copy of the other: by the index where there is one, else by their bytes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from caskbook.index.file_contents import compare_files
from caskbook.index.files_now import files_now
from caskbook.index.peek import from_index
from caskbook.index.store import Store
from caskbook.ledger.scan import bytes_of, files_with
from caskbook.yaml.escapes import may_hold

_UNTOLD = "SELECT w.name FROM work_file w WHERE w.version IS NULL OR w.version NOT IN (SELECT version FROM file_check)"


def may_be_copies(root: Path, signs: Collection[int], words: Sequence[str], *, disk: bool = True) -> list[str]:
    """Names of the cask files that may have one of these signs (`checks.copied.sign_of`), each of which holds one of the words. `disk`: whether a kept index may
    be asked."""
    wanted = [word.encode() for word in words]
    known = from_index(root, lambda store: _kept(store, root, signs)) if disk else None
    if known is None:
        return files_with(root, wanted)
    return [name for name in known if (data := bytes_of(root, name)) is not None and may_hold(data, *wanted)]


def _kept(store: Store, root: Path, signs: Collection[int]) -> list[str]:
    contents = compare_files(store, root, files_now(root))
    there = contents.known.whole().keys() | contents.unknown.keys()
    marks = ", ".join("?" * len({*signs}))
    told = store.execute(f"SELECT DISTINCT v.name FROM file_check f JOIN version v ON v.id = f.version WHERE f.sign IN ({marks})", (*{*signs},))
    found = {name for rows in (told, store.execute(_UNTOLD)) for (name,) in rows}
    return sorted(there & {*found, *contents.unknown, *contents.changed})
