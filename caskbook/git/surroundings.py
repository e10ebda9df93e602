"""Where git is called from: inside a push that is not taken yet, and in a bare repository, which has no files of its own."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable
from pathlib import Path

from caskbook.core.typed_word import typed_word

_KEPT = ("GIT_EXEC_PATH", "GIT_SSL_CAINFO")
_QUIET = {
    "LC_ALL": "C",
    "GIT_PAGER": "cat",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_NO_REPLACE_OBJECTS": "1",
    "GIT_GRAFT_FILE": os.devnull,
}
# What a partial clone lacks, git would ask of a program that the repository's own settings may name.
_NOTHING_FETCHED = {"GIT_ALLOW_PROTOCOL": "none"}
_PLAIN_INDEX = (b"DIRC\0\0\0\2", b"DIRC\0\0\0\3")
_LARGE_INDEX = 1 << 18
_NOT_BARE = re.compile(rb"^[ \t]*bare[ \t]*=[ \t]*false[ \t]*$", re.MULTILINE)
_QUARANTINE = "GIT_QUARANTINE_PATH"
_OBJECTS = (_QUARANTINE, "GIT_OBJECT_DIRECTORY", "GIT_ALTERNATE_OBJECT_DIRECTORIES")


def in_push() -> bool:
    """Whether git runs this before it takes a push: what was pushed then lies apart, in quarantine."""
    return bool(os.environ.get(_QUARANTINE))


def push_environment() -> dict[str, str]:
    """What git must be told to see the objects of a push that is not taken yet; nothing outside of one.

    GIT_DIR is not among it: it would stand before whatever folder git is then called in. A bare repository is named instead.
    """
    return {key: os.environ[key] for key in _OBJECTS if os.environ.get(key)} if in_push() else {}


def clean_environment(*, fetching: bool = False) -> dict[str, str]:
    """The environment git is started in: nothing of a GIT_* variable comes through except what says where git lies.

    Inside a hook git names its own index (GIT_INDEX_FILE), which is the one that will be committed: that stays; and so does what
    git needs to see a push that is not taken yet. Nothing is fetched by the way, unless `fetching` is for whoever runs this to say.
    """
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_") or key in _KEPT}
    env.update(_QUIET if fetching else _QUIET | _NOTHING_FETCHED)
    if fetching and (allowed := os.environ.get("GIT_ALLOW_PROTOCOL")) is not None:
        env["GIT_ALLOW_PROTOCOL"] = allowed
    env.update(push_environment())
    index = os.environ.get("GIT_INDEX_FILE")
    if index:
        env["GIT_INDEX_FILE"] = str(Path(index).absolute())
    return env


def bare_above(folder: Path) -> Path | None:
    """The bare repository that a folder, there or not, lies in; None where it lies in none.

    One that lies below a work tree, or beside files of a book, was put there by somebody and is not believed, unless git itself
    started us in it.
    """
    path = Path(os.path.normpath(folder.absolute()))
    if (path / "house.yaml").exists():
        return None  # These are files of a book on disk: their history is a work tree's.
    places = [place for place in (path, *path.parents) if _stands_alone(place)]
    if not places:
        return None
    if in_push() and Path(os.environ.get("GIT_DIR") or "/").resolve() == places[0].resolve():
        return places[0]
    return None if any((place / ".git").exists() for place in (path, *path.parents)) else places[0]


def is_bare(place: Path) -> bool:
    """Whether git would take a folder for a bare repository."""
    return os.path.lexists(place / "HEAD") and (place / "objects").is_dir() and (place / "refs").is_dir()


def _stands_alone(place: Path) -> bool:
    if place.name == ".git" or not is_bare(place):
        return False
    return not any(place.glob("*.yaml"))  # Git keeps no such files: these are somebody's, with a repository put beside them.


def pipe_above(folder: Path) -> Path | None:
    """A pipe in the place of a `.gitattributes` or `.gitignore` that git would read for this folder or its casks: it would wait
    on it for ever. None where there is none."""
    whole = Path(os.path.normpath(folder.absolute()))
    for at in (whole / "casks", whole, *whole.parents):
        for name in (".gitattributes", ".gitignore"):
            try:
                if stat.S_ISFIFO((at / name).lstat().st_mode):
                    return at / name
            except OSError:
                continue
        if os.path.lexists(at / ".git"):
            return None
    return None


def own_place(folder: Path) -> Path | None:
    """The folder, this one or the nearest above, in which a `.git` of any kind lies; None where there is none."""
    whole = Path(os.path.normpath(folder.absolute()))
    return next((at for at in (whole, *whole.parents) if os.path.lexists(at / ".git")), None)


def without_git(folder: Path) -> bool:
    """Whether a folder certainly lies in no repository, by a look at the disk: no `.git` above it, as it is named or as it is, and none
    that the environment names."""
    return not os.environ.get("GIT_DIR") and not in_push() and own_place(folder) is None and own_place(folder.resolve()) is None


def plain_index(folder: Path) -> Path | None:
    """The index file of the work tree that a folder lies in, found without a process; None where only git can tell: outside of one, in
    a further work tree, with settings that may lead elsewhere."""
    whole = folder.resolve()
    place = own_place(whole)
    if place is None or ".git" in whole.parts or os.environ.get("GIT_INDEX_FILE") or in_push():
        return None
    own = place / ".git"
    try:
        settings = (own / "config").read_bytes().lower() if (own / "config").is_file() else b""
    except OSError:
        return None
    if own.is_symlink() or not is_bare(own) or b"worktree" in settings or settings.count(b"bare") != len(_NOT_BARE.findall(settings)):
        return None
    return own / "index"


def names_in_index(folder: Path, names: Iterable[str]) -> bool | None:
    """Whether one of these names may stand in the index of the repository that a folder lies in, by a look at its bytes: without a
    process. None where only git can tell: a large index, one in parts, of a further work tree, or with shortened paths."""
    index = plain_index(folder)
    try:
        about = index.lstat() if index is not None else None
        data = index.read_bytes() if index and about and stat.S_ISREG(about.st_mode) and about.st_size <= _LARGE_INDEX else b""
    except OSError:
        return None
    if data[:8] not in _PLAIN_INDEX or b"link" in data or b"sdir" in data:
        return None
    return any(os.fsencode(name) in data for name in names)


def no_repository(folder: Path, reason: str) -> str:
    """Why there is no history in a folder, in one line, from what git said."""
    place = own_place(folder)
    if "dubious ownership" in reason and place is not None:
        return f"git: {place} belongs to another user; if you trust it: git config --global --add safe.directory {typed_word(place)}"
    if "not a git repository" not in reason:
        return f"git: {reason}"
    if place is not None:
        return f"{place / '.git'}: leads to no repository, so there is no history; put the repository back, or take it away"
    named = ", and GIT_DIR is not followed" if os.environ.get("GIT_DIR") else ""
    return f"{folder}: in no git repository{named}, so there is no history; make one with `git init`"


def elsewhere(folder: Path, told: str) -> str:
    """That the work tree is set to be another folder than the one with the `.git`: files would be compared under other paths than
    their own. Empty where it is not. `told`: git's answers to `--is-bare-repository --is-inside-work-tree --show-prefix`, a line each, the
    last of which may hold newlines.
    """
    bare, inside, prefix = [*told.split("\n", 2), "", ""][:3]
    prefix = prefix.removesuffix("\n")
    whole = folder.resolve()
    place = own_place(whole)
    if bare == "true" or place is None or (place / ".git") in (whole, *whole.parents):
        return ""
    if inside == "true" and place / prefix == whole:
        return ""
    return f"{place / '.git'}: core.worktree names another folder as its work tree; take that setting out, or work there"
