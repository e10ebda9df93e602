"""What git says of the files of a ledger, line by line, and the stamps of those of which the file system has to tell."""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from caskbook.index.changed_folders import RACY_NS
from caskbook.ledger.paths import is_cask_path

_PIECE = 1 << 20


@dataclass(frozen=True)
class GitList:
    """What git says of the files: a line for each that it keeps (`listed`), the names of those that may be otherwise (`unsure`),
    and the stamps of the latter from the file system."""

    root: Path
    listed: bytes
    unsure: frozenset[str]
    stamps: dict[str, str]
    digest: str

    @property
    def all_there(self) -> bool:
        """Whether none of the files in doubt was taken away: put back, it would be in nobody's doubt again."""
        return all(name in self.stamps for name in self.unsure if is_cask_path(name))

    @cached_property
    def plain(self) -> bool:
        """Whether git looks at every file itself: none is marked as one whose changes it shall overlook, none unmerged."""
        return self.listed.count(b"H 100") == self.listed.count(b"\0") and self.listed.count(b" 0\tcasks/") == self.listed.count(b"\0")

    def unlike(self, before: Iterable[str]) -> tuple[dict[str, str], set[str]]:
        """As `FilesNow.unlike`. Two sets of lines are compared, of which nearly all are in both, or none is known yet."""
        known = set(before)
        lines = set(self._lines()) if known else set[str]()
        rows = self.rows(lines - known if known else self._lines())
        past = {line.partition("\t")[2] for line in known - lines}
        return rows, (past | self.unsure) - rows.keys()

    def few(self, odd: set[str]) -> tuple[dict[str, str], set[str]]:
        """As `FilesNow.few`."""
        rows = self.rows(line for name in odd if (line := self._line(name)))
        return rows, (odd | self.unsure) - rows.keys()

    def _lines(self) -> Iterator[str]:
        """The lines, some at a time: as texts all of them at once take several times as much memory as they do in one piece."""
        at = 0
        while at < len(self.listed):
            end = self.listed.find(b"\0", at + _PIECE)
            piece, at = self.listed[at:end] if end >= 0 else self.listed[at:], end + 1 if end >= 0 else len(self.listed)
            yield from os.fsdecode(piece).split("\0")

    def _line(self, name: str) -> str:
        at = self.listed.find(b"\t" + os.fsencode(name) + b"\0")
        return os.fsdecode(self.listed[self.listed.rfind(b"\0", 0, at) + 1 : self.listed.find(b"\0", at)]) if at >= 0 else ""

    def rows(self, lines: Iterable[str]) -> dict[str, str]:
        """Name → stamp of the files in these lines, and of those that may be otherwise."""
        rows: dict[str, str] = {}
        odd: list[str] = []
        for line in lines:
            about, _, name = line.partition("\t")
            if not name or name in self.unsure:
                continue
            if about[:5] != "H 100" or about[-2:] != " 0":
                tag, mode, _, stage = about.split(" ")
                if tag == "H" and stage == "0" and not mode.startswith("100"):
                    continue
                odd.append(name)
            elif is_cask_path(name):
                rows[name] = "g" + about[9:-2]
        rows.update(self.stamps)
        rows.update(stat_stamps(self.root, odd))
        return rows

    def whole(self) -> dict[str, str]:
        """Name → stamp of every file."""
        return self.rows(self._lines())


def stat_stamps(root: Path, names: Iterable[str]) -> dict[str, str]:
    """Name → stamp of the files that are cask files of the ledger; empty where the file was touched only just now."""
    now = time.time_ns()
    base = str(root) + os.sep
    folders: dict[str, bool] = {}
    stamps: dict[str, str] = {}
    for name in names:
        folder = name.rpartition("/")[0]
        if folder not in folders:
            folders[folder] = is_cask_path(f"{folder}/a.yaml") and not (root / folder).is_symlink() and not (root / "casks").is_symlink()
        if folders[folder] and is_cask_path(name):
            stamp = _stat_stamp(base + name, now)
            if stamp is not None:
                stamps[name] = stamp
    return stamps


def _stat_stamp(path: str, now: int) -> str | None:
    """A stamp of times, size and inode; "" where the file is too young to be sure of or no file, None where there is none."""
    try:
        about = os.lstat(path)
    except OSError:
        return None
    if stat.S_ISLNK(about.st_mode):
        return None
    if not stat.S_ISREG(about.st_mode):
        return ""  # a pipe or a folder in the place of a file: it is not read, and who tries says so
    if max(about.st_mtime_ns, about.st_ctime_ns) > now - RACY_NS:
        return ""
    return f"s{about.st_mtime_ns} {about.st_ctime_ns} {about.st_size} {about.st_ino} {about.st_dev}"
