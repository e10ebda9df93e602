"""Git's merge driver: three files in, one out beside ours. It loads next to nothing, for git starts it once for every file."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from caskbook.cli.merge_driver.whole_file import write_whole
from caskbook.cli.merge_driver.words import merge_notices
from caskbook.core.quick_start import quick_start
from caskbook.merge.lines import Merged
from caskbook.merge.whole import merge

OUTCOME = ".merged"
"""Behind the name of our file: where the result stands, whole or not at all. That it is there proves that the merge was done."""

_MARKER = b"<<<<<<<"


def main(arguments: list[str]) -> int:
    """The driver as git calls it: base, ours, theirs, size of the markers, path in the repository, where to merge ahead."""
    quick_start()
    try:
        base, ours, theirs, size, path, *store = arguments
        code = merge_files(base, ours, theirs, path, int(size))
        if store and not Path(store[0]).exists() and _is_merge():
            from caskbook.cli.merge_driver.ahead import merge_ahead  # A merge does so once.

            merge_ahead(Path(store[0]), path, int(size))
        return code
    except Exception as error:  # Whatever went wrong, git's own text merge takes over: see the driver's shell line.
        print(f"caskbook: {type(error).__name__}: {error}", file=sys.stderr)
        return 2


def merge_files(base: str, ours: str, theirs: str, path: str, marker_size: int = 7) -> int:
    """Merges three files into OURS.merged, which the caller moves into place; `path` says which file of the ledger it is.

    0: clean; 1: with markers, for a person to decide. What is to be known goes to stderr. OSError where a file cannot be read.
    """
    texts = [Path(name).read_bytes() for name in (base, ours, theirs)]
    found, texts[0] = _merged(texts[0], texts[1], texts[2], path, marker_size)
    write_whole(Path(ours + OUTCOME), found.data)
    for line in merge_notices(found, path, texts[0], texts[1], texts[2]):
        print(line, file=sys.stderr)
    return 0 if found.clean else 1


def _merged(base: bytes, ours: bytes, theirs: bytes, path: str, marker_size: int) -> tuple[Merged, bytes]:
    """(the merge, its common version). One that git made up of several, and could not unite, is made anew of the real ones."""
    if base.startswith(_MARKER) or b"\n" + _MARKER in base:
        # Lines of work that crossed are rare, and git is asked about them.
        from caskbook.cli.merge_driver.common_versions import of_driven_merge
        from caskbook.merge.bases import merge_over

        bases, common = of_driven_merge(path, ours, theirs)
        if bases:
            return merge_over(bases, common, ours, theirs, path=path, marker_size=marker_size)
    # Git names the heads of a merge alone; a rebase, a cherry-pick and a stash put theirs upon what stands.
    return merge(base, ours, theirs, path=path, marker_size=marker_size, ours_stays=not _is_merge()), base


def _is_merge() -> bool:
    return any(key.startswith("GITHEAD_") for key in os.environ)
