"""The folder of the offline book: put down whole beside the one there is, and then in its place."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterable
from pathlib import Path

from caskbook.core import outcome
from caskbook.core.finding import CaskbookError

MADE = "made.json"
"""Names what was put into the folder: only a folder that holds nothing else is ever taken away for a new one."""
_MOST_NAMED = 3


def check_folder(folder: Path) -> None:
    """CaskbookError where the folder cannot be written anew without losing what was not made here."""
    if folder.is_symlink():
        raise CaskbookError(f"{folder} is a link: name the folder itself")
    if not folder.parent.is_dir():
        raise CaskbookError(f"there is no folder {folder.parent}")
    if not folder.exists():
        return
    if not folder.is_dir():
        raise CaskbookError(f"{folder} is a file: name a folder")
    made = _made(folder)
    if made is None:
        if any(folder.iterdir()):
            raise CaskbookError(f"{folder} holds other things than an offline book: name an empty folder, or a new one")
        return
    others = [name for name in _files_of(folder) if name not in made]
    if others:
        named = ", ".join(others[:_MOST_NAMED]) + (" …" if len(others) > _MOST_NAMED else "")
        raise CaskbookError(f"{folder} holds what was not made here ({named}): move it away first, or name another folder")


def put_folder(folder: Path, files: Iterable[tuple[str, bytes]]) -> int:
    """Put all files down in a folder beside, then take the place of the one there is; how many. `files`: path within the folder → bytes.

    Whatever ends this before, the old folder stays as it was, and what was begun is taken away.
    """
    new, old = _beside(folder, "new"), _beside(folder, "old")
    try:
        new.mkdir()
        names = []
        for name, data in files:
            path = new / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            names.append(name)
        (new / MADE).write_text(json.dumps([MADE, *sorted(names)], indent=0) + "\n", encoding="utf-8")
        with outcome.whole():
            check_folder(folder)
            if folder.exists():
                folder.rename(old)
            new.rename(folder)
            outcome.note([str(folder)])
    except OSError as error:
        raise CaskbookError(f"{folder}: {error.strerror or error}; nothing written") from None
    finally:
        shutil.rmtree(new, ignore_errors=True)
        if folder.exists():
            shutil.rmtree(old, ignore_errors=True)
    return len(names)


def _beside(folder: Path, what: str) -> Path:
    """A folder of this run beside the one named, on the same disk."""
    return folder.parent / f".{folder.name}.{what}-{os.getpid()}"


def _made(folder: Path) -> set[str] | None:
    """The names of what was made here, None where the folder is none of ours."""
    try:
        names = json.loads((folder / MADE).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return {str(name) for name in names} if isinstance(names, list) and MADE in names else None


def _files_of(folder: Path) -> list[str]:
    """Paths within the folder of all that is no folder, sorted."""
    return sorted(Path(at, name).relative_to(folder).as_posix() for at, _, names in os.walk(folder) for name in names)
