"""Which files may hold a cask that lies at a berth: as the index knows them, and as they were put in place since."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from caskbook.index.bearing_files import files_bearing_words
from caskbook.index.store import Store

_AT_ONCE = 500


def files_at(root: Path, berths: Sequence[str], *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may say that their cask lies at one of the berths, more rather than fewer: the caller reads
    them. None where the files cannot be looked at. `disk`: whether a kept index may be asked."""
    wanted = [berth.encode() for berth in berths]
    return files_bearing_words(root, lambda store: _kept(store, berths), wanted, disk=disk)


def _kept(store: Store, berths: Sequence[str]) -> Iterator[str]:
    for at in range(0, len(berths), _AT_ONCE):
        some = berths[at : at + _AT_ONCE]
        marks = ", ".join("?" * len(some))
        yield from (row[0] for row in store.execute(f"SELECT DISTINCT v.name FROM life l JOIN version v ON v.id = l.version WHERE l.berth IN ({marks})", some))
