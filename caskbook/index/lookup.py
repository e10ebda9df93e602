"""Asking the index about a ledger on a day: what is known is looked up without loading the models, what is not is worked out."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from datetime import date

from caskbook.core.days import DayError, parse_input_day, today_in
from caskbook.core.finding import CaskbookError
from caskbook.git import open_git
from caskbook.index.answers import Answer as Answer
from caskbook.index.answers import Question as Question
from caskbook.index.file_contents import meta, set_meta
from caskbook.index.files_now import Tree, content_key, work_tree
from caskbook.index.question import Asked, open_asked
from caskbook.index.refresh import (
    Progress,
    find_answer,
    rev_answer,
    work_answer,
)
from caskbook.index.store import (
    Changed,
    NoIndex,
    in_memory,
    lock_of,
    make_anew,
    open_store,
    transaction,
)
from caskbook.ledger.atomic_write import read_bytes
from caskbook.ledger.folder import no_ledger_at
from caskbook.ledger.journal import unfinished

_HOUSE = "house.yaml"
_TRIES = 8
_FEW = 200


def ask(
    question: Question, progress: Progress | None = None, tree: Callable[[], Tree] | None = None, *, memory: bool = False, disk: bool = True
) -> Answer:
    """The answer about all casks, held until it is closed. NoIndex where there can be none: then everything is worked out from
    the files.

    `tree`: the files of the work tree, where looking at them has begun. `memory`: where no index can be kept, make one that
    lasts as long as the command; `disk`: look for a kept one at all.
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
        return _closing(store, question, progress, tree)
    except sqlite3.OperationalError as error:
        raise NoIndex(str(error)) from None
    except sqlite3.DatabaseError:
        make_anew(root)
    try:
        return _closing(open_store(root), question, progress, None)
    except sqlite3.Error as error:
        raise NoIndex(str(error)) from None


def _closing(store: sqlite3.Connection, question: Question, progress: Progress | None, tree: Callable[[], Tree] | None) -> Answer:
    try:
        answer = _at_revision(store, question, progress) if question.at else _of_work_tree(store, question, progress, tree)
        answer.hold()
        return answer
    except BaseException:
        store.close()
        raise


def _of_work_tree(store: sqlite3.Connection, question: Question, progress: Progress | None, tree: Callable[[], Tree] | None) -> Answer:
    """The answer about the work tree; its files are looked at when it is first asked."""
    house = house_of(store, question)
    today, day = days_of(question, house.timezone)
    asked = Asked(question.root, question.here, house.number, day)
    shown = os.path.relpath(question.root.resolve(), question.here.resolve())
    prefix = "" if shown == "." else shown.replace(os.sep, "/") + "/"
    begun = [tree] if tree is not None else []

    def find() -> int:
        now = begun.pop()() if begun else work_tree(asked.root)
        answer.overlooked = now.overlooked
        return _work_number(store, asked, now, progress)

    answer = Answer(store, asked, find, today, prefix, house.wrong)
    return answer


def _work_number(store: sqlite3.Connection, asked: Asked, tree: Tree, progress: Progress | None) -> int:
    """The number of the answer about the work tree, brought up to date where files changed. NoIndex where they change too fast."""
    store.execute("BEGIN")
    if meta(store, "digest") == tree.digest:
        number = find_answer(store, f"work {meta(store, 'state')}", asked)
        if number is not None:
            return number
    store.execute("COMMIT")
    with lock_of(store, asked.root) as waited:
        for again in range(_TRIES):
            tree = work_tree(asked.root) if waited or again else tree
            try:
                return work_answer(store, asked, tree, progress)
            except Changed:
                continue
    raise NoIndex("files change faster than they can be read")


def _at_revision(store: sqlite3.Connection, question: Question, progress: Progress | None) -> Answer:
    """The answer about a revision. CaskbookError where there is no ledger in it, NoIndex where it has no casks."""
    git = open_git(question.root)
    commit = git.resolve(str(question.at))
    house_entry, tree = git.entry(commit, git.prefix + _HOUSE), git.text("rev-parse", f"{commit}:{git.prefix}casks", good=(0, 128))
    if house_entry is None:
        raise CaskbookError(no_ledger_at(f"{question.at}:{git.prefix}"))
    if len(tree) < 40 or " " in tree:
        raise NoIndex("no casks in that revision")
    house = house_of(store, question, house_entry.oid)
    today, day = days_of(question, house.timezone)
    asked = Asked(question.root, question.here, house.number, day, commit, f"tree {git.prefix} {tree}")

    def find() -> int:
        number = find_answer(store, asked.tree, asked)
        if number is None:
            from caskbook.ledger.revisions import file_store_at

            oids = {name: entry.oid for name, entry in file_store_at(question.root, commit).entries.items()}
            with lock_of(store, question.root):
                number = rev_answer(store, asked, oids, progress)
        return number

    return Answer(store, asked, find, today, f"{question.at}:{git.prefix}", 0)


@dataclass(frozen=True, slots=True)
class _House:
    """The house's settings as the index knows them: a number for their text, the time zone, and how many cannot be read."""

    number: int
    timezone: str
    wrong: int


def house_of(store: sqlite3.Connection, question: Question, key: str | None = None) -> _House:
    """What the index knows of the house's settings; they are read only where they were never seen."""
    if key is None:
        key = content_key(read_bytes(question.root / _HOUSE))
    query = "SELECT id, timezone, wrong FROM house WHERE key = ?"
    row = store.execute(query, (key,)).fetchone()
    if row is None:
        ledger = open_asked(question.root, question.here, question.at or "")
        wrong = sum(finding.severity == "error" for finding in ledger.house_file.findings)
        with transaction(store):
            store.execute("INSERT OR IGNORE INTO house (key, timezone, wrong) VALUES (?, ?, ?)", (key, ledger.house.timezone, wrong))
            set_meta(store, "rules", json.dumps(_rules()))
        row = store.execute(query, (key,)).fetchone()
    return _House(*row)


def _rules() -> list[tuple[str, int]]:
    from caskbook.due import RULES

    return [(rule.name, rule.rank) for rule in RULES]


def days_of(question: Question, timezone: str) -> tuple[date, date]:
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
            house = house_of(store, question).number
            stack.enter_context(lock_of(store, question.root))
        except (NoIndex, sqlite3.Error):
            yield None, 0
            return
        yield store, house
