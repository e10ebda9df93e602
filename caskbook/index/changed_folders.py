"""A quick look at which folders of casks changed. Every program that puts a new file in the place of an old one, as this one, git and
most editors do, leaves its mark on the folder; only a file written over in place is not seen, until all files are looked at.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from caskbook.ledger.closed import refuse_closed

RACY_NS = 2_000_000_000
"""What was touched so shortly before it was read can change again and keep its times."""


@dataclass(frozen=True, slots=True)
class FolderStamps:
    """Name of each folder of casks → when something was put in or taken out, ns; 0 where that was only just now. `since`: the
    time of the look, ns."""

    marks: dict[str, int]
    since: int

    def changed(self, before: FolderStamps) -> list[str]:
        """Folders in which something may have changed since."""
        return sorted(name for name in self.marks.keys() | before.marks.keys() if not self.marks.get(name) or self.marks.get(name) != before.marks.get(name))


def folder_stamps_of(root: Path) -> FolderStamps:
    """The folders as they are now. CaskbookError where one may not be looked into, of which git would tell what it last knew."""
    now = time.time_ns()
    marks: dict[str, int] = {}
    try:
        with os.scandir(root / "casks") as found:
            for one in found:
                if one.is_dir(follow_symlinks=False):
                    refuse_closed(Path(one.path))
                    mark = one.stat(follow_symlinks=False).st_mtime_ns
                    marks[one.name] = mark if mark < now - RACY_NS else 0
    except OSError:
        return FolderStamps({}, now)
    return FolderStamps(marks, now)


def touched_files(root: Path, folders: list[str], since: int) -> Iterator[tuple[str, bool]]:
    """(name, whether it was touched since) of the cask files in these folders."""
    for folder in folders:
        try:
            with os.scandir(root / "casks" / folder) as found:
                for one in found:
                    if one.name.endswith(".yaml") and one.is_file(follow_symlinks=False):
                        about = one.stat(follow_symlinks=False)
                        yield f"casks/{folder}/{one.name}", max(about.st_mtime_ns, about.st_ctime_ns) >= since - RACY_NS
        except OSError:
            continue
