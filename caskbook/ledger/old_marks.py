"""Casks by an old mark: what stood on the head before, as the file's head or a `mark` tells it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from caskbook.ledger.files import Ledger
from caskbook.yaml.escapes import ESCAPE


def bearers(ledger: Ledger, text: str, day: date, names: Sequence[str] | None = None) -> list[str]:
    """Numbers of the casks that bear or bore this mark on the day, capitals and blanks at its ends aside: of the files `names`, else of all. One
    that was joined is told by the number that goes on."""
    wanted = text.strip().casefold()
    found = []
    for name in (ledger.names() if names is None else names) if wanted else ():
        record = ledger.read_file(name)
        if record.own is None or not may_bear(record.data, wanted):
            continue
        life = ledger.life_of(record.own, day)
        marks = [*(life.cask.head.was or []), *life.state.old_marks]
        if any(mark.strip().casefold() == wanted for mark in marks):
            found.append(record.own.id)
    joins = ledger.joins() if found else {}
    return sorted({joins.get(cask, cask) for cask in found})


def may_bear(data: bytes, wanted: str) -> bool:
    """Whether the mark may stand in this text, without reading it; beyond ASCII, and where signs are written as escapes, it always may."""
    if not data.isascii() or ESCAPE in data:
        return True
    lower = data.lower().replace(b"''", b"'")  # So a quote is written in single quotes.
    return wanted.isascii() and all(word in lower for word in wanted.replace("''", "'").encode().split())
