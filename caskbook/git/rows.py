"""What git answers, as plain values: files of trees and of the index, comparisons, commits."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from caskbook.core.finding import CaskbookError

_NO_FILE = ("120000", "160000")
Status = Literal["A", "D", "M", "R", "T", "U"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One file of a tree or of the index: git's mode, the blob's name, the path in the repository, the stage (0: settled)."""

    mode: str
    oid: str
    path: str
    stage: int = 0


@dataclass(frozen=True, slots=True)
class Change:
    """One line of a comparison of two trees, U being unmerged; `old` is the former path where the file was renamed, else `path` itself."""

    status: Status
    path: str
    old: str
    old_oid: str
    new_oid: str


@dataclass(frozen=True, slots=True)
class Joined:
    """A file that a merge holds as none of its parents did: the blob in each parent and in the merge (zeros where it is not there)."""

    path: str
    old_oids: tuple[str, ...]
    new_oid: str


@dataclass(frozen=True, slots=True)
class Commit:
    """One commit: its name, author's day (ISO) and subject line."""

    oid: str
    day: str
    subject: str


def decoded(out: bytes) -> str:
    """Git's answer as text; what is not UTF-8 comes through unharmed."""
    return out.decode("utf-8", "surrogateescape")


def rows_of(out: bytes) -> list[str]:
    """The parts of an answer separated by NUL."""
    return [row for row in decoded(out).split("\0") if row]


def tree_entry(row: str) -> Entry:
    """A row of `ls-tree -z`."""
    about, path = row.split("\t", 1)
    mode, _, oid = about.split(" ")[:3]
    return Entry(mode, oid, path)


def index_entry(row: str) -> Entry:
    """A row of `ls-files -z --stage`."""
    about, path = row.split("\t", 1)
    mode, oid, stage = about.split(" ")
    return Entry(mode, oid, path, int(stage))


def raw_changes(rows: list[str]) -> Iterator[Change]:
    """The rows of a raw comparison: about, path, and a second path where a file was renamed."""
    left = iter(rows)
    for about in left:
        old_mode, new_mode, old_oid, new_oid, status = about.lstrip(":").split(" ")
        # A link or another repository is no file: what it would be the content of is not there.
        old_oid = "0" * len(old_oid) if old_mode in _NO_FILE else old_oid
        new_oid = "0" * len(new_oid) if new_mode in _NO_FILE else new_oid
        old = next(left)
        path = next(left) if status[0] in "RC" else old
        kind: Status = status[0] if status[0] in "ADRTU" else "M"  # type: ignore[assignment]
        yield Change("A" if status[0] == "C" else kind, path, old if status[0] == "R" else path, old_oid, new_oid)


def joined_files(rows: list[str]) -> Iterator[Joined]:
    """The rows of a raw combined comparison: a colon, a mode and a blob for each parent, then those of the merge, and the path."""
    left = iter(rows)
    for about in left:
        if about.startswith("::"):
            words = about.lstrip(":").split(" ")
            parents = (len(words) - 3) // 2
            oids = words[parents + 1 : -1]
            yield Joined(next(left), tuple(oids[:-1]), oids[-1])


def batched(wanted: list[str], out: bytes) -> Iterator[tuple[str, bytes]]:
    """The answers of `cat-file --batch`. CaskbookError where one is missing."""
    at = 0
    for oid in wanted:
        end = out.index(b"\n", at)
        about = out[at:end].split(b" ")
        if about[-1] == b"missing":
            raise CaskbookError(f"git object {oid[:12]} is not here; fetch it, or repair the repository")
        size = int(about[2])
        yield oid, out[end + 1 : end + 1 + size]
        at = end + 2 + size


class KeptBlobs:
    """The latest small blobs that were fetched: 256 of at most 64 KiB. A blob never changes."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], bytes] = {}

    def of(self, where: str, oids: list[str], fetched: Callable[[list[str]], dict[str, bytes]]) -> dict[str, bytes]:
        """The content of blobs by name, in the order given, those fetched that are not kept for this repository (`where`)."""
        found = {oid: self._kept[where, oid] for oid in oids if (where, oid) in self._kept}
        wanted = [oid for oid in oids if oid not in found]
        came = fetched(wanted) if wanted else {}
        for oid, data in list(came.items())[-_MOST_BLOBS:]:
            if len(data) <= _LARGE:
                self._kept[where, oid] = data
        for key in list(self._kept)[: max(0, len(self._kept) - _MOST_BLOBS)]:
            del self._kept[key]
        return {oid: found[oid] if oid in found else came[oid] for oid in oids}


_MOST_BLOBS, _LARGE = 256, 1 << 16
_OBJECT = re.compile(r"[0-9a-f]{40,64}(\^\{commit\}|:.*)?", re.DOTALL)


def of_an_object(args: Sequence[str]) -> bool:
    """Whether a command asks of objects by their full names alone, so that its answer is the same for ever."""
    names = [word for word in args[1:] if not word.startswith("-")][: 2 if args[0] == "diff-tree" else 1]
    return args[0] in ("ls-tree", "rev-parse", "diff-tree") and bool(names) and all(_OBJECT.fullmatch(name) for name in names)


def whole_comparison(args: Sequence[str]) -> list[str]:
    """A command as it is given, but one that compares leaves out no other repository, whatever a `.gitmodules` says, and looks into none."""
    at = 0
    while at < len(args) and args[at] == "-c":
        at += 2
    return [*args[: at + 1], *(["--ignore-submodules=dirty"] if args[at].startswith("diff-") else []), *args[at + 1 :]]
