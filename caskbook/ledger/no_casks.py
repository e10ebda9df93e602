"""Why a ledger shows no cask where git knows some: its folder is gone, empty, or something else stands in its place."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.git import Git
from caskbook.ledger.paths import is_cask_path, plain_name
from caskbook.words.plural import number_of


@dataclass(frozen=True, slots=True)
class NoCasks:
    """`found`: what is there instead of casks; `advice`: what to do, a command to paste or words."""

    found: str
    advice: str

    def __str__(self) -> str:
        return f"{self.found}: {self.advice}"


def no_casks(root: Path, given: str = "") -> NoCasks | None:
    """Why no cask is found though there should be some; None where casks are there, or none was ever entered. `given`: how to
    name the casks' folder, if not as seen from here.

    To be asked where no cask was found: git is asked only where the folder holds none indeed.
    """
    what = _standing(root / "casks")
    if not what:
        return None
    given = given or seen(root / "casks")
    known, way = _known(root, given)
    found = "no casks here" if what == "empty" else f"{what} at {given}"
    if known:
        return NoCasks(f"{found}; git knows {number_of(known, 'cask')} there", way)
    if what not in ("empty", "no casks folder"):
        return NoCasks(f"{found}; expected a folder", "put the folder itself in its place")
    other = _other_ledger(root)
    return NoCasks(f"no casks here; another ledger lies at {other}", "name it with --records") if other else None


def _standing(casks: Path) -> str:
    """What stands in the place of the casks' folder, in words; "" where it holds a cask, "empty" where it holds none."""
    try:
        mode = casks.lstat().st_mode
    except OSError:
        return "no casks folder"
    if not stat.S_ISDIR(mode):
        return "a link" if stat.S_ISLNK(mode) else "no folder"
    try:
        return "" if _holds_one(casks) else "empty"
    except OSError:
        return ""  # Whoever reads it says so.


def _holds_one(casks: Path) -> bool:
    """Whether a folder in it holds a file that may be a cask's."""
    with os.scandir(casks) as folders:
        for folder in folders:
            if folder.is_dir(follow_symlinks=False):
                with os.scandir(folder.path) as files:
                    if any(is_cask_path(f"casks/{folder.name}/{file.name}") for file in files):
                        return True
    return False


def _known(root: Path, given: str) -> tuple[int, str]:
    """(how many cask files git has there, the line that brings them back); those that a sparse checkout leaves out are not gone."""
    for more, way in (((), f"git restore {typed_word(given)}"), (("--with-tree=HEAD",), f"git restore -SW -s HEAD {typed_word(given)}")):
        try:
            out = Git(root).run("ls-files", "-z", "-t", *more, "--", "casks")
        except CaskbookError:
            continue  # Nothing has been committed yet, or there is no repository.
        rows = [os.fsdecode(row).partition(" ") for row in out.split(b"\0") if row]
        known = {name for tag, _, name in rows if tag != "S" and is_cask_path(name)}
        if known or rows:
            return len(known), way
    return 0, ""


def _other_ledger(root: Path) -> str:
    """The folder of a ledger below this one, by git's list; empty where it has none."""
    try:
        out = Git(root).run("ls-files", "-z", "--", ":(glob)**/house.yaml")
    except CaskbookError:
        return ""
    found = [os.fsdecode(row).rpartition("/")[0] for row in out.split(b"\0")]
    return next((plain_name(seen(root / name)) for name in found if name), "")


def seen(path: Path) -> str:
    """A path as seen from here."""
    try:
        return os.path.relpath(path).replace(os.sep, "/")
    except ValueError:  # The two lie on different drives.
        return str(path)
