"""Giving ids to hand-written events, file by file."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from pathlib import Path

from caskbook.cli.common import say, write
from caskbook.core.days import time_now
from caskbook.core.finding import CaskbookError
from caskbook.entry.correct import stamp_file
from caskbook.entry.diff import unified
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.files import MAX_FILE
from caskbook.ledger.pending_writes import write_many
from caskbook.render.console import safe
from caskbook.words.plural import number_of
from caskbook.yaml.insertion import Splice
from caskbook.yaml.source import Source


def stamp_all(names: Sequence[str], *, dry: bool) -> int:
    """Stamp these files; all are read and worked out before the first is written, and those of one ledger are all written or none."""
    changes: dict[Path, dict[Path, tuple[bytes, Splice]]] = {}
    planned = [(Path(name), *_planned(Path(name))) for name in names]
    for path, data, splice in planned:
        if splice is None:
            say(f"{path}: every event has its id")
            continue
        for note in splice.notes:
            say(safe(f"{path}: {note}"))
        if dry:
            write(safe_lines(unified(str(path), data, splice.data)))
            continue
        changes.setdefault(_root_of(path.resolve()), {})[path] = (data, splice)
    for root, found in changes.items():
        real = root.resolve()
        write_many(real, {path.resolve().relative_to(real).as_posix(): (data, splice.data) for path, (data, splice) in found.items()})
        for path, (_, splice) in found.items():
            write(f"{path}: {number_of(len(splice.positions), 'id')} given")
    return 0


def safe_lines(text: str) -> str:
    """A text whose lines are harmless on a terminal."""
    return "\n".join(safe(line) for line in text.split("\n"))


def _planned(path: Path) -> tuple[bytes, Splice | None]:
    data = read_bytes(path, MAX_FILE)
    return data, stamp_file(time_now(), secrets.randbits, Source.from_bytes(str(path), data))


def _root_of(path: Path) -> Path:
    """The ledger a cask file lies in: three folders up."""
    from caskbook.ledger.files import HOUSE_FILE

    for folder in path.parents[:4]:
        if (folder / HOUSE_FILE).is_file():
            return folder
    raise CaskbookError(f"{path}: in no ledger: no {HOUSE_FILE} above it")
