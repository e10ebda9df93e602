"""Whether any cask of a book held a liquor that is called by some word, found without reading its files as YAML."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.ledger.files import Ledger

_ODD = rb"[&*!|>]|\"[^\"\n]*\\"
"""How a value begins that may be any word: an anchor, an alias, a tag, a block, or signs written as escapes."""


def may_have_held(ledger: Ledger, word: str) -> bool:
    """Whether `contents` in a file of a cask are this word, or may be, for they are oddly written or the file cannot be read."""
    own = rb"[\"']?" + re.escape(word.encode()) + rb"[\"']?\s*(?:[,}#\r\n]|$)"
    held = re.compile(rb"\bcontents[\"']?\s*:\s*(?:" + own + rb"|" + _ODD + rb")")
    return any(data is None or held.search(data) is not None for data in _texts(ledger))


def _texts(ledger: Ledger) -> Iterator[bytes | None]:
    for name in ledger.names():
        try:
            yield ledger.file_store.read(name)
        except CaskbookError:
            yield None
