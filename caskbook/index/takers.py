"""Which files may tell of parts taken of some donor, or of a filling out of a vat: as the index knows them, and as they were put in place since."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from pathlib import Path

from caskbook.index.bearing_files import Kept, files_bearing_words
from caskbook.index.file_contents import compare_files
from caskbook.index.files_now import files_now
from caskbook.index.peek import from_index
from caskbook.index.store import Store

# A life may be of a day before the last entry; of such a file it does not tell.
_UNTOLD = (
    "SELECT w.name FROM work_file w WHERE w.version IS NULL OR NOT EXISTS"
    " (SELECT 1 FROM life l WHERE l.version = w.version AND l.from_day >= ifnull(l.last_entry, 0))"
)
_TELLING = (
    "SELECT DISTINCT v.name FROM life l INDEXED BY life_donors CROSS JOIN version v ON v.id = l.version WHERE l.donors IS NOT NULL AND (l.donors = 'null'"
)


def takers_known(root: Path, donors: Collection[str], *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may say that parts came from one of these donors, more rather than fewer: the caller reads them.
    None where the files cannot be looked at. `disk`: whether a kept index may be asked."""
    wanted = [donor.encode() for donor in donors]
    return files_bearing_words(root, lambda store: _kept(store, donors), wanted, disk=disk)


def takers_now(root: Path, donors: Collection[str]) -> list[str] | None:
    """The same with every file looked at, also one that was written over in place: what a check may rest on."""
    return _now(root, lambda store: _kept(store, donors))


def vats_known(root: Path, *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may tell of a filling out of a vat; as `takers_known`."""
    return files_bearing_words(root, _kept_of_vats, (b"vat",), disk=disk)


def vats_now(root: Path) -> list[str] | None:
    """The same with every file looked at; as `takers_now`."""
    return _now(root, _kept_of_vats)


def _now(root: Path, kept: Kept) -> list[str] | None:
    def found(store: Store) -> list[str]:
        contents = compare_files(store, root, files_now(root))
        known = contents.known.whole().keys() | contents.unknown.keys()
        changed = {*contents.unknown, *contents.changed}
        return sorted(name for name in {*kept(store), *changed} if name in known)

    return from_index(root, found)


def _kept_of_vats(store: Store) -> Iterator[str]:
    query = "SELECT DISTINCT v.name FROM fill f JOIN life l ON l.id = f.life JOIN version v ON v.id = l.version WHERE f.vat IS NOT NULL"
    yield from (row[0] for row in store.execute(query))
    yield from (row[0] for row in store.execute(_UNTOLD.replace("l.from_day >=", "l.beside AND l.from_day >=")))


def _kept(store: Store, donors: Collection[str]) -> Iterator[str]:
    named = "".join(" OR instr(l.donors, ?)" for _ in donors)
    yield from (row[0] for row in store.execute(f"{_TELLING}{named})", [json.dumps(donor) for donor in donors]))
    yield from (row[0] for row in store.execute(_UNTOLD))
