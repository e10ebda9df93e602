"""Whether git tracks what is never part of a book: the folders that this program keeps for itself beside the casks."""

from __future__ import annotations

import contextlib
import os
import re
import stat
import threading
from collections.abc import Callable, Iterator
from itertools import groupby
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.git import Git, names_in_index, open_git, without_git
from caskbook.ledger.astray import is_astray, odd_names
from caskbook.ledger.paths import is_cask_path, may_be_casks

OWN_FOLDERS = (".caskbook", ".pending")
WRITTEN_FILES = (".gitattributes", ".gitignore")
"""Files that commands write in a ledger beside house.yaml and the casks."""
SCHEMA_FILES = ("cask.schema.json", "house.schema.json")
LAST_RUN = "last-run.json"
SHIFT_RUNS = "shift-runs.jsonl"
_LINK_ROW = re.compile(rb"120000 blob [0-9a-f]+\t([^\0]+)")
RUN_NOTES = (LAST_RUN, SHIFT_RUNS)
"""Files in the first of our own folders that hold what runs wrote, so that `undo` can take it back."""


def tracked_in(root: Path, *folders: str) -> list[str]:
    """Files below these folders of a ledger that git has in its index or in HEAD, on disk or not, in any case of letters.

    Empty without git, or outside a repository: there nothing can be tracked.
    """
    if without_git(root):
        return []
    git = Git(root)
    paths = [f":(icase){folder}" for folder in folders]
    for more in (("--with-tree=HEAD",), ()):
        try:
            out = git.run("ls-files", "-z", *more, "--", *paths)
        except CaskbookError:
            continue  # Nothing has been committed yet, or there is no repository.
        return list(dict.fromkeys(part.decode("utf-8", "replace") for part in out.split(b"\0") if part))
    return []


def is_sparse(root: Path) -> bool:
    """Whether the work tree of a ledger may leave files out: a sparse checkout was set here once. A few looks, no git."""
    for at in (root.absolute(), *root.absolute().parents):
        own = at / ".git"
        if own.is_file():  # This is a further work tree, or a submodule.
            try:
                own = at / own.read_text(encoding="utf-8", errors="replace").removeprefix("gitdir:").strip()
            except OSError:
                return False
        if own.is_dir():
            return (own / "info" / "sparse-checkout").exists()
    return False


def left_out(root: Path, name: str) -> bool:
    """Whether git has a file of the ledger that a sparse checkout leaves out of the work tree."""
    return name in all_left_out(root, name)


def all_left_out(root: Path, *under: str) -> dict[str, str]:
    """Files below these paths of the ledger that git has and a sparse checkout leaves out: name → git's name of the content."""
    try:
        out = Git(root).run("ls-files", "-z", "-s", "-t", "--", *(f":(literal){name}" for name in under))
    except CaskbookError:
        return {}
    found: dict[str, str] = {}
    for row in out.split(b"\0"):
        about, _, name = os.fsdecode(row).partition("\t")
        if about[:5] == "S 100":
            found[name] = about.split(" ")[2]
    return {name: oid for name, oid in found.items() if not os.path.lexists(root / name)}


def overlooked_and_gone(root: Path, listed: bytes) -> list[str]:
    """Cask files that git is told to overlook (as skip-worktree or assume-unchanged) and that are gone, a sparse checkout apart:
    `listed` is what `git ls-files -z -s -v` says of the casks."""
    if listed.count(b"H 100") == listed.count(b"\0"):
        return []
    passed = "Ss" if is_sparse(root) else ""
    rows = (os.fsdecode(row).partition("\t") for row in listed.split(b"\0") if row)
    marked = [name for about, _, name in rows if (about[0] == "S" or about[0].islower()) and about[2:5] == "100" and about[0] not in passed]
    return sorted(name for name in marked if not os.path.lexists(root / name))


def casks_listed(root: Path) -> tuple[bytes, bool]:
    """What `git ls-files -z -s -v` says of the casks; and whether a file of the book may lie here that git does not know: only then can
    there be one that it ignores. CaskbookError where git cannot tell."""
    if without_git(root):
        raise CaskbookError("git ls-files: not a git repository")
    listed = Git(root).run("ls-files", "-z", "-s", "-v", "--", "casks", "house.yaml")
    at = listed.find(b"\thouse.yaml\0")
    if at < 0:
        return listed, True
    casks = listed[: listed.rfind(b"\0", 0, at) + 1] + listed[listed.index(b"\0", at) + 1 :]
    return casks, _any_other(root, casks)


def _any_other(root: Path, listed: bytes) -> bool:
    """Whether a file of the book lies in a folder of casks that is not in git's list, which has one folder behind the other; True where nobody can tell."""
    try:
        with os.scandir(root / "casks") as there:
            folders = {one.name for one in there if one.is_dir(follow_symlinks=False)}
        for folder, names in groupby(_paths(listed), key=lambda path: path.partition("/")[2].partition("/")[0]):
            if folder in folders:
                folders.remove(folder)
                if _holds_other(root, folder, set(names)):
                    return True
        return any(_holds_other(root, folder, set()) for folder in folders)
    except OSError:
        return True


def _holds_other(root: Path, folder: str, known: set[str]) -> bool:
    names = (f"casks/{folder}/{name}" for name in os.listdir(root / "casks" / folder))  # noqa: PTH208
    return any(name not in known and is_cask_path(name) for name in names)


def _paths(listed: bytes) -> Iterator[str]:
    """The paths in git's list, read one by one: of a large book all rows at once take several times as much memory."""
    at = 0
    while (end := listed.find(b"\0", at)) >= 0:
        yield os.fsdecode(listed[listed.index(b"\t", at) + 1 : end])
        at = end + 1


def ask_overlooked(root: Path) -> list[str]:
    """The same, git being asked; none where there is no git."""
    try:
        return overlooked_and_gone(root, Git(root).run("ls-files", "-z", "-s", "-v", "--", "casks"))
    except CaskbookError:
        return []


def gone_line(root: Path, name: str, cask_id: str) -> str:
    """That git has a file of the ledger which is not on disk, and how to bring it back; empty where git has none."""
    try:
        out = os.fsdecode(Git(root).run("ls-files", "-z", "-v", "--", f":(literal){name}"))
        given = typed_word(os.path.relpath(root / name).replace(os.sep, "/"))
    except (CaskbookError, ValueError):
        return ""
    if not out:
        return ""
    if out[0] in "Ss" and is_sparse(root):
        return f"{cask_id} is left out of this work tree, a sparse checkout: ask with --at HEAD, or run `git sparse-checkout disable`"
    marked = out[0] == "S" or out[0].islower()
    first = f"git update-index --no-skip-worktree {given}; git update-index --no-assume-unchanged {given}; " if marked else ""
    return f"{cask_id} is gone from this work tree, and git has it: {first}git restore {given}"


def is_gone(root: Path, name: str) -> bool:
    """Whether git has a file of the ledger that is not on disk: a new one in its place would stand where a landed one was."""
    if is_sparse(root):
        return left_out(root, name)
    prefix = (root / name).name
    return names_in_index(root, [prefix]) is not False and not without_git(root) and bool(gone_line(root, name, prefix))


class LeftOut(dict[str, str]):
    """Cask files of a ledger that git has and the work tree leaves out: name → git's name of the content."""

    def __init__(self, root: Path) -> None:
        super().__init__(all_left_out(root, "casks") if is_sparse(root) else {})
        self.root = root

    def read(self, name: str) -> bytes | None:
        """What git has of it; None where it is none of these."""
        oid = self.get(name)
        return None if oid is None else Git(self.root).blobs([oid])[oid]


def tracked_here(root: Path) -> list[str]:
    """Files that git has in its index below such of these folders as lie on disk: all that could be believed by mistake.

    Quicker than `tracked_in`, which a whole check asks: what is in HEAD alone is on no disk, and is told there.
    """
    try:
        with os.scandir(root) as found:
            names = [one.name for one in found if one.name.casefold() in OWN_FOLDERS]
        if not names or names_in_index(root, names) is False or without_git(root):
            return []
        out = Git(root).run("ls-files", "-z", "--", *(f":(literal){name}" for name in names))
    except (OSError, CaskbookError):
        return []
    return [part.decode("utf-8", "replace") for part in out.split(b"\0") if part]


def begin_tracked(root: Path) -> Callable[[], list[str]]:
    """Begin to ask git about both folders while the caller does something else; gives what waits for the outcome."""
    found: list[list[str]] = []
    thread = threading.Thread(target=lambda: found.append(tracked_here(root)), daemon=True)
    thread.start()

    def wait() -> list[str]:
        thread.join()
        return found[0] if found else []

    return wait


def links_in(root: Path) -> list[Path]:
    """Links, and what is neither a file nor a folder, in the place of what this program keeps for itself."""
    odd = [root / name for name in OWN_FOLDERS if _is_odd(root / name)]
    kept = root / OWN_FOLDERS[0]
    if kept not in odd:
        with contextlib.suppress(OSError), os.scandir(kept) as found:
            odd += sorted(kept / one.name for one in found if one.is_symlink() or not one.is_file(follow_symlinks=False))
    return odd


def amiss_at(root: Path, revision: str) -> tuple[list[str], list[str]]:
    """(links that a revision has in the place of casks or of their folders, as `casks/DIR/ID.yaml` or `casks/DIR`, which are not followed; files of
    casks that strayed there), sorted."""
    git = open_git(root)
    listed = git.run("ls-tree", "-r", "-z", "--full-tree", git.resolve(revision), "--", f"{git.prefix}casks")
    names = (os.fsdecode(name)[len(git.prefix) :] for name in _LINK_ROW.findall(listed)) if b"120000 " in listed else ()
    strays = (name for name in odd_names(listed, git.prefix) if is_astray(name))
    return sorted(name for name in names if may_be_casks(name)), sorted(strays)


def schemas_of(root: Path) -> Path:
    """Where the schemas of a ledger lie: beside a folder called records, otherwise inside the ledger."""
    return root.parent / "schemas" if root.name == "records" else root / "schemas"


def links_beside(root: Path) -> list[Path]:
    """Links in the place of files that commands write beside the casks: none of these is written through one."""
    schemas = schemas_of(root)
    inside = [] if schemas.is_symlink() else [schemas / name for name in SCHEMA_FILES]
    return [path for path in (*(root / name for name in WRITTEN_FILES), schemas, *inside) if path.is_symlink()]


def _is_odd(path: Path) -> bool:
    try:
        mode = path.lstat().st_mode
    except OSError:
        return False
    return not stat.S_ISDIR(mode)
