"""What a repository can carry in beside the casks, told by the check of a whole ledger."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterator
from pathlib import Path

from caskbook.checks.above import above_in_tree, above_on_disk, bare_finding
from caskbook.checks.docs.beside import CODES
from caskbook.checks.tree_names import files_in, unheld_names
from caskbook.core.finding import CaskbookError, Finding
from caskbook.core.typed_word import typed_word
from caskbook.git import Git
from caskbook.git.planted import bare_repository
from caskbook.ledger.atomic_write import CACHE
from caskbook.ledger.files import HOUSE_FILE, FileStore, Folder
from caskbook.ledger.journal import FOLDER, foreign
from caskbook.ledger.links_above import leads_outside, links_above
from caskbook.ledger.no_casks import no_casks
from caskbook.ledger.other_book import is_other_book
from caskbook.ledger.paths import is_cask_path, plain_name
from caskbook.ledger.revisions import RevisionStore
from caskbook.ledger.stray import stray_finding
from caskbook.ledger.tracked import (
    OWN_FOLDERS,
    RUN_NOTES,
    casks_listed,
    is_sparse,
    links_beside,
    links_in,
    overlooked_and_gone,
    tracked_in,
)
from caskbook.words.plural import number_of

_NOT_PLAIN = re.compile(rb"(?<=\0)(?!H 100)[^\0]+")
_OURS = re.compile(rf"\.gitignore|lock|index\.lock|index-[0-9a-f-]+\.sqlite(-wal|-shm|-journal)?|{'|'.join(map(re.escape, RUN_NOTES))}|\..*\.tmp")


def beside(file_store: FileStore) -> Iterator[Finding]:
    """Findings about what lies beside the casks of a ledger, or among them and is none."""
    if isinstance(file_store, RevisionStore):
        known = [*file_store.odd, *_tracked(file_store.shown, file_store.prefix, file_store.tracked())]
        yield from known
        yield from unheld_names(files_in(file_store.git, file_store.commit), file_store.shown.removesuffix(file_store.prefix))
        yield from (
            one
            for one in above_in_tree(file_store.git, file_store.commit, file_store.prefix, file_store.shown)
            if (one.code, one.path) not in {(two.code, two.path) for two in known}
        )
    elif isinstance(file_store, Folder):
        yield from file_store.odd
        yield from above_on_disk(file_store.root, file_store.shown)
        if why := no_casks(file_store.root, f"{file_store.shown}casks"):
            yield _finding("casks-missing", why.found, f"{file_store.shown}casks", help=f"run `{why.advice}`" if why.advice.startswith("git ") else why.advice)
        yield from _in_folder(file_store)


def _finding(code: str, message: str, path: str, help: str) -> Finding:
    return Finding(code, CODES[code], message, path, help=help)


def _in_folder(file_store: Folder) -> Iterator[Finding]:
    """The findings about a ledger on disk: what git tracks of our own folders, links in their place, a foreign journal, a planted repository."""
    root, shown = file_store.root, file_store.shown
    tracked = tracked_in(root, *OWN_FOLDERS)
    yield from _tracked(shown, shown, tracked)
    links = links_in(root)
    yield from (_in_our_place(path, shown + path.relative_to(root).as_posix()) for path in links)
    yield from (
        stray_finding("", path.as_posix(), "link")
        for path in (*links_above(root), *(Path(os.path.normpath(shown + os.path.relpath(one, root))) for one in links_beside(root)))
    )
    yield from _spelled_otherwise(root, shown)
    if root / CACHE not in links:
        yield from _strange(root, shown)
    if root / FOLDER not in links and not any(name.lower().startswith(FOLDER) for name in tracked) and foreign(root):
        yield _finding(
            "foreign-journal", "a write of several files that this machine did not begin", f"{shown}{FOLDER}", help=f"take {FOLDER} away, after a look at it"
        )
    if (planted := bare_repository(root)) is not None:
        path = os.path.relpath(planted, root).replace(os.sep, "/")
        yield bare_finding(shown + ("HEAD" if path == "." else f"{path}/HEAD"))
    elif leads_outside(root) is None:
        yield from _by_git(root, shown)


def _spelled_otherwise(root: Path, shown: str) -> Iterator[Finding]:
    """The first cask file in each folder beside casks/ that is called so but for its capitals; on a disk where these do not count it is casks/ itself."""
    folders: list[Path] = []
    with contextlib.suppress(OSError):
        folders = sorted(one for one in root.iterdir() if one.name.casefold() == "casks" and one.name != "casks" and one.is_dir() and not one.is_symlink())
    for folder in folders:
        inside = sorted(f"{one.parent.name}/{one.name}" for one in folder.glob("*/*.yaml") if is_cask_path(f"casks/{one.parent.name}/{one.name}"))
        if inside and not ((root / "casks").exists() and folder.samefile(root / "casks")):
            message = f"{number_of(len(inside), 'file')} in a folder that nobody reads: expected casks/"
            yield _finding("stray-file", message, f"{shown}{plain_name(folder.name)}/{plain_name(inside[0])}", help="git mv what is in it into casks/")


def _in_our_place(path: Path, shown: str) -> Finding:
    """A link, or what is no ordinary file or folder, in the place of what this program keeps for itself."""
    if path.is_symlink():
        return stray_finding("", shown, "link")
    wanted = "folder" if path.name in OWN_FOLDERS else "file"
    return _finding("no-file-of-ours", f"expected an ordinary {wanted}, or nothing: none of ours", plain_name(shown), help="take it away, after a look at it")


def _tracked(shown: str, given: str, names: list[str]) -> Iterator[Finding]:
    for folder, code in ((FOLDER, "pending-in-git"), (CACHE, "index-in-git")):
        found = [name for name in names if name.lower() == folder or name.lower().startswith(f"{folder}/")]
        if found:
            message = f"git tracks {number_of(len(found), 'file')} here: expected none; nothing in it is believed"
            yield _finding(
                code,
                message,
                f"{shown}{plain_name(found[0])}",
                help=f"run `git rm -r --cached {typed_word(given + found[0].partition('/')[0])}`, and commit that",
            )


def _strange(root: Path, shown: str) -> Iterator[Finding]:
    """What a sync program left among the index; nobody reads it."""
    try:
        names = sorted(one.name for one in (root / CACHE).iterdir() if _OURS.fullmatch(one.name) is None)
    except OSError:
        return
    for name in names:
        yield _finding("stray-file", "no file of ours: expected nothing but the index", f"{shown}{CACHE}/{plain_name(name)}", help="delete it; nothing is lost")


def _by_git(root: Path, shown: str) -> Iterator[Finding]:
    """What git's list of the casks says that a look at the folder does not."""
    try:
        listed, unknown = casks_listed(root)
        if listed:
            Git(root).head()
    except CaskbookError as error:
        if any(os.path.lexists(at / ".git") for at in (root.absolute(), *root.absolute().parents)):
            reason = str(error).removeprefix("git ls-files: ").partition(" (or any")[0]
            message = f"git cannot tell what it tracks here: {reason}"
            yield _finding(
                "git-unreadable", message if len(message) <= 80 else f"{message[:79]}…", f"{shown}casks", help="run `git status` here, and do what it says"
            )
        return
    yield from _ignored(root, shown) if unknown else ()
    absent: list[str] = []
    sparse = is_sparse(root)
    for row in _NOT_PLAIN.findall(b"\0" + listed):
        about, _, path = os.fsdecode(row).partition("\t")
        tag, mode = about.split(" ")[:2]
        there = os.path.lexists(root / path)
        if mode == "160000" and not (root / path / ".git").exists():
            yield stray_finding(shown, path, "submodule")
        elif tag in "Ss" and sparse and not there:
            absent.append(path)
    if absent:
        left_out = f"{number_of(len(absent), 'file')} left out of this work tree, from {plain_name(absent[0])[6:40]} on"
        yield _finding("sparse-checkout", left_out, f"{shown}casks", help="run `git sparse-checkout disable` to check and list all casks")
    for name in overlooked_and_gone(root, listed):
        path = f"{shown}{plain_name(name)}"
        at = typed_word(path)
        way = f"run `git update-index --no-skip-worktree {at}; git update-index --no-assume-unchanged {at}; git restore {at}`"
        yield _finding("overlooked-and-gone", "gone, and git is told to overlook that", path, help=way)


def _ignored(root: Path, shown: str) -> Iterator[Finding]:
    """Files of the book that git is told to ignore and does not know."""
    with contextlib.suppress(CaskbookError):
        out = Git(root).run("ls-files", "-z", "--others", "--ignored", "--exclude-standard", "--", "casks", HOUSE_FILE)
        for name in sorted(os.fsdecode(row) for row in out.split(b"\0") if row):
            if (is_cask_path(name) and not is_other_book(root, name.rpartition("/")[0])) or name == HOUSE_FILE:
                path = f"{shown}{plain_name(name)}"
                yield _finding(
                    "cask-ignored",
                    "git ignores this file: it would never be committed",
                    path,
                    help=f"take the rule out that `git check-ignore -v {typed_word(path)}` names",
                )
