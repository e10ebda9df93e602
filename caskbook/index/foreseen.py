"""What a plan and `ready` worked out of the files of single casks, kept with their lives: as long as a life is good, it need not be worked out again."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.index.ahead import BY_ITSELF
from caskbook.index.answer import Answer
from caskbook.index.files_now import content_key
from caskbook.index.snapshot import HOUSE
from caskbook.index.store import NoIndex, index_lock
from caskbook.ledger.atomic_write import read_bytes

_KEPT = (
    "SELECT l.cask, n.data FROM foreseen n JOIN life l ON l.id = n.life JOIN answer_life a ON a.life = l.id AND a.answer = :answer"
    f" WHERE n.kind = :kind AND {BY_ITSELF}"
)
_KEEP = (
    "INSERT OR REPLACE INTO foreseen SELECT :kind, l.id, :data FROM answer_life a JOIN life l ON l.id = a.life JOIN version v ON v.id = l.version"
    f" WHERE a.answer = :answer AND a.cask = :cask AND l.cask = a.cask AND v.key = :key AND l.house = :house AND {BY_ITSELF}"
)


class Foreseen:
    """The notes on the lives of an answer, by kind: data of JSON, one a life and kind. Only a life that its own file tells whole has any, for what
    others say may change without it; and a note is only kept of the very content and settings that the life is of."""

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        self._new: list[dict[str, Any]] = []
        self._like = str(answer.store.execute("SELECT ifnull(max(key), '') FROM version").fetchone()[0])

    def of(self, kind: str) -> dict[str, Any]:
        """Cask → its note of a kind."""
        answer = self._answer
        values = {"answer": answer.number, "day": answer.day.toordinal(), "kind": kind}
        return {cask: json.loads(data) for cask, data in answer.store.execute(_KEPT, values)}

    def keep(self, kind: str, cask: str, read: bytes, note: Any) -> None:
        """Keep a note on a cask, in the place of any other of its kind. `read`: the content of the file that it was worked out of."""
        self._new.append(
            {"kind": kind, "cask": cask, "key": content_key(read, self._like), "data": json.dumps(note, ensure_ascii=False, separators=(",", ":"))}
        )

    def write(self) -> None:
        """Put down what is new; the answer is let go with it. Where another command is at the index, or it cannot be written, nothing is kept."""
        answer, store = self._answer, self._answer.store
        if not self._new or not store.path:
            return
        answer.let_go()
        with contextlib.suppress(NoIndex, CaskbookError, OSError, sqlite3.Error), index_lock(answer.snapshot.root, wait=0), store.transaction():
            if self._settings_as_read() and store.execute(answer.stands).fetchone() is not None:
                own = {"answer": answer.number, "day": answer.day.toordinal(), "house": answer.snapshot.house}
                store.executemany(_KEEP, [note | own for note in self._new])

    def _settings_as_read(self) -> bool:
        """Whether house.yaml still is what the answer is about; that of a revision always is."""
        snapshot = self._answer.snapshot
        key = self._answer.store.execute("SELECT key FROM house WHERE id = ?", (snapshot.house,)).fetchone()
        return bool(snapshot.revision) or (key is not None and key[0] == content_key(read_bytes(snapshot.root / HOUSE)))
