"""Programs that a repository's own settings name to be run over the files of its work tree: a folder that came as a whole, `.git` and all,
would have them run by whoever only looks. What the user or the machine sets for all repositories stays."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path

_MOST_BYTES = 1_000_000
_SECTION = re.compile(rb'^[ \t]*\[[ \t]*filter[ \t]+"((?:[^"\\\n]|\\.)*)"', re.IGNORECASE | re.MULTILINE)
_INCLUDES = re.compile(rb"^[ \t]*\[[ \t]*include", re.IGNORECASE | re.MULTILINE)
_READING = frozenset(("diff-files", "diff-index", "ls-files", "hash-object", "status", "diff", "grep"))
"""Commands that compare with the work tree and write nothing."""
_WRITING = frozenset(("add", "commit", "update-index", "config", "hook"))


def without_filters(args: Sequence[str], folder: Path) -> dict[str, str]:
    """What git's environment needs so that a reading command, behind options of git's own, runs none of these programs; nothing where none is named."""
    if next((word for word in args if word in _READING or word in _WRITING), None) not in _READING:
        return {}
    settings = [(f"filter.{name}.{key}", value) for name in _named(str(folder)) for key, value in _OFF]
    found = {"GIT_CONFIG_COUNT": str(len(settings))} if settings else {}
    for n, (key, value) in enumerate(settings):
        found |= {f"GIT_CONFIG_KEY_{n}": key, f"GIT_CONFIG_VALUE_{n}": value}
    return found


_OFF = (("clean", ""), ("smudge", ""), ("process", ""), ("required", "false"))


@cache
def _named(folder: str) -> tuple[str, ...]:
    """The filters that the settings of the repository of a folder name, those in files that they include too."""
    files = [path for path in (_git_folder(Path(folder)),) if path is not None]
    todo = [at / name for path in files for at in (path, _common(path)) for name in ("config", "config.worktree")]
    seen: set[Path] = set()
    names: dict[str, None] = {}
    while todo and len(seen) < 50:
        path = todo.pop()
        data = _bytes_of(path) if path not in seen else b""
        seen.add(path)
        names |= dict.fromkeys(re.sub(rb"\\(.)", rb"\1", name).decode("utf-8", "surrogateescape") for name in _SECTION.findall(data))
        if _INCLUDES.search(data):
            todo += [path.parent / Path(os.fsdecode(one.strip(b' "\t\r'))).expanduser() for one in re.findall(rb"(?im)^[ \t]*path[ \t]*=(.*)$", data)]
    return tuple(names)


def _git_folder(folder: Path) -> Path | None:
    """The folder of git that this one belongs to: `.git` here or above, what a file of that name points to, or a bare repository's own."""
    whole = Path(os.path.normpath(folder.absolute()))
    for at in (whole, *whole.parents):
        inner = at / ".git"
        if inner.is_dir():
            return inner
        if inner.is_file():
            return at / os.fsdecode(_bytes_of(inner).removeprefix(b"gitdir:").strip())
        if (at / "HEAD").is_file() and (at / "objects").is_dir():
            return at
    return None


def _common(folder: Path) -> Path:
    """Where a work tree of its own keeps what it shares with the others."""
    return folder / os.fsdecode(_bytes_of(folder / "commondir").strip() or b".")


def _bytes_of(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(_MOST_BYTES)
    except OSError:
        return b""
