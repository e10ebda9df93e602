"""What is asked about: a ledger's files, its house settings, and a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path


@dataclass(frozen=True)
class Asked:
    """What an answer is about: house settings, day, and the files of a work tree (`root`) or of a revision (`tree` its name)."""

    root: Path
    here: Path
    house: int
    day: date
    revision: str = ""
    tree: str = ""


def open_asked(root: Path, here: Path, revision: str):  # type: ignore[no-untyped-def]
    """The ledger, in a process of its own."""
    from caskbook.ledger.files import Ledger, open_folder

    if not revision:
        return open_folder(root, here)
    from caskbook.ledger.revisions import file_store_at

    return Ledger(file_store_at(root, revision))
