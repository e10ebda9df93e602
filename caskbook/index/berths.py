"""Which files may hold a cask that lies at a berth: as the index knows them, and as they were put in place since."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from caskbook.index.bearing_files import files_bearing
from caskbook.index.store import Store
from caskbook.yaml.escapes import may_hold

_AT_ONCE = 500


def files_at(root: Path, berths: Sequence[str], *, disk: bool = True) -> list[str] | None:
    """Names of the cask files that may say that their cask lies at one of the berths, more rather than fewer: the caller reads
    them. None where that cannot be told without reading a large book. `disk`: whether a kept index may be asked."""
    wanted = [berth.encode() for berth in berths]
    return files_bearing(root, lambda store: _kept(store, berths), lambda data: may_hold(data, *wanted), disk=disk)


def _kept(store: Store, berths: Sequence[str]) -> Iterator[str]:
    for at in range(0, len(berths), _AT_ONCE):
        some = berths[at : at + _AT_ONCE]
        marks = ", ".join("?" * len(some))
        yield from (row[0] for row in store.execute(f"SELECT DISTINCT v.name FROM life l JOIN version v ON v.id = l.version WHERE l.berth IN ({marks})", some))
