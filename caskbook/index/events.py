"""The entries of the files of an answer, put into the index when a query asks for them for the first time."""

from __future__ import annotations

from caskbook.index.answer import Answer
from caskbook.index.refresh import BATCH
from caskbook.index.store import Changed, Store
from caskbook.model.query_columns import EVENT


def keep_events(answer: Answer) -> bool:
    """Whether the events of every file of an answer are in the index. If not, they are put there, and the answer is looked for anew:
    it may be another by then. Changed where a file is no longer as the answer has it."""
    store, snapshot = answer.store, answer.snapshot
    rows = store.execute(
        "SELECT v.name, v.id, v.key FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN version v ON v.id = l.version"
        " WHERE a.answer = ? AND NOT EXISTS (SELECT 1 FROM events_kept t WHERE t.version = v.id)",
        (answer.number,),
    ).fetchall()
    if not rows:
        return True
    from caskbook.index.event_rows import file_events
    from caskbook.index.kept_files import KeptFiles
    from caskbook.index.worker import Task
    from caskbook.ledger.parallel import map_files

    wanted = {name: (version, key) for name, version, key in rows}
    task = Task(snapshot.open_ledger, snapshot.day, rows[0][2])
    answer.let_go()
    with store.lock(snapshot.root):
        batch = []
        for name, key, events in map_files(task, KeptFiles(store, list(wanted), {name: version for name, (version, _) in wanted.items()}), file_events):
            if key != wanted[name][1]:
                raise Changed(name)
            batch.append((wanted[name][0], events))
            if len(batch) >= BATCH:
                _write(store, batch)
                batch = []
        _write(store, batch)
    answer.hold()
    return False


def _write(store: Store, batch: list[tuple[int, list[tuple[object, ...]]]]) -> None:
    marks = ", ".join("?" * (len(EVENT) - 1))  # The version and the row stand in the place of the two numbers; the store follows from the berth.
    with store.transaction():
        for version, events in batch:
            store.executemany(f"INSERT OR REPLACE INTO event VALUES ({marks})", [(version, *event) for event in events])
            store.execute("INSERT OR IGNORE INTO events_kept VALUES (?)", (version,))
