"""Bringing the index up to date: files that are new to it are read and judged on all cores, and an answer for a day is put
together from what is known of each file.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial

from caskbook.core.finding import CaskbookError
from caskbook.index.file_contents import Known, Places, keep, last_seen, look, meta, set_meta, settled_stamp
from caskbook.index.files_now import Tree
from caskbook.index.question import Asked, open_asked
from caskbook.index.rivals import claim_stands, claimants_in, is_claim
from caskbook.index.store import NoIndex, transaction
from caskbook.index.sums import (
    adjust,
    as_joins,
    exchange,
    nearest_answer,
    past_lives,
    prune,
    said,
    sum_up,
    sweep,
    write_answer,
)

BATCH = 1000
_MOST_MOVED = 5000
_BETWEEN_SWEEPS = 500_000
Progress = Callable[[int, int], None]


def work_answer(store: sqlite3.Connection, asked: Asked, tree: Tree, progress: Progress | None = None) -> int:
    """The number of the answer about the work tree, made if it is not there. The caller holds the index lock."""
    seen = meta(store, "digest") == tree.digest
    places = Places(Known(store)) if seen else look(store, asked.root, tree)
    name = settle(store, asked, tree, places, progress)
    found = find_answer(store, name, asked) or moved(store, asked, (name, name), (), places.known, progress)
    return found or whole_answer(store, asked, name, places.known.whole(), progress)


def settle(store: sqlite3.Connection, asked: Asked, tree: Tree, places: Places, progress: Progress | None = None) -> str:
    """Learn what is new in the work tree; its name from now on. An answer about it as it was is taken over where that is quick."""
    state = int(meta(store, "state") or 0)
    if places.unknown:
        _learn(store, asked, places, progress)
    with transaction(store):
        gone = [name for name, version in places.changed.items() if version is None and name not in places.unreadable]
        keep(store, places, gone, tree)
        if places.changed:
            set_meta(store, "state", str(state + 1))
    name = f"work {state + bool(places.changed)}"
    if places.changed:
        moved(store, asked, (f"work {state}", name), places.changed, places.known, progress)
    return name


JOINS = (
    "SELECT v.joins, v.name FROM version v INDEXED BY version_joins"
    " WHERE v.joins IS NOT NULL AND EXISTS (SELECT 1 FROM place p WHERE p.name = v.name AND p.version = v.id)"
)
"""What the files of the work tree join, of the few that do."""


def work_joins(store: sqlite3.Connection) -> dict[str, str]:
    """Number that was joined → number that goes on, of the work tree as the index knows it."""
    rows = store.execute(JOINS + " ORDER BY v.name")
    return as_joins(row[0] for row in rows)


def find_answer(store: sqlite3.Connection, tree: str, asked: Asked) -> int | None:
    """The answer about a tree on the day, if there is one."""
    day = asked.day.toordinal()
    row = store.execute(
        "SELECT id FROM answer WHERE tree = ? AND house = ? AND from_day <= ? AND until_day > ?", (tree, asked.house, day, day)
    ).fetchone()
    return int(row[0]) if row else None


def moved(
    store: sqlite3.Connection, asked: Asked, trees: tuple[str, str], touched: Iterable[str], known: Known, progress: Progress | None
) -> int | None:
    """Take the nearest answer about a tree (`trees`: its name then and now) over to the day asked about, putting in the files
    `touched` and those that time has changed. None where there is no such answer, or too much in it is otherwise."""
    answer = nearest_answer(store, trees[0], asked.house, asked.day.toordinal())
    if answer is None:
        return None
    touched = list(touched)
    late = past_lives(store, answer, asked.day.toordinal(), _MOST_MOVED)
    if len(touched) + len(late) > _MOST_MOVED:
        return None
    names = sorted({*(name for name in touched if name in known), *(name for name in late if name in known), *_stale(store, answer, known)})
    lives = dict(_some_valid(store, asked, {name: known[name] for name in names}, known))
    for _, version, life in _lived(store, asked, [name for name in names if known[name] not in lives], known, progress):
        lives[version] = life
    with transaction(store):
        now = [lives[known[name]] for name in names]
        _put_in(store, asked, answer, [*names, *touched], now)
        store.execute("UPDATE answer SET tree = ? WHERE id = ?", (trees[1], answer))
        if max(now, default=0) > int(meta(store, "swept") or 0) + _BETWEEN_SWEEPS:
            sweep(store)
            set_meta(store, "swept", str(max(now)))
    return answer


def _put_in(store: sqlite3.Connection, asked: Asked, answer: int, names: Iterable[str], now: list[int]) -> None:
    """Put lives in the place of those of the files named, and judge again what is held against them."""
    was = exchange(store, answer, names, now)
    if not was and not now:
        return
    from caskbook.index.losses import forget, judge_all, judge_lives
    from caskbook.index.peers import touched

    others = sorted(touched(store, answer, was, now))
    before = said(store, answer, [*was, *others])
    if before[1] != said(store, answer, now)[1]:  # other numbers are joined, or other files cannot be read
        judge_all(store, asked, answer)
        sum_up(store, answer)
        return
    forget(store, answer, was)
    judge_lives(store, asked, answer, [*now, *others])
    adjust(store, answer, before, said(store, answer, [*now, *others]), asked.day.toordinal())


def _stale(store: sqlite3.Connection, answer: int, known: Known) -> list[str]:
    """Files whose life was worked out with others that are not as they were."""
    rows = store.execute(
        "SELECT v.name, l.needs FROM life l JOIN version v ON v.id = l.version WHERE l.needs IS NOT NULL"
        " AND EXISTS (SELECT 1 FROM answer_life a WHERE a.answer = ? AND a.life = l.id)",
        (answer,),
    ).fetchall()
    return [name for name, needs in rows if name in known and not needs_met(store, needs, known)]


def _some_valid(store: sqlite3.Connection, asked: Asked, wanted: dict[str, int], known: Mapping[str, int]) -> Iterator[tuple[int, int]]:
    day = asked.day.toordinal()
    for version in wanted.values():
        rows = store.execute(
            "SELECT id, needs FROM life WHERE version = ? AND house = ? AND from_day <= ? AND until_day > ? ORDER BY id",
            (version, asked.house, day, day),
        )
        for life, needs in rows.fetchall():
            if needs is None or needs_met(store, needs, known):
                yield version, life


def whole_answer(store: sqlite3.Connection, asked: Asked, tree: str, known: dict[str, int], progress: Progress | None = None) -> int:
    """Put an answer together: the life of every file on the day, worked out where it is not known."""
    lives = _valid(store, asked, known)
    lacking = [name for name, version in known.items() if version not in lives]
    for _, version, life in _lived(store, asked, lacking, known, progress):
        lives[version] = life
    from caskbook.index.losses import judge_all

    with transaction(store):
        answer = write_answer(store, asked.house, tree, [lives[version] for version in known.values()])
        judge_all(store, asked, answer)
        sum_up(store, answer)
        prune(store, answer)
    return answer


def _valid(store: sqlite3.Connection, asked: Asked, known: dict[str, int]) -> dict[int, int]:
    """Version → life that is good for the day, of all versions."""
    day = asked.day.toordinal()
    rows = store.execute(
        "SELECT version, id, needs FROM life WHERE house = ? AND from_day <= ? AND until_day > ? ORDER BY id", (asked.house, day, day)
    )
    wanted = set(known.values())
    found: dict[int, int] = {}
    for version, life, needs in rows:
        if version in wanted and (needs is None or needs_met(store, needs, known)):
            found[version] = life
    return found


def needs_met(store: sqlite3.Connection, needs: str, known: Mapping[str, int]) -> bool:
    """Whether other files that were used are as they were then."""
    return all(
        claim_stands(store, name, key, known) if is_claim(name) else _key(store, known.get(name)) == key for name, key in json.loads(needs).items()
    )


def _key(store: sqlite3.Connection, version: int | None) -> str | None:
    if version is None:
        return None
    return str(store.execute("SELECT key FROM version WHERE id = ?", (version,)).fetchone()[0])


def _learn(store: sqlite3.Connection, asked: Asked, places: Places, progress: Progress | None) -> None:
    """Read the files that nobody has read yet, and keep their lives on the day as well."""
    before = {name: last_seen(store, name)[1] for name in places.unknown}
    for name, version, _ in _lived(store, asked, list(places.unknown), {}, progress):
        key = _key(store, version) or ""
        stamp = settled_stamp(asked.root, name, places.unknown[name], key)
        places.turned |= places.unknown[name][:1] == "g" != stamp[:1]
        places.known[name], places.stamps[name] = version, stamp
        if before.get(name) != version:
            places.changed[name] = version
    missing = {name for name in places.unknown if name not in places.known}
    places.unreadable += sorted(missing)
    places.changed.update({name: None for name in missing if before.get(name) is not None})


def _lived(
    store: sqlite3.Connection, asked: Asked, names: list[str], known: Mapping[str, int], progress: Progress | None
) -> Iterator[tuple[str, int, int]]:
    """(name, version, life) of files, worked out on all cores and kept in batches: whenever this ends, what is kept is right.

    A file that cannot be read is left out. Changed where a file is not what `known` says.
    """
    if not names:
        return
    from caskbook.index.worker import Found, Task, work_out
    from caskbook.index.writing import write_life
    from caskbook.ledger.parallel import map_files

    like = str(store.execute("SELECT ifnull(max(key), '') FROM version").fetchone()[0])
    task = Task(partial(open_asked, asked.root, asked.here, asked.revision), asked.day, like, claimants_in(store, known))
    total = len(names)
    found: Iterable[Found] = map_files(task, names, work_out, progress=partial(progress, total) if progress else None)
    batch: list[Found] = []
    for one in found:
        if one.key is not None:
            batch.append(one)
        if len(batch) >= BATCH:
            yield from write_life(store, asked.house, batch, known)
            batch = []
    yield from write_life(store, asked.house, batch, known)


def rev_answer(store: sqlite3.Connection, asked: Asked, oids: dict[str, str], progress: Progress | None = None) -> int:
    """The answer about the files of a revision, `oids` their names of content."""
    rows = {(name, key): number for number, name, key in store.execute("SELECT id, name, key FROM version")}
    known = {name: version for name, oid in oids.items() if (version := rows.get((name, oid))) is not None}
    unknown = [name for name in oids if name not in known]
    for name, version, _ in _lived(store, asked, unknown, {}, progress):
        from caskbook.index.worker import UNREADABLE  # loaded by then

        if _key(store, version) == UNREADABLE:  # a partial clone lacks it, and has it another time
            raise CaskbookError(f"git has not the content of {name} in that revision; fetch it, or repair the repository")
        known[name] = version
    if len(known) < len(oids):
        raise NoIndex("a file of the revision cannot be read")
    return whole_answer(store, asked, asked.tree, known, progress)
