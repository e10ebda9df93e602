"""Where git is called from: inside a push that is not taken yet, and in a bare repository, which has no files of its own."""

from __future__ import annotations

import os
import stat
from pathlib import Path

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


def bare_above(folder: Path) -> Path | None:
    """The bare repository that a folder, there or not, lies in; None where it lies in none.

    One that lies below a work tree, or beside files of a book, was put there by somebody and is not believed, unless git itself
    started us in it.
    """
    path = Path(os.path.normpath(folder.absolute()))
    if (path / "house.yaml").exists():
        return None  # files of a book on disk: their history is a work tree's
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
    return not any(place.glob("*.yaml"))  # git keeps no such files: these are somebody's, with a repository put beside them


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
