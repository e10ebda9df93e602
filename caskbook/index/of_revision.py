"""The answer about a revision of the book: found where it is known, else made."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskbook.index.snapshot import Snapshot
from caskbook.index.store import Store
from caskbook.index.stored_answer import answer_on

if TYPE_CHECKING:
    from caskbook.index.refresh import Progress


def number_of_revision(store: Store, snapshot: Snapshot, progress: Progress | None) -> int:
    """The number of the answer about a revision, whose files are read where the index does not know them."""
    number = answer_on(store, snapshot.state, snapshot)
    if number is None:
        from caskbook.index.refresh import Refresh  # where the answer is known already, it is not loaded
        from caskbook.ledger.revisions import file_store_at

        oids = {name: entry.oid for name, entry in file_store_at(snapshot.root, snapshot.revision).entries.items()}
        with store.lock(snapshot.root):
            number = Refresh(store, snapshot, progress).revision_answer(oids)
    return number
