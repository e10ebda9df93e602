"""Which files of the ledger differ between a revision and another one, the index or the work tree, and what happened in each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from caskbook.core.finding import CaskbookError
from caskbook.git import Change, Entry, Git
from caskbook.ledger.atomic_write import check_plain, read_bytes
from caskbook.ledger.changes import CaskChange, compare
from caskbook.ledger.files import HOUSE_FILE, MAX_FILE
from caskbook.ledger.other_book import is_other_book
from caskbook.ledger.paths import is_cask_path, plain_name
from caskbook.ledger.pending_writes import overlay
from caskbook.model.cask_file import Record, read_later, read_record

Side = Literal["index", "work tree"]
_NOWHERE = frozenset({"0" * 40, "0" * 64})


@dataclass(frozen=True)
class Between:
    """Changes of cask files in order of id; house.yaml before and after (both None where it is the same); what lies there and is no
    cask's; of `both_sides`, the files (paths in the repository) that git was told not to look at."""

    casks: tuple[CaskChange, ...]
    house_old: bytes | None = None
    house_new: bytes | None = None
    stray: tuple[str, ...] = ()
    overlooked: tuple[str, ...] = ()

    @property
    def house_changed(self) -> bool:
        """Whether house.yaml holds other bytes than before."""
        return self.house_old != self.house_new


Files = dict[str, tuple[bytes | None, bytes | None]]


def between(git: Git, root: Path, old: str | None, new: str | Side, shown: str = "", names: Sequence[str] | None = None) -> Between:
    """What differs in the ledger in `root` (inside `git`'s repository) between two of its states.

    `old` and `new` are commits (`old` None: nothing at all); `new` may be the index or the work tree. `shown` is put
    before the paths of findings. `names`: only these files, given by their paths in the ledger; no other is read.
    """
    under = _under(git, names)
    found = git.changes(old or git.empty_tree, None if new in ("index", "work tree") else new, *under, renames=False)
    return _of(git, _on_disk(git, root, found, under, git.index_marked(*under)) if new == "work tree" else _in_git(git, found), shown)


def both_sides(git: Git, root: Path, old: str | None, shown: str = "", names: Sequence[str] | None = None) -> tuple[Between, Between]:
    """What differs between a revision and the work tree, and between it and the index, which git compares once for both."""
    under = _under(git, names)
    found = git.changes(old or git.empty_tree, None, *under, renames=False)
    listed = git.index_marked(*under)
    work = _of(git, _on_disk(git, root, found, under, listed), shown)
    return replace(work, overlooked=tuple(_overlooked(listed))), _of(git, _in_git(git, found), shown)


def _under(git: Git, names: Sequence[str] | None) -> tuple[str, ...]:
    return tuple(f"{git.prefix}{name}" for name in (names if names is not None else ("casks/", HOUSE_FILE)))


def _of(git: Git, files: Files, shown: str) -> Between:
    start = len(git.prefix)
    files = {path[start:]: pair for path, pair in files.items()}
    house = files.pop(HOUSE_FILE, (None, None))
    casks = {path: pair for path, pair in files.items() if is_cask_path(path) and pair[0] != pair[1]}
    stray = tuple(sorted(plain_name(path) for path in files if not is_cask_path(path)))
    return Between(tuple(cask_changes(casks, shown)), house[0], house[1], stray)


def _in_git(git: Git, found: Sequence[Change]) -> Files:
    changes = [change for change in found if change.status != "U"]  # The index does not hold yet what is unmerged.
    blobs = git.blobs(oid for change in changes for oid in (change.old_oid, change.new_oid) if oid not in _NOWHERE)
    return {change.path: (blobs.get(change.old_oid), blobs.get(change.new_oid)) for change in changes}


def _overlooked(listed: Sequence[tuple[str, Entry]]) -> dict[str, str]:
    """Files of the index whose copy on disk git was told not to look at, with git's letter for why."""
    return {row.path: letter for letter, row in listed if letter == "S" or letter.islower()}


def _on_disk(git: Git, root: Path, changes: Sequence[Change], under: tuple[str, ...], listed: Sequence[tuple[str, Entry]]) -> Files:
    """Path → (bytes in a revision, bytes in the work tree) of every file that differs; None stands for no file. `changes`: what the
    index has otherwise than the revision, `listed` all of the index. What an unfinished write still owes counts as written."""
    before: dict[str, str] = {change.path: change.old_oid for change in changes}
    overlooked = _overlooked(listed)
    start = len(git.prefix)
    owed = {git.prefix + name: data for name, data in overlay(root).items() if f"{git.prefix}{name}".startswith(under)}
    touched = {*git.touched(*under), *overlooked, *owed}
    if touched - before.keys():
        # These are not in the comparison with the index, so what the index holds is what the revision holds.
        indexed = {entry.path: entry for _, entry in listed if entry.path in touched and entry.mode.startswith("100")}
        before |= {path: indexed[path].oid if path in indexed else "0" * 40 for path in touched - before.keys()}
    for path in _come(git, root, under):
        before.setdefault(path, "0" * 40)
    now = {path: owed[path] if path in owed else _bytes_on_disk(root, path[start:]) for path in before}
    kept = _left_out(git, [path for path, data in now.items() if data is None and overlooked.get(path, "") in ("S", "s")], under)
    before = {path: oid for path, oid in before.items() if kept.get(path) != oid}
    blobs = git.blobs([*(oid for oid in before.values() if oid not in _NOWHERE), *(kept[path] for path in before if path in kept)])
    return {path: (blobs.get(oid), blobs[kept[path]] if path in kept else now[path]) for path, oid in before.items()}


def _come(git: Git, root: Path, under: tuple[str, ...]) -> Iterator[str]:
    """What git does not know yet; of what it ignores only what belongs to a book. Folders that are another book's are left out."""
    start = len(git.prefix)
    found = git.untracked(*under, ignored=True)
    others = [path for path in found if path[start:] != HOUSE_FILE and not is_cask_path(path[start:])]
    if others:
        found = [path for path in found if path not in set(others)] + sorted({*others} & {*git.untracked(*under)})
    foreign = {folder for folder in {path[start:].rpartition("/")[0] for path in found} if folder and is_other_book(root, folder)}
    yield from (path for path in found if path[start:].rpartition("/")[0] not in foreign)


def _left_out(git: Git, absent: list[str], under: tuple[str, ...]) -> dict[str, str]:
    """Of files that are not on disk, those that a sparse checkout leaves out on purpose: they are as the index has them (git's names
    of their content). Without one, a file that git shall overlook is gone like any other."""
    if not absent or git.text("config", "--type=bool", "core.sparseCheckout", good=(0, 1)) != "true":
        return {}
    wanted = set(absent)
    return {entry.path: entry.oid for entry in git.index(*under) if entry.path in wanted and entry.mode.startswith("100")}


def _bytes_on_disk(root: Path, name: str) -> bytes | None:
    """None also where a link or a folder stands in the file's place, or on the way to it: nothing of the book is there."""
    path = root / name
    try:
        check_plain(root, path)
    except CaskbookError:
        return None
    return read_bytes(path, MAX_FILE) if path.is_file() else None


def cask_changes(files: Files, shown: str) -> list[CaskChange]:
    """Each file compared; one gone here and there again under another name, with all its events, counts as renamed."""

    def record(path: str, data: bytes | None) -> Record | None:
        return read_record(shown + path, data) if data is not None else None

    gone = {path: compare(record(path, old), None) for path, (old, new) in files.items() if new is None and old is not None}
    come = {path: compare(None, record(path, new)) for path, (old, new) in files.items() if old is None and new is not None}
    renamed = _renamed(gone, come)
    found = [compare(gone[one].old, come[other].new) for one, other in renamed.items()]
    found += [change for path, change in gone.items() if path not in renamed]
    found += [change for path, change in come.items() if path not in renamed.values()]
    for path, (old, new) in files.items():
        if old is not None and new is not None:
            was = read_record(shown + path, old)
            found.append(compare(was, read_later(was, shown + path, new)))
    return sorted(found, key=lambda change: change.name)


def _renamed(gone: dict[str, CaskChange], come: dict[str, CaskChange]) -> dict[str, str]:
    """Old path → new path. Files are matched by the ids of their events, never by likeness."""
    by_id: dict[str, list[str]] = {}
    for path, change in come.items():
        for event in change.added:
            by_id.setdefault(event.id or "", []).append(path)
    found: dict[str, str] = {}
    for path, change in gone.items():
        ids = {event.id or "" for event in change.removed}
        fits = [set(by_id.get(event_id, [])) for event_id in ids]
        both = sorted(set.intersection(*fits) - set(found.values())) if fits else []
        if both:
            found[path] = both[0]
    return found


def changed_somewhere(work: Between, staged: Between) -> Between:
    """The work tree's changes, and those of the index that the work tree does not show: what landed and was rewritten there."""
    seen = {(change.name, _face(change)) for change in work.casks}
    extra = tuple(change for change in staged.casks if change.rewrites and (change.name, _face(change)) not in seen)
    return Between(work.casks + extra, work.house_old, work.house_new, work.stray)


def _face(change: CaskChange) -> tuple[object, ...]:
    return change.kind, str(change.altered), str(change.removed), str(change.moved)
