"""The index of a ledger as one object: whoever wants to know anything of all casks asks it, and nothing else of this package."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError
from caskbook.index.questions import Questions
from caskbook.ledger.journal import unfinished

if TYPE_CHECKING:  # what waits on git is loaded while git is at work (`start`)
    from caskbook.checks import Report
    from caskbook.index.answer import Answer
    from caskbook.index.files_now import FilesNow
    from caskbook.index.peek import Neighbours
    from caskbook.index.refresh import Progress
    from caskbook.index.store import Store
    from caskbook.index.together import Together
    from caskbook.ledger.files import Ledger

_TRIES = 8


class Index(Questions):
    """What is known of the ledger in `root`, called in the folder `here` at the time `now`; of its work tree, or of the revision `at`.
    `disk`: whether an index kept on disk may be believed and made; `memory`: whether one that lasts as long as the command may
    take its place. `beside`: whether what reports alone tell is wanted. Nothing is opened before something is asked, and every answer can be had without an index, from the files."""

    def __init__(self, root: Path, here: Path, now: datetime, at: str | None = None, *, disk: bool = True, memory: bool = False) -> None:
        self.root, self.here, self.now, self.at = root, here, now, at or ""
        self.disk, self.memory = disk, memory
        self.beside = False
        self._settings: bytes | None = None
        self._store: Store | None = None
        self._files: Callable[[], FilesNow] | None = None
        self._answer: Answer | None = None

    def under(self, settings: bytes) -> Index:
        """The same book under the settings of another house.yaml, which is tried: in memory, nothing of it is kept."""
        other = Index(self.root, self.here, self.now, self.at, disk=False, memory=True)
        other._settings = settings
        return other

    def __enter__(self) -> Index:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the index file; it can be asked again."""
        if self._store is not None:
            self._store.close()
        self._store, self._answer = None, None

    def start(self) -> None:
        """Begin to look at the files of the work tree, while the caller does something else."""
        if not self.at and self._files is None:
            from caskbook.index.files_now import start_files_now

            self._files = start_files_now(self.root)

    def answer(self, as_of: str | None = None, progress: Progress | None = None) -> Answer | None:
        """The answer about all casks on a day, the index brought up to date first; held until this is closed.
        None where there can be no index. CaskbookError where the day or the revision is none."""
        from caskbook.index.store import NoIndex

        with contextlib.suppress(NoIndex):
            self._answer = self._answered(as_of, progress)
            return self._answer
        self.close()
        return None

    @property
    def held(self) -> Answer:
        """The answer that was given; there is one."""
        assert self._answer is not None, "the index was not asked yet"
        return self._answer

    @contextlib.contextmanager
    def reading(self) -> Iterator[None]:
        """While the answer is read. Ends what is done in it where the index turns out to be damaged, and begins another."""
        from caskbook.index.store import anew_if_damaged

        with anew_if_damaged(self.root), self:
            yield

    @property
    def is_kept(self) -> bool:
        """Whether this program has an index of the book already."""
        from caskbook.index.store import has_store

        return has_store(self.root)

    def start_peek(self, as_of: str | None) -> Callable[[], Neighbours | None]:
        """Begin to look up what one cask needs of all the others; gives what waits for the outcome (`peek.start_peek`)."""
        from caskbook.index.peek import start_peek

        return start_peek(self.root, self.here, self.now, as_of)

    def serve(self, ledger: Ledger, *, now: bool = False) -> None:
        """Let a ledger ask the index what it would read the whole book for (`serving.serve`). `now`: with every file looked at."""
        from caskbook.index.serving import serve

        serve(ledger, self.root, self.here, disk=self.disk, now=now)

    @staticmethod
    def search_near(ledger: Ledger) -> None:
        """Let a ledger of which a few casks are asked about search the bytes of the files, where no index tells (`serving.search_near`)."""
        from caskbook.index.serving import search_near

        search_near(ledger)

    def files_at(self, berths: Sequence[str]) -> list[str] | None:
        """Names of the files that may say that their cask lies at one of the berths (`berths.files_at`); None where that cannot be told."""
        from caskbook.index.berths import files_at

        return files_at(self.root, berths, disk=self.disk)

    def may_be_copies(self, signs: Collection[int], words: Sequence[str]) -> list[str]:
        """Names of the files that may be copies of casks of these signs (`copies.may_be_copies`)."""
        from caskbook.index.copies import may_be_copies

        return may_be_copies(self.root, signs, words, disk=self.disk)

    def files_marked(self, text: str, *, vat: bool = False) -> list[str] | None:
        """Names of the files that may bear an old mark, or whose casks may hold what came out of a `vat`; None where that cannot be told."""
        from caskbook.index import short_names

        return (short_names.files_of_vat if vat else short_names.files_marked)(self.root, text, disk=self.disk)

    def due_known(self, name: str, data: bytes, day: date) -> list[tuple[str, str, str | None]] | None:
        """What is due on the cask of a file with this content (`due_of_cask.due_known`); None where the index does not know."""
        from caskbook.index.due_of_cask import due_known

        return due_known(self.root, name, data, day) if self.disk else None

    def of_parcel(self, parcel: str) -> tuple[list[tuple[str, bool]], list[str]]:
        """((cask, whether it is gone) of a parcel, of the answer; where it has none, all parcels there are)."""
        from caskbook.index.short_names import parcel_or_all

        return parcel_or_all(self.held, parcel)

    def check(self, ledger: Ledger, day: date, progress: Progress | None = None) -> Report:
        """The check of the whole ledger on a day; of what the index knows, only what changed is checked again."""
        from caskbook.index.check_book import check_whole, kept_checks
        from caskbook.index.snapshot import Snapshot

        with kept_checks(self.root, self.here, usable=self.disk and not self.at and not unfinished(self.root)) as (store, house):
            return check_whole(ledger, Snapshot(self.root, self.here, house, day, self.at, today=ledger.today), store, progress)

    @staticmethod
    def forget(root: Path) -> None:
        """Whatever index is kept for the ledger, another is made."""
        from caskbook.index.schema import fingerprint
        from caskbook.ledger.machine import forget_index

        forget_index(root, fingerprint())

    @staticmethod
    def together(sql: str) -> contextlib.AbstractContextManager[Together]:
        """A place to put the rows of several ledgers together for one SQL (`together.together`). CaskbookError for SQL that cannot be asked."""
        from caskbook.index.together import together

        return together(sql)

    def _answered(self, as_of: str | None, progress: Progress | None) -> Answer:
        """The answer, from the index file or from one in memory; a damaged index is made anew once. NoIndex where there can be none.
        A disk without room for the index is no reason for no answer: what is in memory needs none."""
        from sqlite3 import DatabaseError, Error, OperationalError

        from caskbook.index.store import NoIndex, in_memory, make_anew, open_store

        if not self.at and unfinished(self.root):
            if not self.memory:
                raise NoIndex("several files are being written")
            return self._held_in(in_memory(), as_of, progress)
        try:
            if not self.disk:
                return self._held_in(in_memory(), as_of, progress)
            try:
                return self._held_in(open_store(self.root), as_of, progress)
            except OperationalError:
                raise
            except DatabaseError:
                make_anew(self.root)
            return self._held_in(open_store(self.root), as_of, progress)
        except (Error, OSError, NoIndex) as error:
            if not self.memory or not self.disk:
                raise NoIndex(str(error)) from None
        return self._held_in(in_memory(), as_of, progress)

    def _held_in(self, store: Store, as_of: str | None, progress: Progress | None) -> Answer:
        try:
            answer = self._of_revision(store, as_of, progress) if self.at else self._of_work_tree(store, as_of, progress)
            answer.hold()
        except BaseException:
            store.close()
            raise
        self._store = store
        return answer

    def _of_work_tree(self, store: Store, as_of: str | None, progress: Progress | None) -> Answer:
        """The answer about the work tree; its files are looked at when it is first asked."""
        from caskbook.index.answer import Answer
        from caskbook.index.file_contents import kept_strays
        from caskbook.index.files_now import files_now
        from caskbook.index.house_settings import days_in_house, house_settings
        from caskbook.index.linked_files import linked_files
        from caskbook.index.snapshot import Snapshot

        house = house_settings(store, self.root, self.here, settings=self._settings)
        today, day = days_in_house(house.timezone, self.now, as_of)
        shown = os.path.relpath(self.root.resolve(), self.here.resolve())
        prefix = "" if shown == "." else shown.replace(os.sep, "/") + "/"

        def find(answer: Answer) -> int:
            if unfinished(self.root):
                from caskbook.index.refresh import Refresh

                return Refresh(store, answer.snapshot, progress).answer_of_files()
            files, self._files = (self._files() if self._files is not None else files_now(self.root)), None
            answer.overlooked, answer.linked = files.overlooked, linked_files(self.root, files)
            number = self._number_of_work_tree(answer, files, progress)
            answer.strays = kept_strays(store, files)
            return number

        return Answer(
            store, Snapshot(self.root, self.here, house.number, day, settings=self._settings, today=today, beside=self.beside), find, today, prefix, house.wrong
        )

    def _number_of_work_tree(self, answer: Answer, files: FilesNow, progress: Progress | None) -> int:
        """The number of the answer about the work tree, brought up to date where files changed. NoIndex where they change too fast."""
        from caskbook.index.files_now import files_now
        from caskbook.index.store import Changed, NoIndex
        from caskbook.index.stored_answer import answer_on

        store, snapshot = answer.store, answer.snapshot
        store.execute("BEGIN")
        if store.meta("digest") == files.digest:
            number = answer_on(store, f"work {store.meta('state')}", snapshot)
            if number is not None:
                return number
        store.execute("COMMIT")
        from caskbook.index.refresh import Refresh  # where the answer is known already, it is not loaded

        with store.lock(self.root) as waited:
            for again in range(_TRIES):
                files = files_now(self.root) if waited or again else files
                try:
                    return Refresh(store, snapshot, progress).work_answer(files)
                except Changed:
                    continue
        raise NoIndex("files change faster than they can be read")

    def _of_revision(self, store: Store, as_of: str | None, progress: Progress | None) -> Answer:
        """The answer about a revision. CaskbookError where there is no ledger in it, NoIndex where it has no casks."""
        from caskbook.git import open_git
        from caskbook.index.answer import Answer
        from caskbook.index.house_settings import days_in_house, house_settings
        from caskbook.index.of_revision import number_of_revision
        from caskbook.index.snapshot import HOUSE, Snapshot
        from caskbook.index.store import NoIndex
        from caskbook.ledger.folder import no_ledger_at

        git = open_git(self.root)
        commit = git.resolve(self.at)
        house_entry, tree = git.entry(commit, git.prefix + HOUSE), git.text("rev-parse", f"{commit}:{git.prefix}casks", good=(0, 128))
        if house_entry is None:
            raise CaskbookError(no_ledger_at(f"{self.at}:{git.prefix}"))
        if len(tree) < 40 or " " in tree:
            raise NoIndex("no casks in that revision")
        house = house_settings(store, self.root, self.here, self.at, house_entry.oid, self._settings)
        today, day = days_in_house(house.timezone, self.now, as_of)
        snapshot = Snapshot(self.root, self.here, house.number, day, commit, f"tree {git.prefix} {tree}", self._settings, today, beside=self.beside)
        return Answer(store, snapshot, lambda answer: number_of_revision(store, answer.snapshot, progress), today, f"{self.at}:{git.prefix}", 0)
