"""What is due on one cask, as the index has it for just this content of its file: quicker than judging, which has to load every rule."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

from caskbook.core.finding import CaskbookError
from caskbook.index.files_now import content_key
from caskbook.index.snapshot import HOUSE
from caskbook.index.store import NoIndex, Store, has_store, open_store
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.journal import unfinished

_LIFE = (
    "SELECT l.id, l.begun FROM version v JOIN house h ON h.key = ? JOIN life l ON l.version = v.id AND l.house = h.id"
    " WHERE v.name = ? AND v.key = ? AND v.joins IS NULL AND l.needs IS NULL AND l.from_day <= ? AND l.until_day > ? LIMIT 1"
)
_DUE = "SELECT rule, verdict, since FROM due WHERE life = ? AND verdict IN ('due', 'blocked') ORDER BY rule"


def due_known(root: Path, name: str, data: bytes, day: date) -> list[tuple[str, str, str | None]] | None:
    """(rule, due or blocked, since when) of the rules that look at one cask alone, of a file with this content on the day, in the order
    of the rules; None where the index does not know."""
    if unfinished(root) or not has_store(root):
        return None
    try:
        with closing(open_store(root)) as store:
            return _due(store, content_key(read_bytes(root / HOUSE)), name, content_key(data), day.toordinal())
    except (NoIndex, CaskbookError, sqlite3.Error, OSError, ValueError):
        return None


def _due(store: Store, house: str, name: str, key: str, day: int) -> list[tuple[str, str, str | None]] | None:
    row = store.execute(_LIFE, (house, name, key, day, day)).fetchone()
    if row is None or not row[1]:
        return None if row is None else []
    rules = [rule for rule, _ in json.loads(store.meta("rules"))]
    return [(rules[number], verdict, since) for number, verdict, since in store.execute(_DUE, (row[0],)) if rules[number] != "loss"]
