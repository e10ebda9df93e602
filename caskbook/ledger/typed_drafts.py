"""What was typed and is not written yet, kept in this machine's state folder so that a crash loses nothing of it."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from pathlib import Path
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.ledger.machine import state_folder

_MOST = 5_000_000


def _path(root: Path) -> Path:
    return state_folder() / f"typed-{hashlib.sha256(str(root.resolve()).encode('utf-8', 'surrogateescape')).hexdigest()[:32]}"


def keep_draft(root: Path, draft: dict[str, Any]) -> None:
    """Keep what is typed at this ledger, whole or not at all, so that it outlasts a fall of the machine. CaskbookError where it cannot be."""
    path = _path(root)
    temporary = path.with_name(f"{path.name}.{os.urandom(4).hex()}.tmp")
    try:
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(draft, file)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise CaskbookError(f"{path.parent}: what is typed cannot be kept there, {(error.strerror or str(error)).lower()}") from None


def draft_at(root: Path) -> dict[str, Any] | None:
    """What was typed at this ledger and not written; None where there is nothing, or nothing that can be read."""
    try:
        with _path(root).open(encoding="utf-8") as file:
            draft = json.loads(file.read(_MOST))
    except (OSError, ValueError, RecursionError, CaskbookError):
        return None
    return draft if isinstance(draft, dict) else None


def drop_draft(root: Path) -> None:
    """It is written."""
    with contextlib.suppress(OSError, CaskbookError):
        _path(root).unlink()


def put_draft_aside(root: Path) -> Path | None:
    """Another sheet is begun: what was typed stays in a file of its own, which is told; the one put aside before it goes."""
    try:
        path = _path(root)
        aside = path.with_name(f"{path.name}.aside")
        path.replace(aside)
    except (OSError, CaskbookError):
        return None
    return aside
