"""What one cask needs of all the others: which numbers are joined, and what their fills lose. Found out while the caller is busy
with the cask itself, since git works on another core.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from caskbook.finding import CaskbookError
from caskbook.index.answer import Question
from caskbook.index.asked import Asked, open_asked
from caskbook.index.asking import days_of, house_of
from caskbook.index.places import Places, look, meta
from caskbook.index.refresh import find_answer, settle, work_joins
from caskbook.index.store import Changed, NoIndex, has_store, lock_of, open_store
from caskbook.index.sums import as_joins, nearest_answer
from caskbook.index.trees import Tree, start_tree, work_tree
from caskbook.pending import unfinished
from caskbook.safewrite import read_bytes

if TYPE_CHECKING:
    from caskbook.loss import PeerTable

_FEW = 200
_Joins = dict[str, str]


@dataclass
class Glance:
    """`joins`: number that was joined → number that goes on. `answer`: the answer whose fills may serve as peers, 0 for none."""

    joins: _Joins
    answer: int
    _store: sqlite3.Connection

    def peers(self) -> PeerTable | None:
        """What all fills of the book lose, read as far as it is asked for; None where no answer tells."""
        if not self.answer:
            return None
        from caskbook.index.peers import KeptPeers

        return KeptPeers(self._store, self.answer, self.joins, keep=False)

    def close(self) -> None:
        """Let go of the index."""
        self._store.close()


def begin_glance(question: Question) -> Callable[[], Glance | None]:
    """Begin to look at the work tree; gives what waits for the outcome, None where the index cannot tell without much work."""
    if _no_index(question):
        return lambda: None
    tree = start_tree(question.root)

    def wait() -> Glance | None:
        try:
            store = open_store(question.root)
        except NoIndex:
            return None
        try:
            found = _glance(store, question, tree())
        except (NoIndex, Changed, sqlite3.Error):
            found = None
        if found is None:
            store.close()
        return found

    return wait


def _glance(store: sqlite3.Connection, question: Question, tree: Tree) -> Glance | None:
    house = house_of(store, question)
    today, day = days_of(question, house.timezone)
    asked = Asked(question.root, question.here, house.number, day)
    if not _is_seen(store, tree):
        with lock_of(store, asked.root) as waited:
            tree = work_tree(asked.root) if waited else tree
            places = look(store, asked.root, tree)
            if len(places.unknown) > _FEW:
                return None
            settle(store, asked, tree, places)
    store.execute("BEGIN")
    return Glance(work_joins(store), _answer(store, asked, today), store)


def _answer(store: sqlite3.Connection, asked: Asked, today: date) -> int:
    """The answer about these files on the day; for today another day's will do: what fills lose changes by entries alone."""
    state = f"work {meta(store, 'state')}"
    found = find_answer(store, state, asked)
    if found is None and asked.day == today:
        found = nearest_answer(store, state, asked.house, asked.day.toordinal())
    return found or 0


def begin_joins(question: Question) -> Callable[[], _Joins | None]:
    """As `begin_glance`, of joined numbers alone: nothing is added to the index, so that it takes the same after every entry."""
    if _no_index(question):
        return lambda: None
    tree = start_tree(question.root)

    def wait() -> _Joins | None:
        try:
            with closing(open_store(question.root)) as store:
                found = tree()
                return work_joins(store) if _is_seen(store, found) else _joins(store, question, look(store, question.root, found))
        except (NoIndex, sqlite3.Error, CaskbookError):
            return None

    return wait


def _joins(store: sqlite3.Connection, question: Question, places: Places) -> _Joins | None:
    """By the files that changed as well; one that the index does not know is read as a cask only if it speaks of `same-as`."""
    if len(places.unknown) > _FEW:
        return None
    rows = dict(store.execute("SELECT v.name, v.joins FROM version v JOIN place p ON p.name = v.name AND p.version = v.id WHERE v.joins IS NOT NULL").fetchall())
    for name in (*places.changed, *places.unknown):
        rows.pop(name, None)
        version = places.known.get(name)
        row = store.execute("SELECT joins FROM version WHERE id = ? AND joins IS NOT NULL", (version,)).fetchone()
        if row is not None:
            rows[name] = row[0]
    for name in places.unknown:
        if b"same-as" in read_bytes(question.root / name):
            rows[name] = _read_joins(question, name)
    return as_joins(rows[name] for name in sorted(rows))


def _read_joins(question: Question, name: str) -> str:
    """What one file joins, as the index keeps it."""
    from caskbook.life import live

    ledger = open_asked(question.root, question.here, "")
    cask = ledger.read_file(name).cask
    return json.dumps([] if cask is None else [cask.id, *live(cask, ledger.house, date.max).state.joined])


def _no_index(question: Question) -> bool:
    return bool(question.at) or unfinished(question.root) or not has_store(question.root)


def _is_seen(store: sqlite3.Connection, tree: Tree) -> bool:
    return meta(store, "digest") == tree.digest
