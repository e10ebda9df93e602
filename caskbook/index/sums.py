"""The answer about a tree on some days: which lives it is made of, and the sum of what they say."""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Iterable

from caskbook.index.schema import NEVER
from caskbook.model.joins import goes_on

MOST_ANSWERS = 6


def write_answer(store: sqlite3.Connection, house: int, tree: str, lives: Iterable[int]) -> int:
    """Keep an answer; the caller is in a transaction."""
    answer = int(store.execute("INSERT INTO answer (tree, house, used) VALUES (?, ?, 0)", (tree, house)).lastrowid or 0)
    store.executemany("INSERT OR IGNORE INTO answer_life VALUES (?, ?)", ((answer, life) for life in sorted(lives)))
    return answer


def sum_up(store: sqlite3.Connection, answer: int) -> None:
    """Works out the days for which all its lives are good, and how many casks have which verdicts."""
    span = store.execute(
        "SELECT max(l.from_day), min(l.until_day) FROM answer_life a JOIN life l ON l.id = a.life WHERE a.answer = ?", (answer,)
    ).fetchone()
    store.execute("UPDATE answer SET from_day = ?, until_day = ? WHERE id = ?", (span[0] or 0, span[1] or NEVER, answer))
    joined = joined_of(store, answer)
    rows = store.execute(
        "SELECT ifnull(w.words, l.words), l.here, l.cask, l.begun FROM answer_life a JOIN life l ON l.id = a.life"
        " LEFT JOIN peer_words w ON w.answer = a.answer AND w.life = l.id WHERE a.answer = ?",
        (answer,),
    )
    words = Counter((words, here) for words, here, cask, begun in rows if begun and cask not in joined)
    unreadable = [row[0] for row in store.execute(
        "SELECT v.name FROM answer_life a JOIN life l ON l.id = a.life JOIN version v ON v.id = l.version"
        " WHERE a.answer = ? AND l.unreadable", (answer,)
    )]  # fmt: skip
    told = {"joined": joined, "words": [[*key, n] for key, n in words.items()], "unreadable": unreadable}
    store.execute("UPDATE answer SET summary = ? WHERE id = ?", (json.dumps(told), answer))


def joined_of(store: sqlite3.Connection, answer: int) -> dict[str, str]:
    """Number that was joined → number that goes on."""
    rows = store.execute(
        "SELECT v.joins FROM version v JOIN life l ON l.version = v.id"
        " WHERE v.joins IS NOT NULL AND EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id) ORDER BY v.name",
        (answer,),
    )
    return as_joins(row[0] for row in rows)


def prune(store: sqlite3.Connection, newest: int) -> None:
    """Answers that were not asked for since many others are forgotten, and what only they needed."""
    store.execute("UPDATE answer SET used = (SELECT max(used) + 1 FROM answer) WHERE id = ?", (newest,))
    old = [row[0] for row in store.execute("SELECT id FROM answer ORDER BY used DESC LIMIT -1 OFFSET ?", (MOST_ANSWERS,))]
    for answer in old:
        for table in ("answer_life", "middle", "peer_due", "peer_words", "wide"):
            store.execute(f"DELETE FROM {table} WHERE answer = ?", (answer,))
        store.execute("DELETE FROM answer WHERE id = ?", (answer,))
    if old:
        sweep(store)


def sweep(store: sqlite3.Connection) -> None:
    """Forget the lives that no answer has."""
    for table in ("life", "due", "quiet", "fill", "peer", "summary"):
        column = "id" if table == "life" else "life"
        store.execute(f"DELETE FROM {table} WHERE {column} NOT IN (SELECT life FROM answer_life)")


def exchange(store: sqlite3.Connection, answer: int, names: Iterable[str], lives: Iterable[int]) -> list[int]:
    """Put lives in the place of those of these files; what was there before."""
    was: list[int] = []
    for name in set(names):
        rows = store.execute(
            "SELECT l.id FROM version v CROSS JOIN life l ON l.version = v.id CROSS JOIN answer_life a ON a.life = l.id AND a.answer = ? WHERE v.name = ?",
            (answer, name),
        )
        was += [row[0] for row in rows.fetchall()]
    store.executemany("DELETE FROM answer_life WHERE answer = ? AND life = ?", [(answer, life) for life in was])
    store.executemany("INSERT OR IGNORE INTO answer_life VALUES (?, ?)", [(answer, life) for life in lives])
    return was


def nearest_answer(store: sqlite3.Connection, tree: str, house: int, day: int) -> int | None:
    """The answer about a tree that is good for the day or for the nearest one."""
    row = store.execute(
        "SELECT id FROM answer WHERE tree = ? AND house = ? ORDER BY max(from_day - ?, ? - until_day + 1, 0) LIMIT 1", (tree, house, day, day)
    ).fetchone()
    return int(row[0]) if row else None


def past_lives(store: sqlite3.Connection, answer: int, day: int, most: int) -> list[str]:
    """Names of the files whose lives in an answer are not good for the day; not many more than `most`."""
    mine = "EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id)"
    rows = store.execute(
        "SELECT v.name FROM (SELECT l.version FROM life l WHERE l.until_day <= ? AND " + mine +
        " UNION ALL SELECT l.version FROM life l WHERE l.from_day > ? AND " + mine + " LIMIT ?) x JOIN version v ON v.id = x.version",
        (day, answer, day, answer, most + 1),
    )  # fmt: skip
    return [row[0] for row in rows]


Said = tuple[Counter[tuple[str, int]], set[tuple[str | None, str | None]]]


def joined_told(store: sqlite3.Connection, answer: int) -> dict[str, str]:
    """Number that was joined → number that goes on, as the sum of an answer has it."""
    return dict(json.loads(store.execute("SELECT summary FROM answer WHERE id = ?", (answer,)).fetchone()[0])["joined"])


def said(store: sqlite3.Connection, answer: int, lives: Iterable[int]) -> Said:
    """(how many of these lives have which verdicts, what joins numbers or cannot be read among them)."""
    query = (
        "SELECT ifnull(w.words, l.words), l.here, l.cask, l.begun, v.joins, l.unreadable, v.name FROM life l JOIN version v ON v.id = l.version"
        " LEFT JOIN peer_words w ON w.answer = ? AND w.life = l.id WHERE l.id = ?"
    )
    joined = joined_told(store, answer)
    count: Counter[tuple[str, int]] = Counter()
    odd = set()
    for life in lives:
        words, here, cask, begun, joins, unreadable, name = store.execute(query, (answer, life)).fetchone()
        count[words, here] += bool(begun and cask not in joined)
        if joins or unreadable:
            odd.add((joins, name if unreadable else None))
    return count, odd


def adjust(store: sqlite3.Connection, answer: int, before: Said, after: Said, day: int) -> None:
    """Bring the sum of an answer, which is now about `day`, up to date by what some of its lives said and say now."""
    told = json.loads(store.execute("SELECT summary FROM answer WHERE id = ?", (answer,)).fetchone()[0])
    count = Counter({(words, here): n for words, here, n in told["words"]})
    count.subtract(before[0])
    count.update(after[0])
    told["words"] = [[*key, n] for key, n in count.items() if n]
    store.execute("UPDATE answer SET summary = ? WHERE id = ?", (json.dumps(told), answer))
    _set_days(store, answer, day)


def _set_days(store: sqlite3.Connection, answer: int, day: int) -> None:
    """The days for which all lives of an answer are good, found from the ends."""
    mine = "EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id)"
    first = store.execute(f"SELECT l.from_day FROM life l WHERE l.from_day <= ? AND {mine} ORDER BY l.from_day DESC LIMIT 1", (day, answer)).fetchone()
    last = store.execute(f"SELECT l.until_day FROM life l WHERE l.until_day > ? AND {mine} ORDER BY l.until_day LIMIT 1", (day, answer)).fetchone()
    store.execute("UPDATE answer SET from_day = ?, until_day = ? WHERE id = ?", (first[0] if first else 0, last[0] if last else NEVER, answer))


def as_joins(rows: Iterable[str]) -> dict[str, str]:
    """The same, from what versions tell of the numbers they join."""
    return goes_on((told[0], told[1:]) for told in map(json.loads, rows) if told)
