"""An answer as the index keeps it: which lives it is made of on some days, and the sum of what they say."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from caskbook.index.schema import IN_PART, NEVER, NOT_AT_ALL
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import Store
from caskbook.model.joins import goes_on, is_number

MOST_ANSWERS = 6
OF_ANSWER = ("answer_life", "middle", "peer_due", "peer_doubt", "peer_loss", "peer_words", "wide")
"""Tables whose rows belong to one answer."""
_MINE = "EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id)"
Tally = tuple[Counter[tuple[str, int]], set[tuple[tuple[str, ...], tuple[str, int] | None]], int]
"""(letters of the verdicts, whether here) → how many lives; what joins numbers or cannot be read among them; the day of their last entry,
0 where there is none."""


class StoredAnswer:
    """One answer in the index. Whoever changes it is in a transaction."""

    def __init__(self, store: Store, number: int) -> None:
        self.store, self.number = store, number

    def sum_up(self) -> None:
        """Work out the days for which all its lives are good, and how many casks have which verdicts."""
        span = self.store.execute(
            "SELECT max(l.from_day), min(l.until_day), max(l.last_entry) FROM answer_life a JOIN life l ON l.id = a.life WHERE a.answer = ?", (self.number,)
        ).fetchone()
        self._set_days(span[0], span[1])
        joined = self.joined()
        self._own_names()
        self._name(joined)
        rows = self.store.execute(
            "SELECT ifnull(w.words, l.words), l.here, l.cask, l.begun FROM answer_life a JOIN life l ON l.id = a.life"
            " LEFT JOIN peer_words w ON w.answer = a.answer AND w.life = l.id WHERE a.answer = ?",
            (self.number,),
        )
        words = Counter((words, here) for words, here, cask, begun in rows if begun and cask not in joined)
        odd = self.store.execute(
            "SELECT l.unreadable, v.name FROM answer_life a JOIN life l ON l.id = a.life JOIN version v ON v.id = l.version WHERE a.answer = ? AND l.unreadable",
            (self.number,),
        ).fetchall()
        self._set_summary({
            "joined": joined, "words": [[*key, n] for key, n in words.items()], "last_entry": span[2] or 0,
            "unreadable": [name for how, name in odd if how == NOT_AT_ALL], "in_part": [name for how, name in odd if how == IN_PART],
        })  # fmt: skip

    @property
    def judged(self) -> bool:
        """Whether every fill is held against its peers, or only those that `due` asks for."""
        return bool(self.store.execute("SELECT judged FROM answer WHERE id = ?", (self.number,)).fetchone()[0])

    def set_judged(self) -> None:
        """From now on every fill is."""
        self.store.execute("UPDATE answer SET judged = 1 WHERE id = ?", (self.number,))

    def joined(self) -> dict[str, str]:
        """Number that was joined → number that goes on, worked out of its files."""
        rows = self.store.execute(
            f"SELECT v.joins FROM version v JOIN life l ON l.version = v.id WHERE v.joins IS NOT NULL AND {_MINE} ORDER BY v.name", (self.number,)
        )
        return as_joins(row[0] for row in rows)

    def joined_in_summary(self) -> dict[str, str]:
        """The same, as it was when it was summed up."""
        return dict(self.summary()["joined"])

    def summary(self) -> dict[str, Any]:
        """`joined`, `words` (letters, whether here, how many), `unreadable` and `in_part` (names of files) and `last_entry`: no entry of these files is of a
        later day."""
        found: dict[str, Any] = json.loads(self.store.execute("SELECT summary FROM answer WHERE id = ?", (self.number,)).fetchone()[0])
        return found

    def needs(self) -> list[tuple[str, str, str]]:
        """(name of the file, its cask, what else its life was worked out with) of those lives that need more than their own file."""
        return self.store.execute(
            f"SELECT v.name, l.cask, l.needs FROM life l JOIN version v ON v.id = l.version WHERE l.needs IS NOT NULL AND {_MINE}", (self.number,)
        ).fetchall()

    def files_not_of(self, day: int, most: int) -> list[str]:
        """Names of the files whose lives in it are not good for the day; not many more than `most`."""
        rows = self.store.execute(
            "SELECT v.name FROM (SELECT l.version FROM life l WHERE l.until_day <= ? AND " + _MINE +
            " UNION ALL SELECT l.version FROM life l WHERE l.from_day > ? AND " + _MINE + " LIMIT ?) x JOIN version v ON v.id = x.version",
            (day, self.number, day, self.number, most + 1),
        )  # fmt: skip
        return [row[0] for row in rows]

    def exchange(self, names: Iterable[str], lives: Iterable[int]) -> list[int]:
        """Put lives in the place of those of these files; what was there before."""
        was: list[int] = []
        for name in set(names):
            rows = self.store.execute(
                "SELECT l.id FROM version v CROSS JOIN life l ON l.version = v.id CROSS JOIN answer_life a ON a.life = l.id AND a.answer = ? WHERE v.name = ?",
                (self.number, name),
            )
            was += [row[0] for row in rows.fetchall()]
        self.store.executemany("DELETE FROM answer_life WHERE answer = ? AND life = ?", [(self.number, life) for life in was])
        _put_lives(self.store, self.number, lives)
        return was

    def tally(self, lives: Iterable[int]) -> Tally:
        """What some of its lives say."""
        query = (
            "SELECT ifnull(w.words, l.words), l.here, l.cask, l.begun, v.joins, l.unreadable, v.name, l.last_entry FROM life l JOIN version v ON v.id = l.version"
            " LEFT JOIN peer_words w ON w.answer = ? AND w.life = l.id WHERE l.id = ?"
        )
        joined = self.joined_in_summary()
        count: Counter[tuple[str, int]] = Counter()
        odd = set()
        last = 0
        for life in lives:
            words, here, cask, begun, joins, unreadable, name, entry = self.store.execute(query, (self.number, life)).fetchone()
            count[words, here] += bool(begun and cask not in joined)
            numbers = _numbers_in(joins) if joins else ()
            if numbers or unreadable:
                odd.add((numbers, (name, unreadable) if unreadable else None))
            last = max(last, entry or 0)
        return count, odd, last

    def adjust(self, before: Tally, after: Tally, day: int) -> None:
        """Bring its sum, which is now about `day`, up to date by what some of its lives said and say now."""
        summary = self.summary()
        count = Counter({(words, here): n for words, here, n in summary["words"]})
        count.subtract(before[0])
        count.update(after[0])
        summary["words"] = [[*key, n] for key, n in count.items() if n]
        summary["last_entry"] = max(summary["last_entry"], after[2])
        self._set_summary(summary)
        self._name(summary["joined"])
        first = self.store.execute(
            f"SELECT l.from_day FROM life l WHERE l.from_day <= ? AND {_MINE} ORDER BY l.from_day DESC LIMIT 1", (day, self.number)
        ).fetchone()
        last = self.store.execute(
            f"SELECT l.until_day FROM life l WHERE l.until_day > ? AND {_MINE} ORDER BY l.until_day LIMIT 1", (day, self.number)
        ).fetchone()
        self._set_days(first[0] if first else None, last[0] if last else None)

    def _own_names(self) -> None:
        """Every life stands under the number of its own file again, for what was joined may be so no longer."""
        own = "(SELECT l.cask FROM life l WHERE l.id = answer_life.life)"
        self.store.execute(f"UPDATE answer_life SET cask = {own} WHERE answer = ? AND cask IS NOT {own}", (self.number,))

    def _name(self, joined: Mapping[str, str]) -> None:
        """Lives under a number that was joined stand under the one that goes on. `joined`: number that was joined → number that goes on."""
        self.store.executemany("UPDATE answer_life SET cask = ? WHERE answer = ? AND cask = ?", [(cask, self.number, other) for other, cask in joined.items()])

    def _set_summary(self, summary: dict[str, Any]) -> None:
        self.store.execute("UPDATE answer SET summary = ? WHERE id = ?", (json.dumps(summary), self.number))

    def _set_days(self, first: int | None, end: int | None) -> None:
        """The days for which all its lives are good; None: from the first or to the last there is."""
        self.store.execute("UPDATE answer SET from_day = ?, until_day = ? WHERE id = ?", (first or 0, end or NEVER, self.number))


def _put_lives(store: Store, answer: int, lives: Iterable[int]) -> None:
    """Put lives into an answer, each under the number of its own file."""
    store.executemany("INSERT OR IGNORE INTO answer_life SELECT ?, id, cask FROM life WHERE id = ?", ((answer, life) for life in lives))


def write_answer(store: Store, house: int, state: str, lives: Iterable[int], *, judged: bool) -> StoredAnswer:
    """Keep an answer that is not summed up yet. `judged`: whether every fill of it is to be held against its peers, or only those that `due` asks for."""
    number = int(store.execute("INSERT INTO answer (state, house, used, judged) VALUES (?, ?, 0, ?)", (state, house, int(judged))).lastrowid or 0)
    _put_lives(store, number, sorted(lives))
    return StoredAnswer(store, number)


def answer_on(store: Store, state: str, snapshot: Snapshot) -> int | None:
    """The number of the answer about a state on the day, if there is one."""
    day = snapshot.day.toordinal()
    row = store.execute("SELECT id FROM answer WHERE state = ? AND house = ? AND from_day <= ? AND until_day > ?", (state, snapshot.house, day, day)).fetchone()
    return int(row[0]) if row else None


def answer_of_entries(store: Store, state: str, house: int, day: int, since: int) -> int | None:
    """The number of an answer about a state that knows exactly the entries up to the day: each is of a day it covers, or of an earlier
    one, and none is of a later day; and that is about days not before `since`. None where there is no such answer."""
    rows = store.execute("SELECT id, until_day, summary FROM answer WHERE state = ? AND house = ? AND until_day > ? ORDER BY used DESC", (state, house, since))
    for number, until, summary in rows:
        last = json.loads(summary)["last_entry"]
        if last < until and last <= day:
            return int(number)
    return None


def nearest_answer(store: Store, state: str, house: int, day: int) -> int | None:
    """The number of the answer about a state that is good for the day or for the nearest one."""
    row = store.execute(
        "SELECT id FROM answer WHERE state = ? AND house = ? ORDER BY max(from_day - ?, ? - until_day + 1, 0) LIMIT 1", (state, house, day, day)
    ).fetchone()
    return int(row[0]) if row else None


def prune(store: Store, newest: int) -> None:
    """Answers that were not asked for since many others are forgotten, and what only they needed."""
    store.execute("UPDATE answer SET used = (SELECT max(used) + 1 FROM answer) WHERE id = ?", (newest,))
    old = [row[0] for row in store.execute("SELECT id FROM answer ORDER BY used DESC LIMIT -1 OFFSET ?", (MOST_ANSWERS,))]
    for number in old:
        for table in OF_ANSWER:
            store.execute(f"DELETE FROM {table} WHERE answer = ?", (number,))
        store.execute("DELETE FROM answer WHERE id = ?", (number,))
    if old:
        sweep(store)


def sweep(store: Store) -> None:
    """Forget the lives that no answer has."""
    for table in ("life", "due", "quiet", "fill", "peer", "summary", "service", "told", "gauges", "losses", "turns", "foreseen"):
        column = "id" if table == "life" else "life"
        store.execute(f"DELETE FROM {table} WHERE {column} NOT IN (SELECT life FROM answer_life)")
    store.execute("DELETE FROM kept WHERE version NOT IN (SELECT version FROM life)")


_JOINS = (
    "SELECT v.joins, v.name FROM version v INDEXED BY version_joins"
    " WHERE v.joins IS NOT NULL AND EXISTS (SELECT 1 FROM work_file p WHERE p.name = v.name AND p.version = v.id) ORDER BY v.name"
)


def joins_of_work_tree(store: Store) -> dict[str, str]:
    """Name → what it joins, as kept, of the few files of the work tree that join any number."""
    return {name: joins for joins, name in store.execute(_JOINS)}


def _numbers_in(joins: str) -> tuple[str, ...]:
    """The number of a file and those that it joins, out of what is kept of it; nothing of one that joins none."""
    own, *bonds = json.loads(joins) or ("",)
    numbers = tuple(one for one in bonds if is_number(one))
    return (own, *numbers) if numbers else ()


def as_joins(rows: Iterable[str]) -> dict[str, str]:
    """Number that was joined → number that goes on, from what versions say of the numbers they join."""
    return goes_on((numbers[0], numbers[1:]) for numbers in map(json.loads, rows) if numbers)
