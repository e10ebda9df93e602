"""What the processes found, written into the tables of the index."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping

from caskbook.index.places import version_of
from caskbook.index.store import Changed, transaction
from caskbook.index.worker import FACTS, Found

_HEAD = ("version", "house", "from_day", "until_day", "needs")
_OWN = ("begun", "here", "words", "filling_from", "filling_since_char", "wood_days", "wood_days_since_char", "unreadable")
_COLUMNS = (*_HEAD, *_OWN, *FACTS)
_NAMED = ", ".join(['"' + name + '"' for name in _COLUMNS])
_INSERT = f"INSERT INTO life ({_NAMED}) VALUES ({', '.join('?' * len(_COLUMNS))})"


def write_life(store: sqlite3.Connection, house: int, batch: list[Found], known: Mapping[str, int]) -> Iterator[tuple[str, int, int]]:
    """Keep a batch in one transaction; (name, version, life) of each. Changed where a file is not what `known` says it is."""
    done = []
    with transaction(store):
        for one in batch:
            version = version_of(store, one.name, one.key or "", json.dumps([one.life["cask"], *one.joins]) if one.joins else None)
            if known.get(one.name, version) != version:
                raise Changed(one.name)
            done.append((one.name, version, _write(store, house, version, one)))
    yield from done


def _write(store: sqlite3.Connection, house: int, version: int, one: Found) -> int:
    needs = json.dumps(one.needs) if one.needs else None
    row = one.life
    values = [version, house, one.from_day, one.until_day, needs, *(row.get(name) for name in (*_OWN, *FACTS))]
    life = store.execute(_INSERT, values).lastrowid
    assert life is not None
    store.executemany("INSERT INTO due VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", [(life, *due) for due in one.due])
    if one.quiet:
        store.execute("INSERT INTO quiet VALUES (?, ?)", (life, one.quiet))
    store.executemany("INSERT INTO peer VALUES (?, ?, ?, ?, ?, ?, ?)", [(life, *peer) for peer in one.peers])
    if one.gist is not None:
        store.execute("INSERT INTO gist VALUES (?, ?)", (life, one.gist))
    store.executemany("INSERT INTO fill VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", [(life, *fill) for fill in one.fills])
    return life
