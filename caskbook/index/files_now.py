"""Which files a ledger has now, and a stamp for each that changes whenever its content does: from git where it can tell,
else from the file system. A stamp that could hide a change is empty, and the file is read.
"""

from __future__ import annotations

import hashlib
import os
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git import Git, plain_index
from caskbook.git.repository import TRUSTING
from caskbook.index.changed_folders import FolderStamps, folder_stamps_of
from caskbook.index.git_list import GitList as GitList
from caskbook.index.git_list import stat_stamps as stat_stamps
from caskbook.ledger.astray import is_astray, odd_names, strays_of, there
from caskbook.ledger.other_book import is_other_book
from caskbook.ledger.paths import is_utf8
from caskbook.ledger.tracked import overlooked_and_gone

_FEW = 50


@dataclass
class FilesNow:
    """The cask files as they are. `digest` is equal only if nothing changed, as far as can be told from outside; `stamps` name → stamp,
    worked out when first asked for. Stamps `g…` are git's name of the content, `s…` those of the file system. `tells`: whether
    the digest can be relied on, so that it may be kept. `folder_stamps`: the folders as they were just before; `untold`: files of casks that strayed, as
    far as git's list has them not."""

    digest: str
    tells: Callable[[], bool]
    _rows: Callable[[], dict[str, str]]
    git: GitList | None = None
    folder_stamps: FolderStamps | None = None
    untold: Sequence[str] = ()
    _known: dict[str, str] | None = field(default=None)

    @property
    def stamps(self) -> dict[str, str]:
        """Sorted by name."""
        if self._known is None:
            self._known = dict(sorted(self._rows().items()))
        return self._known

    def unlike(self, before: Iterable[str]) -> tuple[dict[str, str], set[str]] | None:
        """(name → stamp of the files that may not be as before, names that may be no more), by comparing git's list with the one
        in `before`, a line a file; None where git does not tell, and all stamps are to be compared."""
        return None if self.git is None else self.git.unlike(before)

    def few(self, listed: str, odd: set[str]) -> tuple[dict[str, str], set[str]] | None:
        """The same where git's list is as it was (`listed`: its digest then), so that only files in `odd`, which were otherwise than
        the list said, and those that are so now have to be looked at; None where it is not, or they are many."""
        same = self.git is not None and listed and listed == self.git.digest and len(odd) <= _FEW
        return self.git.few(odd) if self.git is not None and same else None

    @property
    def overlooked(self) -> list[str]:
        """Cask files that are gone, and that git is told to overlook, so that it does not say so."""
        return overlooked_and_gone(self.git.root, self.git.listed) if self.git is not None and not self.git.plain else []

    @cached_property
    def strays(self) -> list[str]:
        """Files of casks that strayed within casks/, sorted."""
        return there(self.git.root, (*odd_names(self.git.listed), *self.untold)) if self.git is not None else sorted(self.untold)

    @property
    def listed(self) -> str:
        """Digest of git's list; empty where there is none, where it does not tell of all files, or tells of one that is gone."""
        return self.git.digest if self.git is not None and self.git.plain and self.git.all_there else ""


def files_now(root: Path) -> FilesNow:
    """The files of a ledger on disk."""
    folder_stamps = folder_stamps_of(root)
    try:
        found = _by_git(root)
    except CaskbookError:
        found = None
    files = found or _by_scan(root)
    files.folder_stamps = folder_stamps
    return files


def start_files_now(root: Path) -> Callable[[], FilesNow]:
    """Begin to look at the files of a ledger while the caller does something else; gives what waits for the outcome.

    Git works in processes of its own, so that on a second core it costs no time.
    """
    found: list[FilesNow | BaseException] = []

    def look() -> None:
        try:
            found.append(files_now(root))
        except BaseException as error:  # raised where it is waited for
            found.append(error)

    thread = threading.Thread(target=look, daemon=True)
    thread.start()

    def wait() -> FilesNow:
        thread.join()
        if isinstance(found[0], BaseException):
            raise found[0]
        return found[0]

    return wait


def _together(git: Git, commands: Iterable[tuple[str, ...]]) -> list[bytes]:
    """Several git commands at once: each is short, and most of it is waiting."""
    out: dict[int, bytes | CaskbookError] = {}

    def one(n: int, command: tuple[str, ...]) -> None:
        try:
            out[n] = git.run(*command)
        except CaskbookError as error:
            out[n] = error

    threads = [threading.Thread(target=one, args=pair) for pair in enumerate(commands)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = [out[n] for n in sorted(out)]
    for answer in found:
        if isinstance(answer, CaskbookError):
            raise answer
    return [answer for answer in found if isinstance(answer, bytes)]


def _by_git(root: Path) -> FilesNow | None:
    """None where git's answer would not be the whole truth about the files on disk."""
    git = Git(root)
    where = _where(git)
    if where is None:
        return None
    before = _stamp_of(where)
    dirty, others, listed = _together(
        git,
        (
            (*TRUSTING, "diff-files", "-z", "--name-only", "--relative", "--", "casks"),
            (*TRUSTING, "ls-files", "-z", "--others", "--", "casks"),
            (*TRUSTING, "ls-files", "-z", "-s", "-v", "--", "casks"),
        ),
    )
    if before is None or _stamp_of(where) != before or any(name.endswith(b"/") for name in others.split(b"\0")):
        return None
    untracked = _without_other_books(root, others.split(b"\0"))
    unsure = frozenset(name for one in {*dirty.split(b"\0"), *untracked} if (name := os.fsdecode(one)) and is_utf8(name))
    untold = sorted(name for one in untracked if is_astray(name := os.fsdecode(one)))
    stamps = stat_stamps(root, unsure)
    seen = hashlib.blake2b(listed, digest_size=16)
    of_list = seen.hexdigest()
    for name in (*sorted(unsure), *untold):  # one that has no stamp was taken away
        seen.update(f"{name}\0{stamps.get(name)}\n".encode("utf-8", "surrogateescape"))
    found = GitList(root, listed, unsure, stamps, of_list)
    return FilesNow("git " + seen.hexdigest(), lambda: found.plain and "" not in stamps.values(), found.whole, found, untold=untold)


def _without_other_books(root: Path, others: list[bytes]) -> list[bytes]:
    """Files that git does not track, without those in folders that are another book's."""
    folders = {one.rpartition(b"/")[0] for one in others if one}
    foreign = {folder for folder in folders if is_other_book(root, os.fsdecode(folder))}
    return [one for one in others if one.rpartition(b"/")[0] not in foreign] if foreign else others


def _where(git: Git) -> Path | None:
    """Git's index file, if the folder lies in a work tree; git is asked where a look at the disk leaves it open."""
    if (index := plain_index(git.folder)) is not None:
        return index
    inside, path = git.text("rev-parse", "--is-inside-work-tree", "--git-path", "index").split("\n")
    return git.folder / path if inside == "true" else None


def _by_scan(root: Path) -> FilesNow:
    """The state of a ledger outside git: a digest of the names and stamps of its cask files."""
    names, strays = list[str](), list[str]()
    casks = root / "casks"
    folders = [] if casks.is_symlink() else _listed(casks)
    for folder in folders:
        if folder.is_dir(follow_symlinks=False):
            items = _listed(casks / folder.name)
            files = [item.name for item in items]
            if ".git" not in files or not is_other_book(root, f"casks/{folder.name}"):
                names += [f"casks/{folder.name}/{file}" for file in files if file.endswith(".yaml")]
                strays += strays_of(root, f"casks/{folder.name}", items)
    strays += strays_of(root, "casks", folders)
    stamps = stat_stamps(root, names)
    seen = hashlib.blake2b(digest_size=16)
    for name, stamp in sorted(stamps.items()):
        seen.update(f"{name}\0{stamp}\n".encode("utf-8", "surrogateescape"))
    seen.update("\n".join(sorted(strays)).encode("utf-8", "surrogateescape"))
    return FilesNow("scan " + seen.hexdigest(), lambda: "" not in stamps.values(), lambda: stamps, untold=strays)


def _listed(folder: Path) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as found:
            return list(found)
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        raise CaskbookError(f"cannot read {folder.name}/: {error.strerror}") from None


def _stamp_of(path: Path) -> tuple[int, ...] | None:
    try:
        about = path.stat()
    except OSError:
        return None
    return about.st_mtime_ns, about.st_ctime_ns, about.st_size, about.st_ino


def content_key(data: bytes, like: str = "") -> str:
    """The name git has for this content; `like` is another such name, which tells the kind."""
    kind = hashlib.sha256 if len(like) == 64 else hashlib.sha1
    return kind(b"blob %d\0" % len(data) + data, usedforsecurity=False).hexdigest()
