"""Links among the casks, which are not followed: out of what git and the disk said of the files anyway."""

from __future__ import annotations

import os
import re
from pathlib import Path

from caskbook.index.files_now import FilesNow
from caskbook.ledger.stray import links_among

_TRACKED = re.compile(rb" 120000 [0-9a-f]+ [0-3]\t([^\0]+)")


def linked_files(root: Path, files: FilesNow) -> list[str]:
    """Names, as `casks/DIR/ID.yaml` or `casks/DIR`, of links in the place of casks or of their folders."""
    if files.git is None:
        return links_among(root)
    listed = files.git.listed
    tracked = {os.fsdecode(name) for name in _TRACKED.findall(listed)} if b" 120000 " in listed else set()
    return links_among(root, (tracked | files.git.unsure) - files.git.stamps.keys())
