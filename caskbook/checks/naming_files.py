"""The files of a book in which a word may stand, found by their bytes: where only some casks are checked, others may tell of the same."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from caskbook.core.finding import CaskbookError
from caskbook.ledger.files import Ledger
from caskbook.ledger.revisions import RevisionStore
from caskbook.yaml.escapes import may_hold


def files_naming(ledger: Ledger, words: Collection[str], known: Sequence[str] | None) -> list[str]:
    """Names of the files in which one of these words may stand; where signs are written as escapes, it may. `known`: those among which
    they are, as the index has it; None where it cannot tell."""
    store = ledger.file_store
    if isinstance(store, RevisionStore):
        return store.holding(*words)
    wanted = sorted(word.encode() for word in words)
    return [name for name in (ledger.names() if known is None else known) if _holds(ledger, name, wanted)]


def _holds(ledger: Ledger, name: str, words: list[bytes]) -> bool:
    try:
        data = ledger.file_store.read(name)
    except CaskbookError:  # The whole check tells it.
        return False
    return data is not None and may_hold(data, *words)
