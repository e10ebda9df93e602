"""Many files put in place together: waiting once for the whole disk, where waiting for each file would take most of an hour."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TypeVar

from caskbook.core.finding import CaskbookError
from caskbook.ledger import atomic_write
from caskbook.ledger.journal import Entry, hash_of, stored

Advance = Callable[[int, int], None]
"""Told now and then of how many acts how many are done."""
T = TypeVar("T")

MANY = 50
"""From so many files on, waiting once for the whole disk is quicker than waiting for each of them."""


def at_once(count: int) -> bool:
    """Whether so many files are made to last together: only where the system's call returns when all is on the disk, as Linux has it."""
    return count >= MANY and sys.platform.startswith("linux")


def all_last() -> None:
    """Makes everything that was written last."""
    os.sync()
    atomic_write.step("everything made to last")


def part_of(advance: Advance | None, parts: int, part: int) -> Advance | None:
    """What one of several equal parts of the work tells of itself as told of the whole."""
    return None if advance is None else lambda total, done: advance(parts * total, part * total + done)


def counted(things: Iterable[T], total: int, advance: Advance | None) -> Iterator[T]:
    """The things one by one; each hundredth is told."""
    for done, one in enumerate(things):
        if advance is not None and not done % 100:
            advance(total, done)
        yield one


def holds(wanted: str | None, now: bytes | None) -> bool:
    """Whether a file holds what a hash of the journal says."""
    return hash_of(now) == wanted


def move_all(root: Path, folder: Path, todo: list[tuple[Path, Entry]], advance: Advance | None) -> None:
    """Many files: a new one is moved out of the folder where it waits, made to last there before the journal was; the bytes of the others
    are made to last beside their places. Then all are moved, and the moves made to last: a machine that falls in between finds each file
    as before or as after."""
    try:
        for path, entry in counted(todo, len(todo), part_of(advance, 2, 0)):
            data = stored(folder, entry)
            if entry.old is None:
                atomic_write.make_folders(root, path.parent)
            else:
                atomic_write.lay_beside(root, path, data, lasting=False)
        all_last()
        for path, entry in counted(todo, len(todo), part_of(advance, 2, 1)):
            waiting = folder / entry.store if entry.old is None else None
            atomic_write.move_into_place(root, path, partial(holds, entry.old), waiting=waiting)
        all_last()
    except OSError as error:
        raise CaskbookError(f"{error.filename or root}: not written, {(error.strerror or str(error)).lower()}") from None
