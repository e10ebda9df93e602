"""The house's settings alone, read without the ledger around them: for whoever asks the index for all the rest."""

from __future__ import annotations

from pathlib import Path

from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.folder import HOUSE_FILE
from caskbook.ledger.pending_writes import overlay
from caskbook.model.house import House
from caskbook.model.house_file import read_house


def house_of(root: Path, revision: str | None = None) -> House:
    """The settings of the ledger in `root`, of its work tree or of a revision; what cannot be read stands at its default. CaskbookError
    where there is no such file."""
    if revision:
        from caskbook.ledger.files import Ledger
        from caskbook.ledger.revisions import file_store_at

        return Ledger(file_store_at(root, revision)).house
    pending = overlay(root).get(HOUSE_FILE)
    return read_house(HOUSE_FILE, read_bytes(root / HOUSE_FILE) if pending is None else pending).house
