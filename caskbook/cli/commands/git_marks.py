"""Whether `.gitattributes` of a repository already say what `git install` would write for a ledger, on disk and in the last commit."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from caskbook.git import Git
from caskbook.ledger.files import HOUSE_FILE, file_of

_FILE = ".gitattributes"
_ANY_CASK = file_of("AA-0000")


def folders_above(git: Git) -> list[str]:
    """The folders from the top of the repository down to the ledger: empty, or ending in `/`."""
    return ["", *(git.prefix[: n + 1] for n, sign in enumerate(git.prefix) if sign == "/")]


def on_disk(git: Git, root: Path) -> dict[str, bytes]:
    """The `.gitattributes` on disk that speak of the whole ledger, by path in the repository."""
    from caskbook.checks.marks import marks_on_disk

    return marks_on_disk(git, root, folders_above(git))


def say_all(git: Git, files: Mapping[str, bytes]) -> bool:
    """Whether these files give every cask and house.yaml our merge, casks our headings, and leave all bytes alone."""
    from caskbook.git.attributes import attributes

    cask, house = git.prefix + _ANY_CASK, git.prefix + HOUSE_FILE
    found = attributes(files, [cask, house])
    merged = all(told["merge"] == "caskbook" and (told["text"] == "unset" or told["eol"] == "lf") for told in found.values())
    return merged and found[cask]["diff"] == "caskbook"


def not_committed(git: Git, root: Path) -> list[str]:
    """Of these files, those that the last commit must hold, and does not, for every machine to merge alike; none where it says all."""
    committed = _committed(git)
    if say_all(git, committed):
        return []
    return [path for path, data in on_disk(git, root).items() if committed.get(path) != data and b"merge=caskbook" in data]


def is_committed(git: Git, path: str) -> bool:
    """Whether git has a file in its index or in the last commit."""
    return bool(git.index(path)) or path in _committed(git)


def _committed(git: Git) -> dict[str, bytes]:
    entries = git.tree("HEAD", *(folder + _FILE for folder in folders_above(git))) if git.head() else []
    blobs = git.blobs(entry.oid for entry in entries if entry.mode.startswith("100"))
    return {entry.path: blobs[entry.oid] for entry in entries if entry.oid in blobs}
