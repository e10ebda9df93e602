"""The files of a register put on disk, all or none, and kept in mind for `undo` as the work of one run."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from caskbook.core import outcome
from caskbook.entry.write import announce, remember
from caskbook.exchange.plan import RegisterPlan
from caskbook.exchange.row_file import RowFile
from caskbook.ledger.atomic_write import present_bytes
from caskbook.ledger.many_files import Advance
from caskbook.ledger.pending_writes import write_many


def write_register(root: Path, plan: RegisterPlan, advance: Advance | None = None) -> None:
    """Write every file of the plan, or none. CaskbookError where one of these numbers came into the book meanwhile; then nothing is written."""
    runs = [run_of(file) for file in plan.files]
    announce(root, runs)
    try:
        write_many(root, plan.changes, advance)
        with outcome.whole():
            remember(root, runs)
    except KeyboardInterrupt:
        if all(present_bytes(root, root / file.path) == file.data for file in plan.files):
            remember(root, runs)
        raise


def run_of(file: RowFile) -> dict[str, Any]:
    """What `undo` needs to know of a new file, as `entry/undo.py` makes it of any page, but out of the lines that were just laid down: reading
    a hundred thousand files again with their places would take minutes."""
    head, *blocks = file.data.decode("utf-8").split("\n  - id: ")
    texts = ["  - id: " + block.rstrip("\n") for block in blocks]
    rest = head.removesuffix("events:") + "events: []\n"
    lines = dict(zip(file.ids, map(_mark, texts), strict=True))
    return {
        "path": file.path,
        "cask": file.cask,
        "new": True,
        "ids": list(file.ids),
        "known": [],
        "beside": {},
        "lines": lines,
        "rest": _mark(rest),
        "steps": [],
    }


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
