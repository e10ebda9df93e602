"""What an answer is about: a ledger's files in one state, its house settings, and a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskbook.ledger.files import Ledger


@dataclass(frozen=True)
class Snapshot:
    """A ledger on a day. `house` is the number of its settings in the index. The files are those of the work tree below `root`, or
    of the commit `revision`; `state` names those of a revision in the index, and those of the work tree have a state there."""

    root: Path
    here: Path
    house: int
    day: date
    revision: str = ""
    state: str = ""

    def open_ledger(self) -> Ledger:
        """The ledger, opened in whichever process asks. CaskbookError where there is none."""
        return opened_ledger(self.root, self.here, self.revision)


def opened_ledger(root: Path, here: Path, revision: str) -> Ledger:
    """The ledger of a work tree, or of a revision where one is named. CaskbookError where there is none."""
    from caskbook.ledger.files import Ledger, open_folder

    if not revision:
        return open_folder(root, here)
    from caskbook.ledger.revisions import file_store_at

    return Ledger(file_store_at(root, revision))
