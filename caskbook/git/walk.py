"""The commits of a range, one by one: who made each, and which files it holds otherwise than each of its parents.

Two processes of git serve a whole range, however long it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from caskbook.core.finding import CaskbookError
from caskbook.git.repository import Git
from caskbook.git.rows import decoded, rows_of

_FORMAT = "%H%x1f%P%x1f%as%x1f%cs%x1f%ct%x1f%an%x1f%s"
NOWHERE = frozenset({"0" * 40, "0" * 64})
LINK, GITLINK = "120000", "160000"


@dataclass(frozen=True, slots=True)
class FileChange:
    """One file that a commit holds otherwise than a parent: modes as six digits and blobs, zeros where it is not there."""

    path: str
    old_mode: str
    new_mode: str
    old_oid: str
    new_oid: str


@dataclass(frozen=True, slots=True)
class Step:
    """One commit: its names, author, days (ISO; when it was written, when committed), when it was committed in seconds from 1970 as git
    says them, and subject; for each parent what differs.

    A commit without parents has one entry, against nothing (parent None).
    """

    commit: str
    author: str
    day: str
    committed_on: str
    committed_at: str
    subject: str
    parents: tuple[str | None, ...]
    changes: tuple[tuple[FileChange, ...], ...]


def steps(git: Git, old: Sequence[str], new: str, *under: str) -> list[Step]:
    """Every commit of `new` that none of `old` has, parents before children, with its changes below these paths.

    Commits that touch nothing there are left out. CaskbookError where a shallow clone lacks a parent.
    """
    _whole(git, old, new)
    span = [new, *(f"^{one}" for one in old)]
    rows = rows_of(git.run("log", "-z", "--topo-order", "--reverse", "--no-show-signature", "--no-ext-diff", "-s", f"--format={_FORMAT}", *span, "--"))
    about = [row.split("\x1f", 6) for row in rows]
    pairs: list[tuple[str, str | None]] = [(commit, parent) for commit, parents, *_ in about for parent in (parents.split() or (None,))]
    differs = _compared(git, pairs, under)
    found: list[Step] = []
    for commit, parents, day, committed_on, committed_at, author, subject in about:
        of: tuple[str | None, ...] = tuple(parents.split()) or (None,)
        changes = tuple(tuple(next(differs)) for _ in of)
        if any(changes):
            found.append(Step(commit, author, day, committed_on, committed_at, subject, of, changes))
    return found


def _whole(git: Git, old: Sequence[str], new: str) -> None:
    """A clone that was cut off has commits whose parents are not there: they would seem to begin the book."""
    if not git.shallow:
        return
    cut = set(decoded((git.common_dir / "shallow").read_bytes()).split()) if (git.common_dir / "shallow").is_file() else set()
    span = [new, *(f"^{one}" for one in old)]
    here = cut & set(git.text("rev-list", *span).split())
    if here:
        raise CaskbookError(f"{min(here)[:12]}: its parent is not in this shallow clone; fetch the rest with `git fetch --unshallow`")


def _compared(git: Git, pairs: Sequence[tuple[str, str | None]], under: Sequence[str]) -> Iterator[list[FileChange]]:
    """What differs between each commit and its parent, in the order given."""
    if not pairs:
        return
    told = "".join(f"{commit} {parent}\n" if parent else f"{commit}\n" for commit, parent in pairs)
    flags = ["--stdin", "--root", "--always", "-r", "-z", "--raw", "--no-abbrev", "--no-renames", "--no-ext-diff"]
    rows = iter(rows_of(git.run("diff-tree", *flags, "--", *below(under), data=told.encode())))
    row = next(rows, None)
    for commit, _ in pairs:
        if row != commit:
            raise CaskbookError(f"git diff-tree: no answer about {commit[:12]}")
        found: list[FileChange] = []
        row = next(rows, None)
        while row is not None and row.startswith(":"):
            modes = row[1:].split(" ")
            found.append(FileChange(next(rows), *modes[:4]))
            row = next(rows, None)
        yield _each_once(found)


def below(under: Sequence[str]) -> list[str]:
    """Pathspecs from the top of the repository, taken as they are written."""
    return [f":(top,literal){path}" if path else ":(top)" for path in under]


def tree_changes(git: Git, old: str | None, new: str, *under: str) -> tuple[FileChange, ...]:
    """What differs between two commits (`old` None: nothing at all) below these paths, with modes."""
    flags = ["-r", "-z", "--raw", "--no-abbrev", "--no-renames", "--no-ext-diff"]
    rows = iter(rows_of(git.run("diff-tree", *flags, old or git.empty_tree, new, "--", *below(under))))
    return tuple(_each_once([FileChange(next(rows), *row[1:].split(" ")[:4]) for row in rows]))


def _each_once(changes: list[FileChange]) -> list[FileChange]:
    """Each file once: of a tree that is out of order, git tells one that changed as one that went and one that came."""
    if len({change.path for change in changes}) == len(changes):
        return changes
    found: dict[str, FileChange] = {}
    for one in changes:
        if (had := found.get(one.path)) is not None:
            old, new = (one if had.old_oid in NOWHERE else had), (had if one.new_oid in NOWHERE else one)
            one = FileChange(one.path, old.old_mode, new.new_mode, old.old_oid, new.new_oid)
        found[one.path] = one
    return list(found.values())


def is_ancestor(git: Git, old: str, new: str) -> bool:
    """Whether all of `old`'s history is in `new`."""
    return git.works("merge-base", "--is-ancestor", old, new)


def merge_bases(git: Git, one: str, other: str) -> list[str]:
    """Every best common ancestor; several after a criss-cross."""
    return git.text("merge-base", "--all", one, other, good=(0, 1)).split()


def merge_heads(git: Git) -> list[str]:
    """HEAD and the commits that the merge under way brings to it; none where none is."""
    path = git.git_path("MERGE_HEAD")
    return ["HEAD", *path.read_text(encoding="ascii", errors="replace").split()] if path.is_file() else []


def lacking(git: Git, old: str, new: str) -> int:
    """How many commits of `old` are not in `new`."""
    return int(git.text("rev-list", "--count", old, f"^{new}"))
