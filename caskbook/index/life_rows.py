"""What the processes found, written into the tables of the index."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from caskbook.index.beside_rows import Beside
from caskbook.index.file_contents import version_of
from caskbook.index.store import Changed, Store
from caskbook.index.worker import FACTS, LifeRows

_HEAD = ("id", "version", "house", "from_day", "until_day", "needs")
_OWN = (
    "begun",
    "here",
    "words",
    "filling_from",
    "filling_since_char",
    "wood_days",
    "wood_days_since_char",
    "unreadable",
    "last_entry",
    "stays",
    "minutes",
    "beside",
)
_VALUES = (*_OWN, *FACTS)
_COLUMNS = (*_HEAD, *_VALUES)
_NAMED = ", ".join(['"' + name + '"' for name in _COLUMNS])
_INSERT = f"INSERT INTO life ({_NAMED}) VALUES ({', '.join('?' * len(_COLUMNS))})"


def write_lives(store: Store, house: int, batch: list[LifeRows], known: Mapping[str, int]) -> Iterator[tuple[str, int, int]]:
    """Keep a batch in one transaction; (name, version, life) of each. Changed where a file is not what `known` says it is."""
    done: list[tuple[str, int, int]] = []
    with store.transaction():
        life = int(store.execute("SELECT ifnull(max(id), 0) FROM life").fetchone()[0])
        for one in batch:
            version = version_of(store, one.name, one.key or "", json.dumps([one.life["cask"], *one.joins]) if one.joins else None)
            if known.get(one.name, version) != version:
                raise Changed(one.name)
            life += 1
            done.append((one.name, version, life))
        # Table by table: a statement for each row of each file would be most of the time.
        pairs = [(one, life) for one, (_, _, life) in zip(batch, done, strict=True)]
        store.executemany(_INSERT, [_life(one, version, house, life) for one, (_, version, life) in zip(batch, done, strict=True)])
        _put(store, "due", 9, [(life, *row) for one, life in pairs for row in one.due])
        _put(store, "quiet", 2, [(life, one.quiet) for one, life in pairs if one.quiet])
        _put(store, "peer", 8, [(life, *row) for one, life in pairs for row in one.peers])
        _put(store, "summary", 2, [(life, one.summary) for one, life in pairs if one.summary is not None])
        kept = [(version, one.kept) for one, (_, version, _) in zip(batch, done, strict=True) if one.kept is not None]
        store.executemany("INSERT OR REPLACE INTO kept VALUES (?, ?)", kept)
        write_beside(store, [(life, one.beside) for one, life in pairs if one.beside is not None])
    yield from done


def write_beside(store: Store, rows: Sequence[tuple[int, Beside]]) -> None:
    """Keep what reports alone tell of lives, beside each its number."""
    _put(store, "service", 2, [(life, one.service) for life, one in rows if one.service])
    _put(store, "told", 4, [(life, *one.told) for life, one in rows if any(one.told)])
    _put(store, "turns", 2, [(life, one.turns) for life, one in rows if one.turns])
    _put(store, "gauges", 2, [(life, one.gauges) for life, one in rows if one.gauges])
    _put(store, "losses", 4, [(life, *one.losses) for life, one in rows if one.losses is not None])
    _put(store, "fill", 24, [(life, *row) for life, one in rows for row in one.fills])


def _life(one: LifeRows, version: int, house: int, life: int) -> list[Any]:
    needs = json.dumps(one.needs) if one.needs else None
    return [life, version, house, one.from_day, one.until_day, needs, *map(one.life.get, _VALUES)]


def _put(store: Store, table: str, columns: int, rows: list[tuple[Any, ...]]) -> None:
    store.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * columns)})", rows)
