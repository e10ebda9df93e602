"""A ledger opened, as its work tree has it or as it stood in a revision."""

from __future__ import annotations

from pathlib import Path

from caskbook.ledger.files import Ledger, open_folder


def open_ledger(root: Path, here: Path, revision: str | None) -> Ledger:
    """The ledger in `root`, its paths shown as seen from `here`; of a revision where one is named. CaskbookError where git knows none of that name."""
    if not revision:
        return open_folder(root, here)
    from caskbook.ledger.revisions import file_store_at

    return Ledger(file_store_at(root, revision))
