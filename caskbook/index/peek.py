"""What one cask needs of all the others: which numbers are joined, and what their fills lose. Found out while the caller is busy
with the cask itself, since git works on another core.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from caskbook.core.finding import CaskbookError
from caskbook.index.changed_folders import folder_stamps_of, touched_files
from caskbook.index.claims import claims_in
from caskbook.index.file_contents import compare_files, keep_folder_stamps, kept_strays, last_folder_stamps
from caskbook.index.files_now import FilesNow, files_now, start_files_now
from caskbook.index.house_settings import days_in_house, house_settings
from caskbook.index.snapshot import Snapshot, opened_ledger
from caskbook.index.store import Changed, NoIndex, Store, has_store, open_store
from caskbook.index.stored_answer import answer_of_entries, answer_on, as_joins, joins_of_work_tree
from caskbook.ledger.astray import strays_among, there
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.journal import unfinished
from caskbook.model.joins import BOND_WORDS
from caskbook.yaml.escapes import may_hold

if TYPE_CHECKING:
    from caskbook.loss import PeerTable
    from caskbook.model.joins import Claims

_FEW = 200
_Joins = dict[str, str]
_Told = TypeVar("_Told")


@dataclass
class Neighbours:
    """`joins`: number that was joined → number that goes on. `answer`: the answer whose fills may serve as peers, 0 for none; `strays`: files of
    casks that strayed within casks/."""

    joins: _Joins
    answer: int
    _store: Store
    strays: Sequence[str] = ()

    def peers(self) -> PeerTable | None:
        """What all fills of the book lose, read as far as it is asked for; None where no answer tells."""
        if not self.answer:
            return None
        from caskbook.index.peers import KeptPeers

        return KeptPeers(self._store, self.answer, self.joins, keep=False)

    def close(self) -> None:
        """Let go of the index."""
        self._store.close()


def start_peek(root: Path, here: Path, now: datetime, as_of: str | None) -> Callable[[], Neighbours | None]:
    """Begin to look at the work tree; gives what waits for the outcome, None where the index cannot tell without much work.

    Where no folder of casks changed since all files were known, none is looked at.
    """
    store = _store_of(root)
    if store is None:
        return lambda: None
    try:
        before = last_folder_stamps(store)
    except sqlite3.Error:  # damaged: whoever asks about all casks makes another
        store.close()
        return lambda: None
    files = None if before is not None and not folder_stamps_of(root).changed(before) else start_files_now(root)

    def wait() -> Neighbours | None:
        """What the index knows of all casks, once it has been looked at; None where it cannot tell."""
        try:
            house = house_settings(store, root, here)
            today, day = days_in_house(house.timezone, now, as_of)
            found = _neighbours(store, Snapshot(root, here, house.number, day, today=today), today, files() if files is not None else None)
        except (NoIndex, Changed, sqlite3.Error):
            found = None
        except BaseException:  # a day that is none: whoever asked says so
            store.close()
            raise
        if found is None:
            store.close()
        return found

    return wait


def _neighbours(store: Store, snapshot: Snapshot, today: date, files: FilesNow | None) -> Neighbours | None:
    """`files`: as they are now; None where nothing changed since the index knew them all."""
    if files is not None and store.meta("digest") == files.digest:
        with store.transaction():
            keep_folder_stamps(store, files.folder_stamps)
    elif files is not None:
        from caskbook.index.refresh import Refresh  # Most of the time the index knows all files, and an entry changes none of it.

        with store.lock(snapshot.root) as waited:
            files = files_now(snapshot.root) if waited else files
            contents = compare_files(store, snapshot.root, files)
            if len(contents.unknown) > _FEW:
                return None
            Refresh(store, snapshot).settle(files, contents)
    store.execute("BEGIN")
    return Neighbours(as_joins(joins_of_work_tree(store).values()), _answer_near(store, snapshot, today), store, kept_strays(store, files))


def _answer_near(store: Store, snapshot: Snapshot, today: date) -> int:
    """The answer about these files on the day; for today another day's will do that knows the same entries, for what fills lose changes
    by entries alone."""
    state = f"work {store.meta('state')}"
    found = answer_on(store, state, snapshot)
    if found is None and snapshot.day == today:
        starts = snapshot.open_ledger().house.starts
        since = max((start.toordinal() for start in starts if start <= today), default=0)
        if not any(start > today for start in starts):  # an answer of a later day may be one of other settings
            found = answer_of_entries(store, state, snapshot.house, snapshot.day.toordinal(), since)
    return found or 0


def claims_known(root: Path, here: Path) -> Claims | None:
    """Cask → numbers that its file claims, of all files known to the index and of those put in place since; None where
    there is no index, or too many are new. Nothing is added to the index, and git not asked, so that an entry takes as long in
    a large book as in a small one."""
    return from_index(root, lambda store: _claims(store, root, here))


def claims_now(root: Path, here: Path) -> Claims | None:
    """The same with every file looked at, also one that was written over in place: what a check may rest on."""

    def found(store: Store) -> Claims | None:
        contents = compare_files(store, root, files_now(root))
        known, unknown = contents.known.whole(), [name for name in contents.unknown if name not in contents.unreadable]
        if len(unknown) > _FEW:
            return None
        return {**claims_in(store, known), **opened_ledger(root, here, "").claims_of(unknown)}

    return from_index(root, found)


def strays_known(root: Path) -> list[str] | None:
    """Files of casks that strayed, as the index knows them, and in folders of casks in which something was put since; None where there is no index."""

    def found(store: Store) -> list[str] | None:
        before = last_folder_stamps(store)
        if before is None:
            return None
        folders = folder_stamps_of(root).changed(before)
        old = there(root, (name for name in kept_strays(store, None) if name.count("/") > 1 and name.split("/")[1] not in folders))
        return sorted([*old, *strays_among(root, folders)])

    return from_index(root, found)


def from_index(root: Path, look: Callable[[Store], _Told | None]) -> _Told | None:
    """What the index tells; None where there is none, or it is damaged."""
    store = _store_of(root)
    if store is None:
        return None
    with closing(store):
        try:
            return look(store)
        except (CaskbookError, sqlite3.Error):
            return None


def _claims(store: Store, root: Path, here: Path) -> Claims | None:
    """Which numbers are claimed, by the index and by a look at what came since; None where the index cannot tell."""
    before, now = last_folder_stamps(store), folder_stamps_of(root)
    if before is None:
        return None
    rows = joins_of_work_tree(store)
    folders = now.changed(before)
    files = dict(touched_files(root, folders, before.since))
    if sum(files.values()) > _FEW:
        return None
    for name in [name for name in rows if name.split("/")[1] in folders and files.get(name, True)]:
        del rows[name]
    fresh = [name for name, new in files.items() if new and may_hold(read_bytes(root / name), *BOND_WORDS)]
    claims = {numbers[0]: numbers[1:] for numbers in map(json.loads, rows.values()) if numbers}
    return {**claims, **opened_ledger(root, here, "").claims_of(fresh)} if fresh else claims


def _store_of(root: Path) -> Store | None:
    """The index that there is; none is made."""
    if unfinished(root) or not has_store(root):
        return None
    try:
        return open_store(root)
    except NoIndex:
        return None
