"""What an answer is about: a ledger's files in one state, its house settings, and a day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskbook.ledger.files import FileStore, Ledger

HOUSE = "house.yaml"


@dataclass(frozen=True)
class Snapshot:
    """A ledger on a day. `house` is the number of its settings in the index. The files are those of the work tree below `root`, or
    of the commit `revision`; `state` names those of a revision in the index, and those of the work tree have a state there. `settings`: the text
    of a house.yaml that nobody wrote, to be tried in place of the book's own; `today`: the real day in the house;
    `beside`: whether what reports alone tell is wanted."""

    root: Path
    here: Path
    house: int
    day: date
    revision: str = ""
    state: str = ""
    settings: bytes | None = None
    today: date | None = None
    beside: bool = False

    def open_ledger(self) -> Ledger:
        """The ledger, opened in whichever process asks. CaskbookError where there is none."""
        ledger = opened_ledger(self.root, self.here, self.revision, self.settings)
        ledger.today = self.today
        return ledger


@dataclass
class Tried:
    """The files of a ledger, its house.yaml being another than it has."""

    file_store: FileStore
    settings: bytes
    shown: str

    def names(self) -> Iterator[str]:
        """As the file store has them."""
        return self.file_store.names()

    def read(self, name: str) -> bytes | None:
        """As the file store does, but for the settings."""
        return self.settings if name == HOUSE else self.file_store.read(name)


def opened_ledger(root: Path, here: Path, revision: str, settings: bytes | None = None) -> Ledger:
    """The ledger of a work tree, or of a revision where one is named; under other `settings` where they are given. CaskbookError where there is none."""
    from caskbook.ledger.files import Ledger, open_folder

    if not revision:
        ledger = open_folder(root, here)
    else:
        from caskbook.ledger.revisions import file_store_at

        ledger = Ledger(file_store_at(root, revision))
    return ledger if settings is None else Ledger(Tried(ledger.file_store, settings, ledger.file_store.shown))
