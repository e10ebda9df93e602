"""What neither `due` nor `list` needs (`beside_rows.py`, and what the peers make of fills that no verdict asks for), worked out where it was left: of a day
asked about in passing it is left until something asks."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.index.answer import Answer
from caskbook.index.named_columns import named
from caskbook.index.store import Changed, NoIndex, Store
from caskbook.model.questions import tells_fills

if TYPE_CHECKING:
    from caskbook.index.beside_rows import Beside

_TRIES = 20
_BATCH = 1000
_LEFT = (
    "SELECT v.name, v.key, l.id, l.needs FROM main.life l INDEXED BY life_beside CROSS JOIN version v ON v.id = l.version"
    " WHERE l.beside = 0 AND EXISTS (SELECT 1 FROM main.answer_life a WHERE a.answer = ? AND a.life = l.id) ORDER BY v.name"
)


def until_kept(answer: Answer, kept: Callable[[Answer], bool]) -> None:
    """Call `kept` until it says that all that is wanted of the answer is in the index. CaskbookError where files change faster than they can be read."""
    for _ in range(_TRIES):
        with suppress(NoIndex):
            try:
                if kept(answer):
                    return
            except (Changed, NoIndex):
                answer.hold()
    raise CaskbookError("the ledger changes faster than it can be read; try again")


def keep_beside(answer: Answer) -> None:
    """What reports alone tell of every life of the answer is put into the index; the answer may be another by then."""
    until_kept(answer, beside_kept)


def keep_judged(answer: Answer) -> None:
    """The same, and what the peers make of every fill."""
    until_kept(answer, lambda found: beside_kept(found) and fills_judged(found))


def sql_kept(answer: Answer, sql: str) -> bool:
    """Whether all that SQL on the tables of the answer asks for is in the index, as `beside_kept` says it."""
    tells = tells_fills(sql)
    return (not tells or beside_kept(answer)) and (not (tells or named(sql, ("loss_doubt",))) or fills_judged(answer))


def fills_judged(answer: Answer) -> bool:
    """Whether every fill of the answer is held against its peers. If not, all are, and the answer is looked for anew: it may be another by then."""
    from caskbook.index.stored_answer import StoredAnswer

    store, stored = answer.store, StoredAnswer(answer.store, answer.number)
    if stored.judged:
        return True
    from caskbook.index.loss_verdicts import LossJudge

    answer.let_go()
    with store.lock(answer.snapshot.root), store.transaction():
        if store.execute(answer.stands).fetchone() is not None:
            stored.set_judged()
            LossJudge(store, answer.snapshot, stored).judge_all()
    answer.hold()
    return False


def beside_kept(answer: Answer) -> bool:
    """Whether nothing was left. If something was, it is worked out, and the answer is looked for anew. Changed where a file, or another that its life
    was worked out with, is no longer as the answer has it."""
    rows = answer.store.execute(_LEFT, (answer.number,)).fetchall()
    if not rows:
        return True
    from caskbook.index.claims import claims_in
    from caskbook.index.kept_files import KeptFiles
    from caskbook.index.worker import Task, beside_of
    from caskbook.ledger.parallel import Together, map_files

    store, snapshot = answer.store, answer.snapshot
    files = dict(
        store.execute(
            "SELECT v.name, v.id FROM answer_life a JOIN life l ON l.id = a.life JOIN version v ON v.id = l.version WHERE a.answer = ?", (answer.number,)
        )
    )
    task = Task(snapshot.open_ledger, snapshot.day, rows[0][1], claims_in(store, files))
    answer.let_go()
    with store.lock(snapshot.root):
        batch: list[tuple[int, Beside]] = []
        for (name, key, life, needs), found in zip(rows, map_files(task, KeptFiles(store, [row[0] for row in rows], files), Together(beside_of)), strict=True):
            if found[:3] != (name, key, json.loads(needs) if needs else {}):
                raise Changed(name)
            batch += [(life, found[3])] if found[3] is not None else []
            if len(batch) >= _BATCH:
                _write(store, batch)
                batch = []
        _write(store, batch)
    answer.hold()
    return False


def _write(store: Store, batch: list[tuple[int, Beside]]) -> None:
    """Keep some, of those lives that are still there and that nobody else did meanwhile."""
    from caskbook.index.life_rows import write_beside

    with store.transaction():
        left = {life for life, _ in batch if store.execute("SELECT 1 FROM life WHERE id = ? AND beside = 0", (life,)).fetchone()}
        write_beside(store, [(life, one) for life, one in batch if life in left])
        store.executemany("UPDATE life SET beside = 1 WHERE id = ?", [(life,) for life in left])
