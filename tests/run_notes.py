"""The note of the last run as a test looks at it and alters it, with the mark by which it is believed on this machine."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from caskbook.ledger.machine import seal


def note_at(root: Path) -> Path:
    """Where it lies."""
    return root / ".caskbook" / "last-run.json"


def noted(root: Path) -> Any:
    """What it says."""
    return json.loads(note_at(root).read_bytes().partition(b"\n")[2])


def put_note(root: Path, note: object, mark: str | None = None) -> None:
    """The same place with another note, marked as this machine does, or as is said."""
    data = note if isinstance(note, bytes) else json.dumps(note).encode()
    note_at(root).write_bytes((seal(root, data) if mark is None else mark).encode() + b"\n" + data)


def believed(root: Path) -> None:
    """A note that was copied with its ledger, marked as if this machine had written it here; nothing where there is none."""
    if note_at(root).exists():
        put_note(root, noted(root))
