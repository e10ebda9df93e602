"""A quick look at which folders of casks changed. Every program that puts a new file in the place of an old one, as this one, git and
most editors do, leaves its mark on the folder. A file written over in place does not: in a book of up to 5,000 files its own times are looked at as well, in a larger
one it is seen once all files are looked at.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from caskbook.ledger.closed import refuse_closed

RACY_NS = 2_000_000_000
"""What was touched so shortly before it was read can change again and keep its times."""


MOST_LOOKED_AT = 5000
"""Files of a book each of which is looked at: some 2.5 µs for each."""


@dataclass(frozen=True, slots=True)
class FolderStamps:
    """Name of each folder of casks → when something was put in or taken out, or a file of it written, ns; 0 where that was only just now. `since`: the
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
            folders = [one for one in found if one.is_dir(follow_symlinks=False)]
        for one in folders:
            refuse_closed(Path(one.path))
        few = _are_few(folders)
        for one in folders:
            mark = max([one.stat(follow_symlinks=False).st_mtime_ns, *(_written(one.path) if few else ())])
            marks[one.name] = mark if mark < now - RACY_NS else 0
    except OSError:
        return FolderStamps({}, now)
    return FolderStamps(marks, now)


def _are_few(folders: Iterable[os.DirEntry[str]]) -> bool:
    """Whether these folders hold no more than MOST_LOOKED_AT files; no more are counted than it takes to tell. OSError where one cannot be looked into."""
    left = MOST_LOOKED_AT
    for folder in folders:
        with os.scandir(folder.path) as found:
            left -= sum(1 for _ in found)
        if left < 0:
            return False
    return True


def _written(folder: str) -> Iterator[int]:
    """When each file of a folder was written last, or given another name or mode, ns."""
    with os.scandir(folder) as found:
        for one in found:
            about = one.stat(follow_symlinks=False)
            yield max(about.st_mtime_ns, about.st_ctime_ns)


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
