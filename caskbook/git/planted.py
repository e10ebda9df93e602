"""A bare repository among the files of another one: git would take it for the repository they belong to, with its settings."""

from __future__ import annotations

import os
from pathlib import Path


def bare_repository(folder: Path) -> Path | None:
    """The folder, at this one or above it, that git would take for a bare repository before it finds the work tree's own.

    None where GIT_DIR names it, as git itself does in a hook, or where nothing above is a work tree and no ledger lies in it: then
    it is a repository of its own, not one that another carries in.
    """
    found: Path | None = None
    whole = Path(os.path.abspath(folder))
    for at in (whole, *whole.parents):
        if os.path.lexists(at / ".git"):
            return None if found is not None and _is_named(found) else found
        if found is None and _is_bare(at):
            found = at
    return found if found is not None and (found / "house.yaml").exists() else None


def _is_named(at: Path) -> bool:
    named = os.environ.get("GIT_DIR")
    try:
        return bool(named) and os.path.samefile(str(named), at)
    except OSError:
        return False


def _is_bare(at: Path) -> bool:
    return os.path.lexists(at / "HEAD") and (at / "objects").is_dir() and (at / "refs").is_dir()
