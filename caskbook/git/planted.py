"""A bare repository among the files of another one: git would take it for the repository they belong to, with its settings."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.git.surroundings import is_bare


class PlantedRepositoryError(CaskbookError):
    """A bare repository lies among the files, so nothing can be told of the book's history."""


def bare_repository(folder: Path) -> Path | None:
    """The folder, at this one or above it, that git would take for a bare repository before it finds the work tree's own.

    None where GIT_DIR names it, as git itself does in a hook, or where nothing above is a work tree and no ledger lies in it: then
    it is a repository of its own, not one that another carries in.
    """
    found: Path | None = None
    whole = Path(os.path.normpath(folder.absolute()))
    for at in (whole, *whole.parents):
        if os.path.lexists(at / ".git"):
            return found
        if found is None and is_bare(at):
            if _is_named(at):
                return None
            found = at
    return found if found is not None and (found / "house.yaml").exists() else None


def named_repository(folder: Path) -> list[str]:
    """The option by which git is told of the bare repository that holds this folder, where GIT_DIR names it; else none."""
    whole = Path(os.path.normpath(folder.absolute()))
    return next((["--git-dir", str(at)] for at in (whole, *whole.parents) if _is_named(at)), []) if os.environ.get("GIT_DIR") else []


def _is_named(at: Path) -> bool:
    named = os.environ.get("GIT_DIR")
    try:
        return bool(named) and Path(str(named)).samefile(at)
    except OSError:
        return False
