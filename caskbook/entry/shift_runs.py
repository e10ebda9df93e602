"""What each run of a shift wrote, kept beside the last run in the ledger's disposable folder: so that a bench that was ended, or fell
over, can still take its lines back one by one.

A run is noted before it is written: one that never came onto the disk, or was taken back, is known by its entries, which are not there.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.ledger.atomic_write import cache_folder, read_bytes
from caskbook.ledger.machine import is_sealed, seal
from caskbook.ledger.paths import check_written_path
from caskbook.ledger.shift import Shift, shift_of
from caskbook.ledger.tracked import SHIFT_RUNS, tracked_here

_MOST_BYTES = 50_000_000


def note_run(root: Path, files: list[dict[str, Any]]) -> None:
    """Note what a run is about to write, where a shift is in force. Where no note can be made there is none of any run before, so that
    no older one is taken for it."""
    shift = shift_of(root)
    if shift is None:
        return
    path = root / ".caskbook" / SHIFT_RUNS
    try:
        goes_on = _key_of(path) == _key(shift)
        path = cache_folder(root) / SHIFT_RUNS
        if not goes_on:
            path.unlink(missing_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
        with os.fdopen(handle, "ab") as file:
            head = "" if goes_on else json.dumps({"shift": _key(shift)})
            data = json.dumps(files).encode()
            file.write(
                b"%s\n%s %s\n" % (head.encode(), seal(root, _sealed(shift, data)).encode(), data)
            )  # It begins a line even where the one before was cut off.
            file.flush()
            os.fsync(file.fileno())
    except (CaskbookError, OSError):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)


def runs_of_shift(root: Path, shift: Shift) -> list[list[dict[str, Any]]]:
    """What the runs of this shift wrote, the latest last; [] where that is not known. Nothing of what a repository or a copy of a folder carries in is believed."""
    try:
        if any(name.casefold().endswith(SHIFT_RUNS) for name in tracked_here(root)):
            return []
        lines = read_bytes(root / ".caskbook" / SHIFT_RUNS, _MOST_BYTES).split(b"\n")
        if json.loads(lines[0])["shift"] != _key(shift):
            return []
    except (CaskbookError, ValueError, RecursionError, KeyError, TypeError, IndexError):
        return []
    noted = (line.partition(b" ")[::2] for line in lines[1:])
    return [files for mark, data in noted if is_sealed(root, _sealed(shift, data), mark.decode("ascii", "replace")) and (files := _files(data))]


def _files(line: bytes) -> list[dict[str, Any]]:
    """The files of one run; [] of a line that was cut off, or is no such thing."""
    try:
        files = [one for one in json.loads(line) if isinstance(one["path"], str) and isinstance(one["cask"], str) and isinstance(one["ids"], list)]
        for one in files:
            check_written_path(one["path"])
    except (CaskbookError, ValueError, RecursionError, KeyError, TypeError):
        return []
    return files


def _key_of(path: Path) -> str | None:
    """Of which shift the runs are that are noted there."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
        with os.fdopen(handle, "rb") as file:
            found = json.loads(file.readline(1000))["shift"]
        return found if isinstance(found, str) else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _sealed(shift: Shift, data: bytes) -> bytes:
    """What the mark of a run of that shift is put on."""
    return f"{_key(shift)}\0".encode() + data


def _key(shift: Shift) -> str:
    return f"{shift.by} {shift.began.isoformat()}"
