"""Asking the index about a ledger on a day: what is known is looked up without loading the models, what is not is worked out."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from caskbook.days import DayError, parse_input_day, today_in
from caskbook.finding import CaskbookError
from caskbook.git import open_git
from caskbook.index.places import look, meta, set_meta
from caskbook.index.refresh import (
    Asked,
    Progress,
    find_answer,
    open_asked,
    rev_answer,
    settle,
    work_answer,
    work_joins,
)
from caskbook.index.store import (
    Changed,
    NoIndex,
    has_store,
    in_memory,
    lock_of,
    make_anew,
    open_store,
    transaction,
)
from caskbook.index.trees import content_key, work_tree
from caskbook.pending import unfinished
from caskbook.safewrite import read_bytes

_HOUSE = "house.yaml"
_TRIES = 8
_FEW = 200


@dataclass(frozen=True)
class Question:
    """What a command is asked: the ledger's folder, the folder it was called in, the day and revision as given, and the time."""

    root: Path
    here: Path
    as_of: str | None
    at: str | None
    now: datetime


@dataclass
class Answer:
    """The answer about a ledger on a day. `today` is the real day in the house; `number` names it in the index."""

    store: sqlite3.Connection
    asked: Asked
    number: int
    today: date
    shown: str

    def close(self) -> None:
        """Let go of the index."""
        self.store.close()

    @property
    def day(self) -> date:
        """The day asked about."""
        return self.asked.day

    @cached_property
    def _summary(self) -> dict[str, Any]:
        row = self.store.execute("SELECT summary FROM answer WHERE id = ?", (self.number,)).fetchone()
        return dict(json.loads(row[0]))

    @property
    def joined(self) -> dict[str, str]:
        """Number that was joined → number that goes on."""
        return dict(self._summary["joined"])

    @property
    def words(self) -> list[tuple[str, int, int]]:
        """(a letter for each due rule, whether it is here, how many casks): of all casks that are not joined."""
        return [tuple(row) for row in self._summary["words"]]

    @cached_property
    def unreadable(self) -> list[str]:
        """Files that cannot be read as a cask, in order."""
        found = set(self._summary["unreadable"])
        if not self.asked.revision:
            found.update(row[0] for row in self.store.execute("SELECT name FROM place WHERE version IS NULL"))
        return sorted(found)

    @cached_property
    def rules(self) -> list[tuple[str, int]]:
        """(name, rank) of the due rules, in their order."""
        return [(name, rank) for name, rank in json.loads(meta(self.store, "rules"))]


def ask(question: Question, progress: Progress | None = None, *, memory: bool = False, disk: bool = True) -> Answer:
    """The answer about all casks. NoIndex where there can be none: then everything is worked out from the files.

    `memory`: where no index can be kept, make one that lasts as long as the command; `disk`: look for a kept one at all.
    """
    root = question.root
    if not question.at and unfinished(root):
        raise NoIndex("several files are being written")
    try:
        store = open_store(root) if disk else in_memory()
    except NoIndex:
        if not memory:
            raise
        store = in_memory()
    try:
        return _closing(store, question, progress)
    except sqlite3.OperationalError as error:
        raise NoIndex(str(error)) from None
    except sqlite3.DatabaseError:
        make_anew(root)
    try:
        return _closing(open_store(root), question, progress)
    except sqlite3.Error as error:
        raise NoIndex(str(error)) from None


def _closing(store: sqlite3.Connection, question: Question, progress: Progress | None) -> Answer:
    try:
        return _answered(store, question, progress)
    except BaseException:
        store.close()
        raise


def joins_known(question: Question) -> dict[str, str] | None:
    """Number that was joined → number that goes on, in the work tree; None where the index cannot tell without much work."""
    if question.at or unfinished(question.root) or not has_store(question.root):
        return None
    try:
        with closing(open_store(question.root)) as store:
            return _joins(store, question)
    except (NoIndex, Changed, sqlite3.Error):
        return None


def _joins(store: sqlite3.Connection, question: Question) -> dict[str, str] | None:
    house, timezone = _house(store, question)
    asked = Asked(question.root, question.here, house, _days(question, timezone)[0])
    tree = work_tree(asked.root)
    if not tree.digest or meta(store, "digest") != tree.digest:
        with lock_of(store, asked.root) as waited:
            tree = work_tree(asked.root) if waited else tree
            places = look(store, asked.root, tree)
            if len(places.unknown) > _FEW:
                return None
            settle(store, asked, tree, places)
    return work_joins(store)


def _answered(store: sqlite3.Connection, question: Question, progress: Progress | None) -> Answer:
    if question.at:
        return _at_revision(store, question, progress)
    house, timezone = _house(store, question)
    today, day = _days(question, timezone)
    asked = Asked(question.root, question.here, house, day)
    shown = os.path.relpath(question.root.resolve(), question.here.resolve())
    prefix = "" if shown == "." else shown.replace(os.sep, "/") + "/"
    return Answer(store, asked, _work_number(store, asked, progress), today, prefix)


def _work_number(store: sqlite3.Connection, asked: Asked, progress: Progress | None) -> int:
    tree = work_tree(asked.root)
    if tree.digest and meta(store, "digest") == tree.digest:
        number = find_answer(store, f"work {meta(store, 'state')}", asked)
        if number is not None:
            return number
    with lock_of(store, asked.root) as waited:
        for again in range(_TRIES):
            tree = work_tree(asked.root) if waited or again else tree
            try:
                return work_answer(store, asked, tree, progress)
            except Changed:
                continue
    raise NoIndex("files change faster than they can be read")


def _at_revision(store: sqlite3.Connection, question: Question, progress: Progress | None) -> Answer:
    git = open_git(question.root)
    commit = git.resolve(str(question.at))
    house_entry, tree = git.entry(commit, git.prefix + _HOUSE), git.text("rev-parse", f"{commit}:{git.prefix}casks", good=(0, 128))
    if house_entry is None or len(tree) < 40 or " " in tree:
        raise NoIndex("no ledger in that revision")
    house, timezone = _house(store, question, house_entry.oid)
    today, day = _days(question, timezone)
    asked = Asked(question.root, question.here, house, day, commit, f"tree {git.prefix} {tree}")
    number = find_answer(store, asked.tree, asked)
    if number is None:
        from caskbook.shelf_at import shelf_at

        oids = {name: entry.oid for name, entry in shelf_at(question.root, commit).entries.items()}
        with lock_of(store, question.root):
            number = rev_answer(store, asked, oids, progress)
    return Answer(store, asked, number, today, f"{question.at}:{git.prefix}")


def _house(store: sqlite3.Connection, question: Question, key: str | None = None) -> tuple[int, str]:
    """(number, time zone) of the house's settings; they are read only where they were never seen."""
    if key is None:
        path = question.root / _HOUSE
        key = content_key(read_bytes(path))
    row = store.execute("SELECT id, timezone FROM house WHERE key = ?", (key,)).fetchone()
    if row is None:
        ledger = open_asked(question.root, question.here, question.at or "")
        with transaction(store):
            store.execute("INSERT OR IGNORE INTO house (key, timezone) VALUES (?, ?)", (key, ledger.house.timezone))
            set_meta(store, "rules", json.dumps(_rules()))
        row = store.execute("SELECT id, timezone FROM house WHERE key = ?", (key,)).fetchone()
    return int(row[0]), str(row[1])


def _rules() -> list[tuple[str, int]]:
    from caskbook.due import RULES

    return [(rule.name, rule.rank) for rule in RULES]


def _days(question: Question, timezone: str) -> tuple[date, date]:
    """(the real day in the house, the day asked about)."""
    try:
        today = today_in(timezone, question.now)
    except DayError:
        today = question.now.date()
    if question.as_of is None:
        return today, today
    try:
        return today, parse_input_day(question.as_of, today)
    except DayError as error:
        raise CaskbookError(f"--as-of: {error}") from None


@contextmanager
def checking_store(question: Question, *, wanted: bool = True) -> Iterator[tuple[sqlite3.Connection | None, int]]:
    """(the index, the number of the house's settings) for a check, the index held for writing; (None, 0) where there is none."""
    if not wanted or question.at or unfinished(question.root):
        yield None, 0
        return
    with ExitStack() as stack:
        try:
            store = stack.enter_context(closing(open_store(question.root)))
            house, _ = _house(store, question)
            stack.enter_context(lock_of(store, question.root))
        except (NoIndex, sqlite3.Error):
            yield None, 0
            return
        yield store, house
