"""The files of a book in whose bytes a word stands, found without reading one as a cask: what is asked of one cask need not read all others."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Iterator
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git import Git
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.closed import refuse_closed
from caskbook.ledger.files import MAX_FILE
from caskbook.ledger.other_book import is_other_book
from caskbook.ledger.paths import is_cask_path
from caskbook.yaml.escapes import ESCAPE, may_hold

_FEW = 1500
"""Up to so many files git takes longer to start than to read them."""
_FLAGS = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0)
_MOST = 1 << 18
Holds = Callable[[bytes], bool]


def files_with(root: Path, words: Collection[bytes], *, fold: bool = False) -> list[str]:
    """Names of the cask files on disk that may hold one of these words (`may_hold`), sorted; of a large book git searches them, which takes half of
    our own time. A file that cannot be read holds nothing. `fold`: capitals aside, where the words are small letters of ASCII."""

    def holds(data: bytes) -> bool:
        return may_hold(data.lower() if fold else data, *words)

    folders = _folders(root)
    if not _are_few(root, folders, _FEW) and (found := _by_git(root, words, [folder for folder in folders if _is_plain(root, folder)], fold)) is not None:
        return sorted([*found, *_where(root, [folder for folder in folders if not _is_plain(root, folder)], holds)])
    return sorted(_where(root, folders, holds))


def files_where(root: Path, holds: Holds) -> list[str]:
    """Names of the cask files on disk whose bytes are such, sorted; each is read."""
    return sorted(_where(root, _folders(root), holds))


def _folders(root: Path) -> list[str]:
    """The folders of casks, as `casks/DIR`, sorted; none where casks/ is a link. CaskbookError where one may not be looked into."""
    casks = root / "casks"
    if casks.is_symlink() or not casks.is_dir():
        return []
    refuse_closed(casks)
    with os.scandir(casks) as found:
        names = sorted(one.name for one in found if one.name != ".git" and one.is_dir(follow_symlinks=False))
    for name in names:
        refuse_closed(casks / name)
    return [f"casks/{name}" for name in names]


def has_more(root: Path, count: int) -> bool:
    """Whether there are more files of casks on disk than this; no more are looked at than it takes to tell."""
    return not _are_few(root, _folders(root), count)


def _are_few(root: Path, folders: Iterable[str], count: int) -> bool:
    for folder in folders:
        count -= sum(is_cask_path(f"{folder}/{name}") for name in _listed(root, folder))
        if count < 0:
            return False
    return True


def _is_plain(root: Path, folder: str) -> bool:
    """Whether git, looking at the disk alone, goes into a folder: not where one of its own lies in it."""
    return not os.path.lexists(root / folder / ".git")


def _by_git(root: Path, words: Collection[bytes], folders: Collection[str], fold: bool) -> list[str] | None:
    """The files in these folders that hold one of the words, or write signs as escapes; None where git cannot be asked. It looks at the disk, and not at what its
    index or a setting says of a file."""
    if not folders or any(b"\n" in word or not word for word in words):
        return [] if not folders else None
    how = ("--no-index", "--no-exclude-standard", "--no-recurse-submodules", "-l", "-a", "-z", "-F", "--no-full-name", "--no-color", "-f", "-")
    try:
        out = Git(root).run("grep", *how, *(("-i",) if fold else ()), "--", ":(literal)casks", data=b"\n".join([*sorted(words), ESCAPE, b""]), good=(0, 1))
    except CaskbookError:
        return None
    there = {*folders}
    names = (os.fsdecode(one) for one in out.split(b"\0") if one)
    return [name for name in names if is_cask_path(name) and name.rpartition("/")[0] in there]


def _where(root: Path, folders: Iterable[str], holds: Holds) -> Iterator[str]:
    for folder in folders:
        if _is_plain(root, folder) or not is_other_book(root, folder):
            for name in _listed(root, folder):
                path = f"{folder}/{name}"
                if is_cask_path(path) and (data := bytes_of(root, path)) is not None and holds(data):
                    yield path


def _listed(root: Path, folder: str) -> list[str]:
    try:
        with os.scandir(root / folder) as found:
            return [one.name for one in found]
    except OSError:
        return []


def bytes_of(root: Path, name: str) -> bytes | None:
    """The bytes of a file of casks/; None where it is no ordinary file, or cannot be read."""
    try:
        handle = os.open(f"{root}/{name}", _FLAGS)
    except (OSError, ValueError):
        return None
    try:
        data = os.read(handle, _MOST)
    except OSError:
        return None
    finally:
        os.close(handle)
    if len(data) < _MOST and data:
        return data
    try:
        return read_bytes(root / name, MAX_FILE)
    except CaskbookError:
        return None
