"""What was scanned on a round that is not ended yet, line by line in the user's state folder, so that a crash loses nothing that was
typed. It is bound to the ledger's place, and travels in no repository.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.ledger.machine import round_path

_MOST = 5_000_000


@dataclass(frozen=True, slots=True)
class Begun:
    """A round as it was left: along which berths, for which day, and every line typed."""

    berths: tuple[str, ...]
    day: date
    lines: tuple[str, ...]


def begun_round(root: Path) -> Begun | None:
    """The round that was not ended at this ledger; None where there is none, or what is kept is none of this ledger's. A last line cut
    short by a crash is none."""
    try:
        handle = os.open(round_path(root), os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                return None
            head, *lines = file.read(_MOST).decode("ascii").split("\n")[:-1]
        kept = json.loads(head)
        if kept["place"] != _place(root):
            return None
        return Begun(tuple(map(str, kept["berths"])), date.fromisoformat(kept["day"]), tuple(str(json.loads(line)) for line in lines))
    except (ValueError, RecursionError, TypeError, KeyError, OSError, CaskbookError):
        return None


class RoundNotes:
    """The lines of a round as they come, each on the disk before the next is asked for."""

    def __init__(self, root: Path, berths: Sequence[str], day: date) -> None:
        self.root, self._head = root, {"place": _place(root), "berths": list(berths), "day": day.isoformat()}

    def begin(self) -> None:
        """Begin anew; whatever was kept is gone. CaskbookError where nothing can be kept."""
        self._put(json.dumps(self._head), os.O_TRUNC)

    def add(self, line: str) -> None:
        """One line more. CaskbookError where it cannot be kept."""
        self._put(json.dumps(line), os.O_APPEND)

    def drop(self) -> None:
        """The round is ended."""
        drop_round(self.root)

    def _put(self, text: str, how: int) -> None:
        path = round_path(self.root)
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | how | getattr(os, "O_NOFOLLOW", 0), 0o600)
            with os.fdopen(handle, "w", encoding="ascii") as file:
                file.write(text + "\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            raise CaskbookError(f"{path}: {(error.strerror or str(error)).lower()}") from None


def drop_round(root: Path) -> None:
    """There is no round to go on with any more."""
    from contextlib import suppress

    with suppress(OSError, CaskbookError):
        round_path(root).unlink()


def _place(root: Path) -> list[int]:
    about = root.stat()
    return [about.st_dev, about.st_ino]
