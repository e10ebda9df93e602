"""Putting a plan on disk, all of it or nothing, and remembering what the run wrote so that it can be taken back."""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import Any

from caskbook.core import outcome, run_files
from caskbook.core.finding import CaskbookError
from caskbook.entry.plan import Plan
from caskbook.entry.undo import as_run
from caskbook.ledger.atomic_write import cache_folder, ledger_lock, present_bytes, read_bytes, write_synced
from caskbook.ledger.machine import has_shift, is_sealed, seal
from caskbook.ledger.paths import check_written_path
from caskbook.ledger.pending_writes import Changes, write_many
from caskbook.ledger.tracked import LAST_RUN, tracked_here

_MOST_BYTES = 50_000_000


def write_plan(root: Path, plan: Plan) -> None:
    """Write the plan's files. CaskbookError where one was changed since it was read; then nothing is written."""
    runs = [as_run(page) for page in plan.pages if page.added]
    if has_shift(root):
        from caskbook.entry.shift_runs import note_run

        note_run(root, runs)
    announce(root, runs)
    try:
        write_changes(root, plan.changes)
        with outcome.whole():
            remember(root, runs)
    except KeyboardInterrupt:
        if stands(root, plan):
            remember(root, runs)
        raise


def stands(root: Path, plan: Plan) -> bool:
    """Whether the files hold just what the plan puts into them."""
    return all(present_bytes(root, root / name) == new for name, (_, new) in plan.changes.items())


def write_changes(root: Path, changes: Changes) -> None:
    """All files or none."""
    if changes:
        write_many(root, changes)


def announce(root: Path, runs: list[dict[str, Any]]) -> None:
    """Keep what a run is about to write, and beside it the run before: whichever of the two is found in the book is the last one. So a
    run that ends between its write and its own note, or that the next command completes, is not passed by for an older one."""
    _keep(root, {"version": 1, "files": runs, "before": _noted(root)})


def remember(root: Path, runs: list[dict[str, Any]]) -> None:
    """Keep what this run wrote. The folder is disposable: where it cannot be written, there is no `undo`, and that is all."""
    _keep(root, {"version": 1, "files": runs}, lasting=False)


def _keep(root: Path, note: dict[str, Any], *, lasting: bool = True) -> None:
    with contextlib.suppress(CaskbookError, OSError):
        folder = cache_folder(root)
        (folder / LAST_RUN).unlink(missing_ok=True)  # Where no note can be made, nothing is known, and no older run is taken back for this one.
        temporary = folder / f".{LAST_RUN}.tmp"
        temporary.unlink(missing_ok=True)  # A link that a repository carried in is taken away, and not written through.
        data = json.dumps(note).encode("utf-8")
        write_synced(temporary, b"%s\n%s" % (seal(root, data).encode("ascii"), data), lasting=lasting)
        temporary.replace(folder / LAST_RUN)


def last_run(root: Path) -> list[dict[str, Any]]:
    """What the last run wrote, [] where that is not known; nothing of what a repository or a copy of a folder carries in is believed."""
    try:
        return [] if any(name.casefold().endswith(LAST_RUN) for name in tracked_here(root)) else _noted(root)
    except CaskbookError:
        return []


def _noted(root: Path) -> list[dict[str, Any]]:
    """The run that the note tells of: where it has two, the later one if the book holds it, else the one before."""
    try:
        mark, _, data = read_bytes(root / ".caskbook" / LAST_RUN, _MOST_BYTES).partition(b"\n")
        if not is_sealed(root, data, mark.decode("ascii")):
            return []
        note = json.loads(data)
        files = note["files"] if "before" not in note or _is_held(root, note["files"]) else note["before"]
        known = [one for one in files if isinstance(one["path"], str) and isinstance(one["cask"], str) and isinstance(one["ids"], list)]
        for one in known:
            check_written_path(one["path"])
        return known
    except (CaskbookError, ValueError, RecursionError, KeyError, TypeError):
        return []


def _is_held(root: Path, files: list[dict[str, Any]]) -> bool:
    """Whether any entry of a run is in its file."""
    for one in files:
        check_written_path(one["path"])
        data = present_bytes(root, root / one["path"]) or b""
        if any(event_id.encode() in data for event_id in one["ids"]):
            return True
    return False


def remove_new_file(root: Path, name: str, content: bytes) -> None:
    """Take away a file that the last run began, if it still holds just that."""
    path = root / name
    with ledger_lock(root):
        if read_bytes(path, len(content) + 1, root=root) != content:
            raise CaskbookError(f"{name}: changed since; not taken away")
        try:
            path.unlink()
            run_files.note(root, name, content, None)
        except OSError as error:
            raise CaskbookError(f"{name}: not taken away, {(error.strerror or str(error)).lower()}") from None
