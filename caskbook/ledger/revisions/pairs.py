"""What differs of a ledger between two trees, read from the blobs that differ and no others; each pair of blobs is compared once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from caskbook.git import Git
from caskbook.git.walk import GITLINK, LINK, NOWHERE, FileChange, tree_changes
from caskbook.ledger.changes import CaskChange, only_adds
from caskbook.ledger.files import HOUSE_FILE
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.revisions.between import cask_changes
from caskbook.ledger.tracked import OWN_FOLDERS
from caskbook.model.ids import is_id
from caskbook.yaml.document import EVENTS
from caskbook.yaml.fast import fast_data, fast_item, fast_items
from caskbook.yaml.grown import grown

ATTRIBUTES = ".gitattributes"
_MOST_KEPT = 4000
_FIRST = "id"
_PLAIN, _NONE = "100644", "000000"


@dataclass(frozen=True)
class Pair:
    """What differs between two trees: casks that do more than gain entries; house.yaml before and after, where it differs; files of
    the ledger that are no plain files any more; whether `.gitattributes` changed."""

    casks: tuple[CaskChange, ...] = ()
    house: tuple[bytes | None, bytes | None] | None = None
    modes: tuple[FileChange, ...] = ()
    attributes: bool = False


def paths_of(prefix: str, names: Sequence[str] | None) -> tuple[str, ...]:
    """Where git is to look: the ledger at `prefix`, with what may never be in it, or some of its files, and every `.gitattributes` that
    speaks of them."""
    folders = [prefix[: n + 1] for n, sign in enumerate(prefix) if sign == "/"]
    marks = [f"{folder}{ATTRIBUTES}" for folder in ["", *folders]]
    if names is None:
        return (f"{prefix}casks", f"{prefix}{HOUSE_FILE}", *(f"{prefix}{name}" for name in OWN_FOLDERS), *marks)
    below = {f"{prefix}{name[: n + 1]}{ATTRIBUTES}" for name in names for n, sign in enumerate(name) if sign == "/"}
    return (*(f"{prefix}{name}" for name in names), *marks, *sorted(below))


@dataclass
class Pairs:
    """Reads pairs of trees for one ledger of a repository. `shown` is put before the paths of findings."""

    git: Git
    prefix: str
    shown: str = ""
    _blobs: dict[str, bytes] = field(default_factory=dict)
    _data: dict[str, dict[str, Any] | None] = field(default_factory=dict)
    _adds: dict[tuple[str, str], bool] = field(default_factory=dict)
    _ids: dict[str, frozenset[str] | None] = field(default_factory=dict)

    def load(self, changes: Iterable[FileChange]) -> None:
        """Fetches every blob of these changes in one go; those fetched before are let go when they are many."""
        wanted = {oid for change in changes if self._is_read(change.path) for oid in _oids(change)}
        if len(self._blobs) > _MOST_KEPT:
            self._blobs = {oid: data for oid, data in self._blobs.items() if oid in wanted}
            self._data = {oid: data for oid, data in self._data.items() if oid in wanted}
            self._ids = {oid: ids for oid, ids in self._ids.items() if oid in wanted}
        self._blobs |= self.git.blobs(sorted(wanted - self._blobs.keys()))

    def of(self, changes: Iterable[FileChange], *, every: bool = False, layout: bool = False) -> Pair:
        """What these changes do to the ledger; with `layout`, casks that only gained entries are compared too where their text changed besides, with
        `every` all of them."""
        listed = list(changes)
        here = [change for change in listed if change.path.startswith(self.prefix)]
        names = {change.path[len(self.prefix) :]: change for change in here}
        files = {name: change for name, change in names.items() if is_cask_path(name) or name == HOUSE_FILE}
        modes = tuple(change for change in files.values() if _is_odd(change))
        plain = {name: change for name, change in files.items() if change.new_mode not in (LINK, GITLINK) or change.old_mode == _NONE}
        self.load(plain.values())
        house = plain.pop(HOUSE_FILE, None)
        casks = {
            name: (self._text(change.old_oid, change.old_mode), self._text(change.new_oid, change.new_mode))
            for name, change in plain.items()
            if every or not (self._grew(change) or (not layout and self._only_adds(change)))
        }
        return Pair(
            tuple(cask_changes({name: pair for name, pair in casks.items() if pair[0] != pair[1]}, self.shown)),
            None if house is None or house.old_oid == house.new_oid else (self._text(house.old_oid, house.old_mode), self._text(house.new_oid, house.new_mode)),
            modes,
            any(change.path.rpartition("/")[2] == ATTRIBUTES for change in listed),
        )

    def _is_read(self, path: str) -> bool:
        name = path[len(self.prefix) :] if path.startswith(self.prefix) else ""
        return is_cask_path(name) or name == HOUSE_FILE

    def _text(self, oid: str, mode: str) -> bytes | None:
        return None if oid in NOWHERE or mode in (LINK, GITLINK) else self._blobs[oid]

    def _grew(self, change: FileChange) -> bool:
        """Whether a file is what it was, byte for byte, with whole entries behind it, each of an id of its own: nothing is altered then, nor laid out anew."""
        if change.old_oid in NOWHERE or change.new_oid in NOWHERE or (change.old_mode, change.new_mode) != (_PLAIN, _PLAIN):
            return False
        more = grown(self._blobs[change.old_oid], self._blobs[change.new_oid], _FIRST)
        before = self._ids_of(change.old_oid) if more is not None else None
        if more is None or before is None or (ids := _ids_of(more)) is None or before & ids:
            return False
        self._ids[change.new_oid] = before | ids
        return True

    def _ids_of(self, oid: str) -> frozenset[str] | None:
        """The ids of a file's entries; None where it is not written the plain way, or has an id twice."""
        if oid not in self._ids:
            found = fast_items(self._blobs[oid], EVENTS, _FIRST)
            self._ids[oid] = _ids_of(found[1]) if found is not None else None
        return self._ids[oid]

    def _only_adds(self, change: FileChange) -> bool:
        key = (change.old_oid, change.new_oid)
        if change.old_oid == change.new_oid:
            return True
        if change.new_mode == _NONE or change.old_mode in (LINK, GITLINK) or change.old_oid in NOWHERE:
            return False
        if key not in self._adds:
            old, new = self._read(change.old_oid), self._read(change.new_oid)
            self._adds[key] = old is not None and new is not None and only_adds(old, new)
        return self._adds[key]

    def _read(self, oid: str) -> dict[str, Any] | None:
        if oid not in self._data:
            self._data[oid] = fast_data(self._blobs[oid])
        return self._data[oid]


def _ids_of(entries: Sequence[str]) -> frozenset[str] | None:
    """The ids of entries, of which `fast_items` or `grown` gave the texts; None where one is not plain, or two have one id."""
    ids = [text.partition("\n")[0] for text in entries]
    plain = all(map(is_id, ids)) and all(fast_item(text.partition("\n")[2].rstrip("\n"), _FIRST) is not None for text in entries)
    return frozenset(ids) if plain and len(set(ids)) == len(ids) else None


def _oids(change: FileChange) -> list[str]:
    """The blobs on both sides; what a link points at is no text of ours, and another repository's commit is no blob."""
    sides = ((change.old_oid, change.old_mode), (change.new_oid, change.new_mode))
    return [oid for oid, mode in sides if oid not in NOWHERE and mode not in (LINK, GITLINK)]


def odd_modes(git: Git, old: str, new: str, prefix: str) -> tuple[FileChange, ...]:
    """The casks' files and house.yaml of a ledger that are plain files in one tree or commit, and something else in another."""
    changes = tree_changes(git, old, new, f"{prefix}casks", f"{prefix}{HOUSE_FILE}")
    return tuple(one for one in changes if _is_odd(one) and ((name := one.path[len(prefix) :]) == HOUSE_FILE or is_cask_path(name)))


def _is_odd(change: FileChange) -> bool:
    """Whether a file that was there became something other than a plain file."""
    return change.old_mode != _NONE and change.new_mode not in (change.old_mode, _PLAIN, _NONE)
