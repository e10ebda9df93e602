"""The rule `loss` in an answer of the index, what an account tells of each fill, and which are in doubt: each fill held against the peers of that very answer."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from caskbook.due import RULES, Verdict, judge
from caskbook.due.losses import About, LossCase, loss_verdict
from caskbook.index.losses import judged_row
from caskbook.index.peers import KeptPeers
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import Changed, Store
from caskbook.index.stored_answer import StoredAnswer
from caskbook.index.verdict_rows import RULE_NUMBER, verdict_row
from caskbook.index.worker import Opened, Task
from caskbook.life.facts import facts_of
from caskbook.loss.account_fill import judged
from caskbook.loss.doubts import MISREAD
from caskbook.words.verdicts import LETTER

_LOSS = RULE_NUMBER["loss"]
_NOT_ASKED = "-"
_OF = "SELECT l.id, l.cask, l.type, l.berth, l.words, g.data, v.name, v.key FROM life l JOIN summary g ON g.life = l.id JOIN version v ON v.id = l.version"
_JUDGED_LIFE = ("peer_due", "peer_doubt", "peer_loss", "peer_words", "wide")
_JUDGED = ("middle", *_JUDGED_LIFE)
_Row = tuple[int, str, str, str | None, str, str, str, str]


class LossJudge:
    """The rule `loss` over the lives of one answer. Whoever calls it is in a transaction."""

    def __init__(self, store: Store, snapshot: Snapshot, answer: StoredAnswer) -> None:
        self.store, self.snapshot, self.answer = store, snapshot, answer
        self._every = answer.judged

    def judge_all(self) -> None:
        """Judge every life of the answer anew."""
        number = self.answer.number
        for table in _JUDGED:
            self.store.execute(f"DELETE FROM {table} WHERE answer = ?", (number,))
        rows = self.store.execute(_OF + " WHERE EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id)", (number,)).fetchall()
        self._judge(self.answer.joined(), rows)

    def judge_lives(self, lives: Iterable[int]) -> None:
        """Judge these lives of the answer; what was judged of them is forgotten."""
        wanted = sorted(lives)
        self.forget(wanted)
        self._judge(self.answer.joined_in_summary(), [row for life in wanted for row in self.store.execute(_OF + " WHERE l.id = ?", (life,))])

    def forget(self, lives: Iterable[int]) -> None:
        """Take away what was judged of these lives."""
        pairs = [(self.answer.number, life) for life in lives]
        for table in _JUDGED_LIFE:
            self.store.executemany(f"DELETE FROM {table} WHERE answer = ? AND life = ?", pairs)

    def _judge(self, joined: Iterable[str], rows: list[_Row]) -> None:
        """The rule `loss` is judged for these rows against the peers of the answer, and what it says is kept."""
        rows = [row for row in rows if self._every or row[4][_LOSS:][:1] not in ("", _NOT_ASKED)]
        if not rows:
            return
        snapshot, answer = self.snapshot, self.answer.number
        peers = KeptPeers(self.store, answer, joined, keep=True)
        house = snapshot.open_ledger().house
        due: list[tuple[Any, ...]] = []
        words: list[tuple[int, int, str, int]] = []
        wide: list[tuple[int, int]] = []
        doubts: list[tuple[Any, ...]] = []
        told: list[tuple[int, int, str]] = []
        again: list[tuple[_Row, int, Verdict]] = []
        for row in rows:
            life, cask, cask_type, berth, letters, data, _, _ = row
            peers.wide = False
            case = LossCase.from_row(json.loads(data), cask, cask_type or "?")
            losses = case.losses(peers, house.on(snapshot.day, cask_type))
            if case.summaries and self._every:
                told.append((answer, life, judged_row([judged(verdict) for verdict in reversed(losses.every())])))
                doubts += [(answer, life, one.figure.fill, one.start.isoformat(), back, MISREAD) for back, one in losses.misread()]
            if peers.wide:
                wide.append((answer, life))
            if not case.asked:
                continue
            verdict, running = loss_verdict(case, About(cask, cask_type, berth), losses, house)
            due.append(_due_row(answer, life, verdict))
            if running:
                again.append((row, running, verdict))
            elif verdict.verdict != "ok":
                words.append((answer, life, _with(letters, verdict), 0))
        for life, letters, verdicts in _judged_again(snapshot, again):
            due += [_due_row(answer, life, verdict) for verdict in verdicts]
            words.append((answer, life, letters, 1))
        self.store.executemany("INSERT INTO peer_due VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", due)
        self.store.executemany("INSERT INTO peer_words VALUES (?, ?, ?, ?)", words)
        self.store.executemany("INSERT INTO peer_doubt VALUES (?, ?, ?, ?, ?, ?)", doubts)
        self.store.executemany("INSERT INTO peer_loss VALUES (?, ?, ?)", told)
        self.store.executemany("INSERT INTO wide VALUES (?, ?)", wide)


def _due_row(answer: int, life: int, verdict: Verdict) -> tuple[Any, ...]:
    return (answer, life, RULE_NUMBER[verdict.rule], verdict.verdict, *verdict_row(verdict))


def _with(words: str, verdict: Verdict) -> str:
    return words[:_LOSS] + LETTER[verdict.verdict] + words[_LOSS + 1 :]


def _judged_again(snapshot: Snapshot, casks: list[tuple[_Row, int, Verdict]]) -> Iterator[tuple[int, str, list[Verdict]]]:
    """(life, a letter for each rule, the other verdicts) of casks of which several fills running lost too much."""
    if not casks:
        return
    like = casks[0][0][7]
    opened = Task(snapshot.open_ledger, snapshot.day, like)()
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
