"""The files of a ledger as they stood in a git revision, read from git's own store: the work tree is never touched."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from caskbook.core.finding import Finding
from caskbook.git import Entry, Git, open_git
from caskbook.ledger.astray import is_astray
from caskbook.ledger.files import HOUSE_FILE
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.stray import stray_finding
from caskbook.ledger.tracked import OWN_FOLDERS
from caskbook.yaml.escapes import ESCAPE

_AHEAD = 1000
_MOST_SINGLY = 8
"""So many files git is asked for one by one, which takes two of its processes each; then for the list of all."""
_FILE = "100"
_KINDS = {"120000": "link", "160000": "submodule"}


@dataclass
class RevisionStore:
    """The ledger below `prefix` (empty, or ending in `/`) of the repository, at a revision."""

    git: Git
    revision: str
    prefix: str
    shown: str = ""
    commit: str = ""
    _known: dict[str, bytes] = field(default_factory=dict)
    _last: int = -1
    _singly: int = 0
    _kept: dict[str, bytes] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.commit:
            self.commit = self.git.resolve(self.revision)
            self.shown = f"{self.revision}:{self.prefix}"

    @classmethod
    def of_tree(cls, git: Git, tree: str, prefix: str) -> RevisionStore:
        """The ledger in a tree that is no commit (yet); its paths are shown as they are in the repository."""
        return cls(git, tree, prefix, prefix, tree)

    @cached_property
    def entries(self) -> dict[str, Entry]:
        """Cask files by their path in the ledger, in order of id; what else lies there is left out."""
        return dict(sorted((name, entry) for name, entry in self._below.items() if is_cask_path(name) and entry.mode.startswith(_FILE)))

    @cached_property
    def _below(self) -> dict[str, Entry]:
        start = len(self.prefix)
        return {entry.path[start:]: entry for entry in self.git.tree(self.commit, f"{self.prefix}casks/")}

    @property
    def odd(self) -> list[Finding]:
        """What lies among the casks there and is no cask file."""
        return [
            stray_finding(self.shown, name, _KINDS.get(entry.mode, "file"))
            for name, entry in self._below.items()
            if name not in self.entries and not name.rpartition("/")[2].startswith(".")
        ]

    @property
    def strays(self) -> list[str]:
        """Files of casks that strayed among the casks there."""
        return sorted(name for name in self._below if is_astray(name))

    def tracked(self) -> list[str]:
        """Files there of the folders that this program keeps for itself."""
        start = len(self.prefix)
        own = [name for name in self.git.folder_of(self.commit, self.prefix) if name.casefold() in OWN_FOLDERS]
        return [entry.path[start:] for entry in self.git.tree(self.commit, *(f"{self.prefix}{name}" for name in own))] if own else []

    @cached_property
    def _places(self) -> dict[str, int]:
        return {name: n for n, name in enumerate(self.entries)}

    def names(self) -> Iterator[str]:
        """Paths of cask files, sorted."""
        yield from self.entries

    def oid(self, name: str) -> str | None:
        """The name git has for a file's content: equal names are equal content."""
        entry = self._entry(name)
        return entry.oid if entry is not None and entry.mode.startswith(_FILE) else None

    def _entry(self, name: str) -> Entry | None:
        if "entries" in self.__dict__ and name != HOUSE_FILE:
            return self.entries.get(name)
        return self.git.entry(self.commit, self.prefix + name)

    def read(self, name: str) -> bytes | None:
        """The bytes of a file, None where there is none. Read in order, a thousand come in one go; whoever reads many is given the list of all first."""
        self._singly += "entries" not in self.__dict__ and is_cask_path(name)
        if ("entries" in self.__dict__ or self._singly > _MOST_SINGLY) and name in self.entries:
            return self._ordered(name)
        oid = self.oid(name)
        return self.git.blobs([oid])[oid] if oid is not None else None

    def keep(self, names: Iterable[str]) -> None:
        """Fetch these cask files in one go, and hold them for as long as the file_store lasts."""
        self._kept |= self.git.blobs(self.entries[name].oid for name in names if name in self.entries)

    def holding(self, *words: str) -> list[str]:
        """Names of the cask files in whose bytes one of these words stands, or that write signs as escapes; git finds them, and they are fetched."""
        found = {path[len(self.prefix) :] for path in self.git.holding(self.commit, (*words, ESCAPE.decode()), f"{self.prefix}casks/")}
        names = sorted(found & self.entries.keys())
        self.keep(names)
        return names

    def _ordered(self, name: str) -> bytes:
        oid, at = self.entries[name].oid, self._places[name]
        if oid in self._kept:
            return self._kept[oid]
        if oid not in self._known:
            ahead = _AHEAD if at == self._last + 1 else 1
            wanted = [entry.oid for entry in list(self.entries.values())[at : at + ahead]] if ahead > 1 else [oid]
            self._known = self.git.blobs(wanted)
        self._last = at
        return self._known[oid]


def file_store_at(root: Path, revision: str) -> RevisionStore:
    """The ledger of a folder as it stood in a revision. CaskbookError without git, a repository or that revision."""
    git = open_git(root)
    return RevisionStore(git, revision, git.prefix)
