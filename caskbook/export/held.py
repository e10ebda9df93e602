"""What lies in an export's folder held against what its manifest says: a file that somebody altered, or that was cut short, is not believed."""

from __future__ import annotations

import hashlib
import json
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from caskbook.export.place import MANIFEST

One = dict[str, Any]
"""What a manifest says of a file."""
OWN = "sha256"
"""The key of a manifest that has the digest of the rest of it; one of an earlier version has none."""


class Held(NamedTuple):
    """The files that a manifest names: those that lie there as they were written, and those that are there otherwise; not those that are gone."""

    sound: list[One]
    altered: list[One]


def held(state: Path, made: Mapping[str, Any], day: str) -> Held:
    """The files of a manifest, as they lie in its state. `day`: the one that is exported.

    All are held by their bytes and their content, which takes a twentieth of an export or less; but days gone by are many, and in their files nothing
    is built upon, so that of those the content is read only where one was written to since the manifest was."""
    written = (state / MANIFEST / f"{made['ledger']}.json").stat().st_mtime_ns
    found = Held([], [])
    for one in made["files"]:
        path = state / lies_at(one)
        if path.is_symlink() or path.exists():
            since = written if one.get("as_of") not in (None, day, made["as_of"]) else None
            (found.sound if _as_written(path, one, since) else found.altered).append(one)
    return found


def _as_written(path: Path, one: One, since: int | None) -> bool:
    """Whether a file is as its manifest says; `since`: by its size alone where it was not written to since then."""
    try:
        told = path.lstat()
        if not stat.S_ISREG(told.st_mode) or told.st_size != one["bytes"]:
            return False
        return (since is not None and told.st_mtime_ns <= since) or digest_of(path)[0] == one["sha256"]
    except OSError:
        return False


def lies_at(one: Mapping[str, Any]) -> str:
    """Where a part lies that a manifest names: its path, or what that was under a name before."""
    return str(one.get("was", one["path"]))


def digest_of(path: Path) -> tuple[str, int]:
    """(the SHA-256 of a file, hexadecimal; how many bytes it has)."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest(), path.stat().st_size


def own_digest(made: Mapping[str, Any]) -> str:
    """Of all that a manifest says, but for itself; hexadecimal."""
    told = json.dumps({key: value for key, value in made.items() if key != OWN}, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()
