"""Which files have to do with some casks, where no index tells: their bytes are searched once, and of those that say nothing of another none is read as a cask."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.index.changed_folders import FolderStamps, folder_stamps_of, touched_files
from caskbook.ledger.files import Folder
from caskbook.ledger.scan import bytes_of, files_with
from caskbook.model.joins import BOND_WORDS, JOINING
from caskbook.yaml.escapes import may_hold


class BondsOnDisk:
    """The files of a ledger on disk that may say something of another one, with their bytes; after `forget` only what was put in place since is looked at."""

    def __init__(self, store: Folder) -> None:
        self._store = store
        self._files: dict[str, bytes] = {}
        self._seen: FolderStamps | None = None
        self._fresh = False
        self._naming: dict[str, list[str]] = {}

    def joining(self) -> list[str]:
        """Names of the files that may join a number to theirs, sorted."""
        return sorted(name for name, data in self._now().items() if may_hold(data, JOINING.encode()))

    def naming(self, numbers: Iterable[str]) -> set[str]:
        """Names of those in which one of these numbers may stand."""
        files, found = self._now(), set[str]()
        for number in numbers:
            if number not in self._naming:
                self._naming[number] = [name for name, data in files.items() if may_hold(data, number.encode())]
            found.update(self._naming[number])
        return found

    def forget(self) -> None:
        """Files were written since."""
        self._fresh = False

    def _now(self) -> dict[str, bytes]:
        if not self._fresh:
            self._look()
            self._fresh = True
            self._naming.clear()
        return self._files

    def _look(self) -> None:
        """Search all files, or, once that was done, those put in place since; what a run that was ended left to be written counts as written."""
        root, before, now = self._store.root, self._seen, folder_stamps_of(self._store.root)
        if before is None or not now.marks:
            self._files, names = {}, files_with(root, BOND_WORDS)
        else:
            folders = now.changed(before)
            files = dict(touched_files(root, folders, before.since))
            for name in [name for name in self._files if name.split("/")[1] in folders and files.get(name, True)]:
                del self._files[name]
            names = [name for name, new in files.items() if new]
        for name in [*names, *self._store.waiting]:
            data = self._store.waiting.get(name) or bytes_of(root, name)
            self._files.pop(name, None)
            if data is not None and may_hold(data, *BOND_WORDS):
                self._files[name] = data
        self._seen = now
