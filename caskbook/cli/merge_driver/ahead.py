"""Many files in one git merge: the first start of the driver merges the others ahead, so that they need no start of their own.

What is merged ahead is only taken by the driver's shell line where all three versions are the same, byte for byte.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sys
from pathlib import Path

from caskbook.cli.merge_driver.words import merge_notices
from caskbook.core.days import time_now
from caskbook.core.finding import CaskbookError
from caskbook.git import Git, open_git
from caskbook.git.names import is_plain_path
from caskbook.merge import merge

FEWEST = 8
"""From how many files on it pays to merge ahead."""
_OLD_SECONDS = 3600.0
_HEAD = "GITHEAD_"
_CASK_FILE = re.compile(r"(?:.*/)?casks/[^/]+/[^/]+\.yaml", re.DOTALL)


def merge_ahead(store: Path, done: str, marker_size: int) -> None:
    """Merges all files of this git merge but `done` into `store`: PATH.O .A .B the versions, .M the outcome, .C conflicts, .N words.

    Nothing is written where it cannot be known what git merges (a rebase, several common versions), or for a few files only.
    """
    with contextlib.suppress(CaskbookError, OSError):
        _sweep(store.parent)
        heads = [key[len(_HEAD) :] for key in os.environ if key.startswith(_HEAD)]
        if len(heads) != 1 or store.exists():
            return
        store.mkdir(parents=True)
        git = open_git(Path.cwd())
        bases = git.text("merge-base", "--all", "HEAD", heads[0], good=(0, 1)).split()
        if len(bases) == 1:
            _merge_all(git, store, (bases[0], git.resolve("HEAD"), heads[0]), done, marker_size)


def _sweep(folder: Path) -> None:
    """Takes away what merges left an hour ago and longer. A clock that tells no time is said: what is old stays then, and the merge goes on."""
    left = list(folder.iterdir()) if folder.is_dir() else []
    try:
        now = time_now().timestamp() if left else 0.0
    except CaskbookError as error:
        print(f"caskbook: {error}", file=sys.stderr)
        return
    for old in left:
        if now - old.stat().st_mtime > _OLD_SECONDS:
            shutil.rmtree(old, ignore_errors=True)


def _merge_all(git: Git, store: Path, commits: tuple[str, str, str], done: str, marker_size: int) -> None:
    ours, theirs = ({change.path: change for change in git.changes(commits[0], side, renames=False)} for side in commits[1:])
    paths = [path for path, change in ours.items() if path in theirs and path != done and change.status == theirs[path].status == "M"]
    paths = [path for path in paths if ours[path].new_oid != theirs[path].new_oid and _CASK_FILE.fullmatch(path) and is_plain_path(path)]
    if len(paths) < FEWEST:
        return
    blobs = git.blobs(oid for path in paths for oid in (ours[path].old_oid, ours[path].new_oid, theirs[path].new_oid))
    for path in paths:
        base, one, other = (blobs[oid] for oid in (ours[path].old_oid, ours[path].new_oid, theirs[path].new_oid))
        _one(store, path, base, one, other, marker_size)


def _one(store: Path, path: str, base: bytes, ours: bytes, theirs: bytes, marker_size: int) -> None:
    """One file is merged ahead and put into the store: its three versions, the result, what a person has to know, and whether it is clean."""
    found = merge(base, ours, theirs, path=path, marker_size=marker_size)
    place = store / path
    place.parent.mkdir(parents=True, exist_ok=True)
    words = merge_notices(found, path, base, ours, theirs)
    files = {"O": base, "A": ours, "M": found.data}
    if not found.clean:
        files["C"] = b""
    if words:
        files["N"] = "".join(f"{line}\n" for line in words).encode("utf-8", "surrogateescape")
    for ending, data in files.items():
        Path(f"{place}.{ending}").write_bytes(data)
    Path(f"{place}.B").write_bytes(theirs)  # This file comes last: without it nothing of the others is taken.
