"""Which ledger a command works on, told where another one could be meant."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.ledger.folder import other_house


def which_line(root: Path, start: Path, records: str | None) -> str:
    """The line that names the ledger used and the one that is not; empty where only one can be meant, or one was named."""
    if records or os.environ.get("CASKBOOK_RECORDS"):
        return ""
    other = other_house(root, start)
    if other is None:
        return ""
    return f"the ledger here is {_seen(root)}; {_seen(other)} is not used: name the ledger that is meant with --records"


def _seen(path: Path) -> str:
    return os.path.relpath(path).replace(os.sep, "/")
