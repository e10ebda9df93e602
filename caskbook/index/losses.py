"""The rule `loss` in an answer of the index: each fill held against the peers of that very answer."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from caskbook.due import RULES, Verdict, judge
from caskbook.due.losses import About, LossCase, loss_verdict
from caskbook.index.peers import KeptPeers
from caskbook.index.question import Asked, open_asked
from caskbook.index.store import Changed
from caskbook.index.sums import joined_of, joined_told
from caskbook.index.worker import LETTER, PLACE, Opened, Task, told_of
from caskbook.life.facts import facts_of

_PLACE = PLACE["loss"]
_OF = (
    "SELECT l.id, l.cask, l.type, l.berth, l.words, g.data, v.name, v.key FROM life l JOIN summary g ON g.life = l.id"
    " JOIN version v ON v.id = l.version"
)
_Row = tuple[int, str, str, str | None, str, str, str, str]


def judge_all(store: sqlite3.Connection, asked: Asked, answer: int) -> None:
    """Judge every life of an answer anew; the caller is in a transaction."""
    for table in ("middle", "peer_due", "peer_words", "wide"):
        store.execute(f"DELETE FROM {table} WHERE answer = ?", (answer,))
    rows = store.execute(_OF + " WHERE EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id)", (answer,)).fetchall()
    _judge(store, asked, answer, joined_of(store, answer), rows)


def judge_lives(store: sqlite3.Connection, asked: Asked, answer: int, lives: Iterable[int]) -> None:
    """Judge these lives of an answer; what was judged of them is forgotten. The caller is in a transaction."""
    wanted = sorted(lives)
    forget(store, answer, wanted)
    _judge(store, asked, answer, joined_told(store, answer), [row for life in wanted for row in store.execute(_OF + " WHERE l.id = ?", (life,))])


def forget(store: sqlite3.Connection, answer: int, lives: Iterable[int]) -> None:
    """Take away what was judged of these lives."""
    pairs = [(answer, life) for life in lives]
    for table in ("peer_due", "peer_words", "wide"):
        store.executemany(f"DELETE FROM {table} WHERE answer = ? AND life = ?", pairs)


def _judge(store: sqlite3.Connection, asked: Asked, answer: int, joined: Iterable[str], rows: list[_Row]) -> None:
    """The rule `loss` is judged for these rows against the peers of the answer, and what it says is kept."""
    if not rows:
        return
    peers = KeptPeers(store, answer, joined, keep=True)
    house = open_asked(asked.root, asked.here, asked.revision).house
    due: list[tuple[Any, ...]] = []
    words: list[tuple[int, int, str, int]] = []
    wide: list[tuple[int, int]] = []
    again: list[tuple[_Row, int, Verdict]] = []
    for row in rows:
        life, cask, cask_type, berth, said, data, _, _ = row
        peers.wide = False
        case = LossCase.from_row(json.loads(data), cask, cask_type or "?")
        verdict, running = loss_verdict(case, About(cask, cask_type, berth), peers, house.on(asked.day, cask_type))
        due.append(_due_row(answer, life, verdict))
        if peers.wide:
            wide.append((answer, life))
        if running:
            again.append((row, running, verdict))
        elif verdict.verdict != "ok":
            words.append((answer, life, _with(said, verdict), 0))
    for life, said, verdicts in _judged_again(asked, again):
        due += [_due_row(answer, life, verdict) for verdict in verdicts]
        words.append((answer, life, said, 1))
    store.executemany("INSERT INTO peer_due VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", due)
    store.executemany("INSERT INTO peer_words VALUES (?, ?, ?, ?)", words)
    store.executemany("INSERT INTO wide VALUES (?, ?)", wide)


def _due_row(answer: int, life: int, verdict: Verdict) -> tuple[Any, ...]:
    return (answer, life, PLACE[verdict.rule], verdict.verdict, *told_of(verdict))


def _with(words: str, verdict: Verdict) -> str:
    return words[:_PLACE] + LETTER[verdict.verdict] + words[_PLACE + 1 :]


def _judged_again(asked: Asked, casks: list[tuple[_Row, int, Verdict]]) -> Iterator[tuple[int, str, list[Verdict]]]:
    """(life, a letter for each rule, the other verdicts) of casks of which several fills running lost too much."""
    if not casks:
        return
    like = casks[0][0][7]
    opened = Task(partial(open_asked, asked.root, asked.here, asked.revision), asked.day, like)()
    for (life, _, _, _, words, _, name, key), running, loss in casks:
        verdicts = _judged(opened, name, key, running)
        letters = {verdict.rule: LETTER[verdict.verdict] for verdict in (*verdicts, loss)}
        yield life, "".join(letters.get(rule.name, word) for rule, word in zip(RULES, words, strict=True)), verdicts


def _judged(opened: Opened, name: str, key: str, running: int) -> list[Verdict]:
    opened.file_store.seen.clear()
    record = opened.ledger.read_file(name)
    cask = record.own
    if cask is None or opened.file_store.seen.get(name) != key:
        raise Changed(name)
    life = opened.ledger.life_of(cask, opened.day)
    return judge(life, facts_of(life), excess_losses=running)
