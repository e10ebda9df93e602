"""Folders that may be listed and not entered, or not even listed: what lies in them would be taken for what is not there."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.core.finding import CaskbookError


def refuse_closed(folder: Path) -> None:
    """CaskbookError where this user may not look into a folder; one that is not there is none."""
    if not os.access(folder, os.R_OK | os.X_OK) and os.path.lexists(folder):
        raise CaskbookError(f"cannot read {folder.name}/: Permission denied")


def is_there(path: Path) -> bool:
    """Whether something lies in this place, be it a link to nowhere. CaskbookError where that cannot be told."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise CaskbookError(f"cannot read {path.parent.name}/: {error.strerror}") from None
    return True
