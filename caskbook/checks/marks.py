"""The `.gitattributes` of a state of the book, and the kinds its files have: of a revision, of the index, or of the work tree."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Literal

from caskbook.checks.landed import Breach
from caskbook.checks.landed_attributes import Marks, attribute_breaches, blinds
from caskbook.checks.landed_beside import mode_breach
from caskbook.git import Git
from caskbook.git.attributes import FILE
from caskbook.git.rows import rows_of
from caskbook.git.walk import NOWHERE, FileChange, below
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.files import HOUSE_FILE, MAX_FILE
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.revisions.pairs import paths_of

Side = Literal["index", "work tree"]
_NOTHING = Marks({})


def marks_at(git: Git, rev: str, names: Sequence[str] | None) -> Marks:
    """What git is told of the ledger's files in a revision."""
    entries = git.tree(rev, *paths_of(git.prefix, names))
    blobs = git.blobs(entry.oid for entry in entries if _is_marks(entry.path) and entry.mode.startswith("100"))
    files = {entry.path: blobs[entry.oid] for entry in entries if _is_marks(entry.path) and entry.oid in blobs}
    return Marks(files, tuple(entry.path for entry in entries if _is_asked(git, entry.path)))


def _is_marks(path: str) -> bool:
    return path.rpartition("/")[2] == FILE


def _is_asked(git: Git, path: str) -> bool:
    name = path[len(git.prefix) :] if path.startswith(git.prefix) else ""
    return is_cask_path(name) or name == HOUSE_FILE


def _marks_now(git: Git, root: Path, side: Side, names: Sequence[str] | None) -> dict[str, bytes]:
    """The `.gitattributes` of the index, or those on disk, tracked or not: git heeds them all."""
    if side == "work tree":
        return marks_on_disk(git, root, [folder + "/" if folder else "" for folder in _folders_there(git, root)])
    entries = [entry for entry in git.index(*paths_of(git.prefix, names)) if entry.stage == 0 and _is_marks(entry.path) and entry.mode.startswith("100")]
    blobs = git.blobs(entry.oid for entry in entries)
    return {entry.path: blobs[entry.oid] for entry in entries}


def _folders_there(git: Git, root: Path) -> list[str]:
    """The folders on disk, from the top of the repository on, whose `.gitattributes` can speak of a cask."""
    book = git.prefix.rstrip("/")
    above = ["", *(book[:n] for n, sign in enumerate(f"{book}/") if sign == "/" and n)]
    try:
        with os.scandir(root / "casks") as there:
            below_casks = sorted(one.name for one in there if one.is_dir(follow_symlinks=False))
    except OSError:
        return above
    return [*above, f"{git.prefix}casks", *(f"{git.prefix}casks/{name}" for name in below_casks)]


def marks_on_disk(git: Git, root: Path, folders: Iterable[str]) -> dict[str, bytes]:
    """The `.gitattributes` on disk in these folders of the repository, by path; a link is none to git."""
    top = Path(os.path.normpath(root.absolute() / ("../" * git.prefix.count("/"))))
    found: dict[str, bytes] = {}
    for folder in folders:
        place = top / folder / FILE
        if place.is_file() and not place.is_symlink():
            found[folder + FILE] = read_bytes(place, MAX_FILE)
    return found


def changed_now(git: Git, root: Path, old: str, side: Side, shown: str, names: Sequence[str] | None, overlooked: Sequence[str] = ()) -> Iterator[Breach]:
    """Files of a revision that are programs now, and what `.gitattributes` switch off, on disk or in the index. `overlooked`: files (paths
    in the repository) of which git was told not to look at the copy on disk."""
    under = paths_of(git.prefix, names)
    differs = _differs(git, old, side, under)
    for change in _kinds(git, root, old, differs, overlooked):
        name = change.path[len(git.prefix) :]
        yield mode_breach(change, shown + name, Path(name).stem if is_cask_path(name) else None)
    added = tuple(path for path, change in differs.items() if change.old_oid in NOWHERE and _is_asked(git, path))
    changed = any(_is_marks(path) for path in differs)
    if side == "index" and not (changed or added):
        return
    now, told = _marks_now(git, root, side, names), list[Breach]()
    if changed or not _stand_in(git, old, now):
        before = marks_at(git, old, names)
        told += attribute_breaches(shown, git.prefix, before, Marks(now, before.paths))
    known = {breach.unit for breach in told}
    yield from (*told, *(one for one in _hidden(git, old, Marks(now, added), shown) if one.unit not in known))


def _stand_in(git: Git, rev: str, files: Mapping[str, bytes]) -> bool:
    """Whether a revision holds these files as they are."""
    entries = git.tree(rev, *files) if files else []
    blobs = git.blobs(entry.oid for entry in entries if entry.mode.startswith("100"))
    return {entry.path: blobs.get(entry.oid) for entry in entries} == files


def _differs(git: Git, old: str, side: Side, under: Sequence[str]) -> dict[str, FileChange]:
    cached = ["--cached"] if side == "index" else []
    rows = iter(rows_of(git.run("diff-index", *cached, "-r", "-z", "--raw", "--no-abbrev", "--no-renames", "--no-ext-diff", old, "--", *below(under))))
    return {change.path: change for change in (FileChange(next(rows), *row[1:].split(" ")[:4]) for row in rows)}


def _kinds(git: Git, root: Path, old: str, differs: Mapping[str, FileChange], overlooked: Sequence[str]) -> Iterator[FileChange]:
    """Plain files of a revision that another machine would run now; links and what is gone are told as files that are gone."""
    found = dict(differs)
    hidden = _overlooked(git, root, old, overlooked) if overlooked else {}
    if hidden and git.text("config", "--type=bool", "core.fileMode", good=(0, 1)) != "false":
        found |= hidden
    yield from (one for one in found.values() if _is_asked(git, one.path) and one.old_mode == "100644" and one.new_mode == "100755")


def _overlooked(git: Git, root: Path, old: str, overlooked: Sequence[str]) -> dict[str, FileChange]:
    """Files that git was told not to look at, looked at."""
    hidden = [path for path in overlooked if _is_asked(git, path)]
    there = {entry.path: entry for entry in git.tree(old, *hidden)} if hidden else {}
    found: dict[str, FileChange] = {}
    for path, entry in there.items():
        place = root / path[len(git.prefix) :]
        if place.is_file() and not place.is_symlink():
            mode = "100755" if place.stat().st_mode & stat.S_IXUSR else "100644"
            found[path] = FileChange(path, entry.mode, mode, entry.oid, entry.oid)
    return found


def new_and_hidden(git: Git, old: str, new: str, added: Sequence[str], shown: str) -> Iterator[Breach]:
    """What `.gitattributes` do to casks (paths in the repository) that came since, and to none that had landed: a rule that was there
    before the cask it is about changes nothing when it comes, and hides all that is entered on that cask later."""
    places = {f"{path.rpartition('/')[0]}/" for path in added}
    folders = sorted({place[: n + 1] for place in places for n, sign in enumerate(place) if sign == "/"} | {""})
    entries = [entry for entry in git.tree(new, *(folder + FILE for folder in folders)) if entry.mode.startswith("100")] if added else []
    if not entries:
        return
    blobs = git.blobs(entry.oid for entry in entries)
    yield from _hidden(git, old, Marks({entry.path: blobs[entry.oid] for entry in entries}, tuple(added)), shown)


def _hidden(git: Git, old: str, now: Marks, shown: str) -> Iterator[Breach]:
    """What `.gitattributes` as they are now do to files that a revision lacks, and to none that it has."""
    hidden = {path: found for path, values in now.values.items() if (found := blinds(values))}
    if not hidden:
        return
    known = {matter for values in marks_at(git, old, None).values.values() for matter in blinds(values)}
    wanted = tuple(path for path, found in hidden.items() if set(found) - known)
    yield from (
        one
        for one in attribute_breaches(shown, git.prefix, _NOTHING, Marks(now.files, wanted))
        if (one.finding.code, one.unit[1], one.unit[3], one.unit[4]) not in known
    )
