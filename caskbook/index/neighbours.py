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

from caskbook.core.finding import CaskbookError
from caskbook.index.answers import Question
from caskbook.index.changed_folders import folder_stamps_of, touched_files
from caskbook.index.file_contents import keep_folder_stamps, last_folder_stamps, look, meta
from caskbook.index.files_now import Tree, start_tree, work_tree
from caskbook.index.lookup import days_of, house_of
from caskbook.index.question import Asked, open_asked
from caskbook.index.refresh import JOINS, find_answer, settle, work_joins
from caskbook.index.store import Changed, NoIndex, has_store, lock_of, open_store, transaction
from caskbook.index.sums import as_joins, nearest_answer
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.journal import unfinished

if TYPE_CHECKING:
    from caskbook.loss import PeerTable

_FEW = 200
_Joins = dict[str, str]


@dataclass
class Neighbours:
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


def begin_neighbours(question: Question) -> Callable[[], Neighbours | None]:
    """Begin to look at the work tree; gives what waits for the outcome, None where the index cannot tell without much work.

    Where no folder of casks changed since all files were known, none is looked at.
    """
    store = _store(question)
    if store is None:
        return lambda: None
    try:
        before = last_folder_stamps(store)
    except sqlite3.Error:  # damaged: whoever asks about all casks makes another
        store.close()
        return lambda: None
    tree = None if before is not None and not folder_stamps_of(question.root).changed(before) else start_tree(question.root)

    def wait() -> Neighbours | None:
        try:
            found = _neighbours(store, question, tree() if tree is not None else None)
        except (NoIndex, Changed, sqlite3.Error):
            found = None
        except BaseException:  # a day that is none: whoever asked says so
            store.close()
            raise
        if found is None:
            store.close()
        return found

    return wait


def _neighbours(store: sqlite3.Connection, question: Question, tree: Tree | None) -> Neighbours | None:
    """What the index knows of all casks, brought up to date where few files changed; None where many did."""
    house = house_of(store, question)
    today, day = days_of(question, house.timezone)
    asked = Asked(question.root, question.here, house.number, day)
    if tree is not None and _is_seen(store, tree):
        with transaction(store):
            keep_folder_stamps(store, tree.folder_stamps)
    elif tree is not None:
        with lock_of(store, asked.root) as waited:
            tree = work_tree(asked.root) if waited else tree
            places = look(store, asked.root, tree)
            if len(places.unknown) > _FEW:
                return None
            settle(store, asked, tree, places)
    store.execute("BEGIN")
    return Neighbours(work_joins(store), _answer(store, asked, today), store)


def _answer(store: sqlite3.Connection, asked: Asked, today: date) -> int:
    """The answer about these files on the day; for today another day's will do: what fills lose changes by entries alone."""
    state = f"work {meta(store, 'state')}"
    found = find_answer(store, state, asked)
    if found is None and asked.day == today:
        found = nearest_answer(store, state, asked.house, asked.day.toordinal())
    return found or 0


def joins_known(question: Question) -> _Joins | None:
    """Number that was joined → number that goes on, of all files known to the index and of those put in place since; None where
    there is no index, or too many are new. Nothing is added to the index, and git not asked, so that an entry takes as long in
    a large book as in a small one."""
    store = _store(question)
    if store is None:
        return None
    with closing(store):
        try:
            return _joins(store, question)
        except (CaskbookError, sqlite3.Error):
            return None


def _joins(store: sqlite3.Connection, question: Question) -> _Joins | None:
    """Which numbers are joined, by the index and by a look at what came since; None where the index cannot tell."""
    before, now = last_folder_stamps(store), folder_stamps_of(question.root)
    if before is None:
        return None
    rows = {name: joins for joins, name in store.execute(JOINS)}
    folders = now.changed(before)
    files = dict(touched_files(question.root, folders, before.since))
    if sum(files.values()) > _FEW:
        return None
    for name in [name for name in rows if name.split("/")[1] in folders and files.get(name, True)]:
        del rows[name]
    for name, new in files.items():
        if new and b"same-as" in read_bytes(question.root / name):
            rows[name] = _read_joins(question, name)
    return as_joins(rows[name] for name in sorted(rows))


def _read_joins(question: Question, name: str) -> str:
    """What one file joins, as the index keeps it."""
    from caskbook.life import live

    ledger = open_asked(question.root, question.here, "")
    cask = ledger.read_file(name).cask
    return json.dumps([] if cask is None else [cask.id, *live(cask, ledger.house, date.max).state.joined])


def _store(question: Question) -> sqlite3.Connection | None:
    if question.at or unfinished(question.root) or not has_store(question.root):
        return None
    try:
        return open_store(question.root)
    except NoIndex:
        return None


def _is_seen(store: sqlite3.Connection, tree: Tree) -> bool:
    return meta(store, "digest") == tree.digest
