"""Bringing the index up to date: files that are new to it are read and judged on all cores, and an answer for a day is put
together from what is known of each file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property, partial

from caskbook.core.finding import CaskbookError
from caskbook.index.claims import claims_in
from caskbook.index.file_contents import (
    Contents,
    Known,
    compare_files,
    keep_contents,
    last_seen,
    settled_stamp,
)
from caskbook.index.files_now import FilesNow
from caskbook.index.needs import Needs, key_of
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import NoIndex, Store
from caskbook.index.stored_answer import StoredAnswer, answer_on, nearest_answer, prune, sweep, write_answer
from caskbook.ledger.paths import file_of, is_cask_id

BATCH = 1000
_MOST_MOVED = 5000
_AS_READ = "as read"
_BETWEEN_SWEEPS = 500_000
Progress = Callable[[int, int], None]


class Refresh:
    """What is done to the index of a ledger so that it can answer about a snapshot. The caller holds the lock of the index."""

    def __init__(self, store: Store, snapshot: Snapshot, progress: Progress | None = None) -> None:
        self.store, self.snapshot, self.progress = store, snapshot, progress

    def work_answer(self, files: FilesNow) -> int:
        """The number of the answer about the work tree, made if it is not there."""
        store, snapshot = self.store, self.snapshot
        seen = store.meta("digest") == files.digest
        contents = Contents(Known(store)) if seen else compare_files(store, snapshot.root, files)
        state = self.settle(files, contents)
        found = answer_on(store, state, snapshot) or self._moved((state, state), (), contents.known)
        return found or self._whole_answer(state, contents.known.whole())

    def revision_answer(self, oids: dict[str, str]) -> int:
        """The number of the answer about the files of a revision, made if it is not there. `oids`: name → git's name of the content."""
        store = self.store
        rows = {(name, key): number for number, name, key in store.execute("SELECT id, name, key FROM version")}
        known = {name: version for name, oid in oids.items() if (version := rows.get((name, oid))) is not None}
        unknown = [name for name in oids if name not in known]
        for name, version, _ in self.lives_of(unknown, {}):
            from caskbook.index.worker import UNREADABLE  # loaded by then

            if key_of(store, version) == UNREADABLE:  # a partial clone lacks it, and has it another time
                raise CaskbookError(f"git has not the content of {name} in that revision; fetch it, or repair the repository")
            known[name] = version
        if len(known) < len(oids):
            raise NoIndex("a file of the revision cannot be read")
        return self._whole_answer(self.snapshot.state, known)

    def answer_of_files(self) -> int:
        """The number of the answer about the files as they are read now, those of an unfinished write included: for an index in memory."""
        number = answer_on(self.store, _AS_READ, self.snapshot)
        if number is not None:
            return number
        names = list(self.snapshot.open_ledger().names())
        return self._whole_answer(_AS_READ, {name: version for name, version, _ in self.lives_of(names, {})})

    def settle(self, files: FilesNow, contents: Contents) -> str:
        """Learn what is new in the work tree; its state from now on. An answer about the state before is taken over where that is quick."""
        store = self.store
        number = int(store.meta("state") or 0)
        if contents.unknown:
            self._learn(contents)
        with store.transaction():
            gone = [name for name, version in contents.changed.items() if version is None and name not in contents.unreadable]
            keep_contents(store, contents, gone, files)
            if contents.changed:
                store.set_meta("state", str(number + 1))
        state = f"work {number + bool(contents.changed)}"
        if contents.changed:
            self._moved((f"work {number}", state), contents.changed, contents.known)
        return state

    def lives_of(self, names: list[str], known: Mapping[str, int]) -> Iterator[tuple[str, int, int]]:
        """(name, version, life) of files, worked out on all cores and kept in batches: whenever this ends, what is kept is right.

        A file that cannot be read is left out. Changed where a file is not what `known` says.
        """
        if not names:
            return
        from caskbook.index.kept_files import KeptFiles
        from caskbook.index.life_rows import write_lives
        from caskbook.index.worker import LifeRows, Task, work_out
        from caskbook.ledger.parallel import Together, map_files

        store, snapshot = self.store, self.snapshot
        like = str(store.execute("SELECT ifnull(max(key), '') FROM version").fetchone()[0])
        task = Task(snapshot.open_ledger, snapshot.day, like, claims_in(store, known), beside=self._whole, keeps=bool(store.path))
        progress = partial(self.progress, len(names)) if self.progress else None
        items = KeptFiles(store, names, known, None if self._whole else (snapshot.house, snapshot.day))
        found: Iterable[LifeRows] = map_files(task, items, Together(work_out), progress=progress)
        batch: list[LifeRows] = []
        for one in found:
            if one.key is not None:
                batch.append(one)
            if len(batch) >= BATCH:
                yield from write_lives(store, snapshot.house, batch, known)
                batch = []
        yield from write_lives(store, snapshot.house, batch, known)

    @cached_property
    def _whole(self) -> bool:
        """Whether what reports alone tell is worked out along. It is left until one asks (`beside.py`) where the index has an answer about a later day:
        this one is asked about in passing."""
        later = "SELECT 1 FROM answer WHERE from_day > ? LIMIT 1"
        return self.snapshot.beside or self.store.execute(later, (self.snapshot.day.toordinal(),)).fetchone() is None

    def _learn(self, contents: Contents) -> None:
        """Read the files that nobody has read yet, and keep their lives on the day as well."""
        store = self.store
        before = {name: last_seen(store, name)[1] for name in contents.unknown}
        for name, version, _ in self.lives_of(list(contents.unknown), {}):
            key = key_of(store, version) or ""
            stamp = settled_stamp(self.snapshot.root, name, contents.unknown[name], key)
            contents.turned |= contents.unknown[name][:1] == "g" != stamp[:1]
            contents.known[name], contents.stamps[name] = version, stamp
            if before.get(name) != version:
                contents.changed[name] = version
        missing = {name for name in contents.unknown if name not in contents.known}
        contents.unreadable += sorted(missing)
        contents.changed.update({name: None for name in missing if before.get(name) is not None})

    def _moved(self, states: tuple[str, str], touched: Iterable[str], known: Known) -> int | None:
        """Take the nearest answer about a state (`states`: then and now) over to the day asked about, putting in the files `touched`
        and those that time has changed. None where there is no such answer, or too much in it is otherwise."""
        store, day = self.store, self.snapshot.day.toordinal()
        number = nearest_answer(store, states[0], self.snapshot.house, day)
        if number is None:
            return None
        answer = StoredAnswer(store, number)
        touched = list(touched)
        late = answer.files_not_of(day, _MOST_MOVED)
        if len(touched) + len(late) > _MOST_MOVED:
            return None
        names = sorted({name for name in (*touched, *late, *self._stale(answer, known)) if name in known})
        lives = dict(self._some_good({name: known[name] for name in names}, known))
        for _, version, life in self.lives_of([name for name in names if known[name] not in lives], known):
            lives[version] = life
        with store.transaction():
            now = [lives[known[name]] for name in names]
            self._put_in(answer, [*names, *touched], now)
            store.execute("UPDATE answer SET state = ? WHERE id = ?", (states[1], number))
            if max(now, default=0) > int(store.meta("swept") or 0) + _BETWEEN_SWEEPS:
                sweep(store)
                store.set_meta("swept", str(max(now)))
        return number

    def _put_in(self, answer: StoredAnswer, names: Iterable[str], now: list[int]) -> None:
        """Put lives in the place of those of the files named, and judge again what is held against them."""
        was = answer.exchange(names, now)
        if not was and not now:
            return
        from caskbook.index.loss_verdicts import LossJudge
        from caskbook.index.peers import lives_concerned

        losses = LossJudge(self.store, self.snapshot, answer)
        others = sorted(lives_concerned(self.store, answer.number, was, now))
        before = answer.tally([*was, *others])
        if before[1] != answer.tally([*now, *others])[1]:  # other numbers are joined, or other files cannot be read
            losses.judge_all()
            answer.sum_up()
            return
        losses.forget(was)
        losses.judge_lives([*now, *others])
        answer.adjust(before, answer.tally([*now, *others]), self.snapshot.day.toordinal())

    def _stale(self, answer: StoredAnswer, known: Known) -> list[str]:
        """Files whose life was worked out with others that are not as they were, or of which nobody can tell now what could be told, or the contrary."""
        now, lives = Needs(self.store, known), answer.needs()
        told = {file_of(cask) for cask in now.untold if is_cask_id(cask)} - {name for name, *_ in lives}
        return [name for name, cask, needs in lives if name in known and not now.met(cask, needs)] + [name for name in told if name in known]

    def _some_good(self, wanted: dict[str, int], known: Mapping[str, int]) -> Iterator[tuple[int, int]]:
        """(version, life) of those of these versions of which a life is good for the day."""
        day, now = self.snapshot.day.toordinal(), Needs(self.store, known)
        for version in wanted.values():
            rows = self.store.execute(
                "SELECT id, cask, needs FROM life WHERE version = ? AND house = ? AND from_day <= ? AND until_day > ? ORDER BY id",
                (version, self.snapshot.house, day, day),
            )
            for life, cask, needs in rows.fetchall():
                if now.met(cask, needs):
                    yield version, life

    def _all_good(self, known: dict[str, int]) -> dict[int, int]:
        """The same of all versions at once."""
        day = self.snapshot.day.toordinal()
        rows = self.store.execute(
            "SELECT version, id, cask, needs FROM life WHERE house = ? AND from_day <= ? AND until_day > ? ORDER BY id", (self.snapshot.house, day, day)
        )
        wanted, now = set(known.values()), Needs(self.store, known)
        found: dict[int, int] = {}
        for version, life, cask, needs in rows:
            if version in wanted and now.met(cask, needs):
                found[version] = life
        return found

    def _whole_answer(self, state: str, known: dict[str, int]) -> int:
        """Put an answer together: the life of every file on the day, worked out where it is not known."""
        from caskbook.ledger.parallel import no_collecting

        lives = self._all_good(known)
        lacking = [name for name, version in known.items() if version not in lives]
        with no_collecting():
            for _, version, life in self.lives_of(lacking, known):
                lives[version] = life
        from caskbook.index.loss_verdicts import LossJudge

        with no_collecting(), self.store.transaction():
            answer = write_answer(self.store, self.snapshot.house, state, [lives[version] for version in known.values()], judged=self._whole)
            LossJudge(self.store, self.snapshot, answer).judge_all()
            answer.sum_up()
            prune(self.store, answer.number)
        return answer.number
