"""Many files in one git merge: the first start of the driver merges the others ahead, so that they need no start of their own.

What is merged ahead is only taken by the driver's shell line where all three versions are the same. It stands in lines that the shell itself reads, so that it
starts one program for each file, which reads the three, and none to compare, tell or write.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sys
from pathlib import Path

from caskbook.cli.merge_driver import END
from caskbook.cli.merge_driver.whole_file import write_whole
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
    """Merges all files of this git merge but `done` into `store`: PATH.sh gives the driver's line the versions, the outcome and its words, END stands between versions.

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
            _merge_all(git, store, (bases[0], "HEAD", heads[0]), done, marker_size)


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
    """All files that both sides of a merge changed are merged ahead; none where they are few. A file is in the store whole or not at all."""
    ours, theirs = ({change.path: change for change in git.changes(commits[0], side, renames=False)} for side in commits[1:])
    paths = [path for path, change in ours.items() if path in theirs and path != done and change.status == theirs[path].status == "M"]
    paths = [path for path in paths if ours[path].new_oid != theirs[path].new_oid and _CASK_FILE.fullmatch(path) and is_plain_path(path)]
    if len(paths) < FEWEST:
        return
    sign = os.urandom(12).hex()
    (store / END).write_text(sign, encoding="ascii")
    blobs = git.blobs(oid for path in paths for oid in (ours[path].old_oid, ours[path].new_oid, theirs[path].new_oid))
    for path in paths:
        base, one, other = (blobs[oid] for oid in (ours[path].old_oid, ours[path].new_oid, theirs[path].new_oid))
        if b"\0" not in base + one + other:  # No shell can hold that sign.
            place = store / f"{path}.sh"
            place.parent.mkdir(parents=True, exist_ok=True)
            write_whole(place, _lines(path, (base, one, other), sign.encode(), marker_size))


def _lines(path: str, versions: tuple[bytes, bytes, bytes], sign: bytes, marker_size: int) -> bytes:
    """One file merged ahead, as lines of shell: k its three versions, m the result, n what a person has to know, c the driver's code."""
    found = merge(*versions, path=path, marker_size=marker_size)
    words = "".join(f"{line}\n" for line in merge_notices(found, path, *versions)).encode("utf-8", "surrogateescape")
    known = b"".join(text + sign for text in versions)
    return b"k=%b\nm=%b\nn=%b\nc=%d\n" % (_quoted(known), _quoted(found.data), _quoted(words), not found.clean)


def _quoted(text: bytes) -> bytes:
    return b"'" + text.replace(b"'", b"'\\''") + b"'"
