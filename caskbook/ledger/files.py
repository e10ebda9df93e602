"""A folder of casks: finding it, reading one file or all, and what one cask's file has to do with another's."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path

from caskbook.core.finding import CaskbookError, Finding, NotInBook
from caskbook.ledger.ahead import held_to_today, record_held_to_today
from caskbook.ledger.astray import astray_line, place_of, strays_among, strays_below
from caskbook.ledger.atomic_write import check_plain, read_bytes
from caskbook.ledger.bound_files import BoundFiles
from caskbook.ledger.bound_files import FileStore as FileStore
from caskbook.ledger.closed import is_there, refuse_closed
from caskbook.ledger.folder import HOUSE_FILE as HOUSE_FILE
from caskbook.ledger.folder import find_ledger as find_ledger
from caskbook.ledger.folder import no_ledger_at
from caskbook.ledger.no_casks import NoCasks, no_casks
from caskbook.ledger.other_book import OTHER, is_other_book
from caskbook.ledger.paths import file_of as file_of
from caskbook.ledger.paths import is_cask_id as is_cask_id
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.pending_writes import overlay
from caskbook.ledger.stray import stray_finding
from caskbook.ledger.tracked import LeftOut, gone_line, is_sparse, left_out
from caskbook.life import Life, live_with
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record, read_record
from caskbook.model.house import House
from caskbook.model.house_file import HouseFile, read_house

MAX_FILE = 12_000_000


@dataclass
class Folder:
    """The files of a ledger on disk, several files that were being written included.

    `kept`: what git has beside, of files that the work tree leaves out: it can be read, where that is wanted, but is not named.
    """

    root: Path
    shown: str
    _overlay: dict[str, bytes] = field(default_factory=dict)
    odd: list[Finding] = field(default_factory=list)
    _plain: set[Path] = field(default_factory=set)
    kept: LeftOut | None = None

    def __post_init__(self) -> None:
        self._overlay = overlay(self.root)

    @property
    def waiting(self) -> Mapping[str, bytes]:
        """The cask files of a run that was ended while it wrote them, as it would leave them."""
        return {name: data for name, data in self._overlay.items() if name.startswith("casks/")}

    def names(self) -> Iterator[str]:
        """Cask files by id; what else lies in casks/ goes to `odd`."""
        self.odd.clear()
        found = {name for name in self._overlay if name.startswith("casks/")}
        casks = self.root / "casks"
        if casks.is_symlink():
            self.odd.append(stray_finding(self.shown, "casks", "link"))
        elif casks.is_dir():
            found.update(self._scan(casks))
        yield from sorted(found)

    def _scan(self, casks: Path) -> Iterator[str]:
        """The names of the cask files under casks/, as `casks/DIR/ID.yaml`; what else lies there is noted in `odd`."""
        for folder in _entries(casks):
            if folder.name == ".git":
                self.odd.append(stray_finding(self.shown, f"casks/{folder.name}", "git"))
                continue
            if folder.is_symlink() or not folder.is_dir(follow_symlinks=False):
                self._stray(folder, f"casks/{folder.name}")
                continue
            items = _entries(Path(folder.path))
            if any(item.name == ".git" for item in items):
                other = is_other_book(self.root, f"casks/{folder.name}")
                self.odd.append(stray_finding(self.shown, f"casks/{folder.name}" if other else f"casks/{folder.name}/.git", "submodule" if other else "git"))
                items = [] if other else items
            for item in items:
                name = f"casks/{folder.name}/{item.name}"
                if item.is_symlink() or not is_cask_path(name):
                    self._stray(item, name)
                else:
                    yield name

    def _stray(self, item: os.DirEntry[str], name: str) -> None:
        """Note what is no cask's file; of a folder the files of casks in it."""
        if not item.name.startswith("."):
            inside = strays_below(self.root, name) if item.is_dir(follow_symlinks=False) else []
            self.odd += [stray_finding(self.shown, one, "link" if item.is_symlink() else "file") for one in inside or [name]]

    def read(self, name: str) -> bytes | None:
        """The bytes of a file; None where there is none. CaskbookError where a folder on the way is a link."""
        if name in self._overlay:
            return self._overlay[name]
        path = self.root / name
        folder = path.parent
        if folder not in self._plain:
            if folder != self.root:
                check_plain(self.root, folder)
                if is_other_book(self.root, folder.relative_to(self.root).as_posix()):
                    raise CaskbookError(f"{folder}: {OTHER}")
            self._plain.add(folder)
        if not is_there(path):
            return self.kept.read(name) if self.kept else None
        return read_bytes(path, MAX_FILE)


def _entries(folder: Path) -> list[os.DirEntry[str]]:
    refuse_closed(folder)
    try:
        with os.scandir(folder) as found:
            return sorted(found, key=lambda entry: entry.name)
    except OSError as error:
        raise CaskbookError(f"cannot read {folder.name}/: {error.strerror}") from None


class Ledger(BoundFiles):
    """One ledger. Reading is by need: nothing is read before it is asked for.

    `takers_known`, `vats_known`, `strays_known`: as `claims_known`, the files that may name one of some donors, or any vat, and those that strayed."""

    takers_known: Callable[[Collection[str]], Sequence[str] | None] | None = None
    strays_known: Callable[[], Sequence[str] | None] | None = None
    vats_known: Callable[[], Sequence[str] | None] | None = None

    def __init__(self, file_store: FileStore) -> None:
        super().__init__()
        self.file_store = file_store
        data = file_store.read(HOUSE_FILE)
        if data is None:
            here = f"no {HOUSE_FILE} in {file_store.shown or './'}: make a ledger with `caskbook init`"
            raise CaskbookError(here if isinstance(file_store, Folder) else no_ledger_at(file_store.shown))
        self.house_file: HouseFile = read_house(file_store.shown + HOUSE_FILE, data)

    @property
    def house(self) -> House:
        """The house's settings."""
        return self.house_file.house

    def names(self) -> list[str]:
        """Relative paths of all cask files, in order of id."""
        return list(self.file_store.names())

    def ids(self) -> list[str]:
        """Ids by file name."""
        return [Path(name).stem for name in self.names()]

    def read_file(self, name: str) -> Record:
        """One cask file by its relative path; an unreadable one is a record with a finding."""
        record = self._record(name)
        if record is None:
            raise CaskbookError(f"no file {self.file_store.shown}{name}")
        return record

    def find(self, cask_id: str) -> Record | None:
        """One cask by id, None where the book has none."""
        return self._record(file_of(cask_id))

    def _record(self, name: str) -> Record | None:
        shown = self.file_store.shown + name
        try:
            data = self.file_store.read(name)
        except CaskbookError as error:
            return _unreadable(shown, str(error))
        return None if data is None else record_held_to_today(read_record(shown, data), self.today)

    def get(self, cask_id: str) -> Record:
        """One cask by id; CaskbookError where the book has none."""
        record = self.find(cask_id)
        if record is None or (record.cask is None and self.gone is not None):
            raise self.lacks(cask_id)
        return record

    @cached_property
    def gone(self) -> NoCasks | None:
        """Why no cask lies in the folder where git knows some; None where casks do. To be asked where one was not found."""
        return no_casks(self.file_store.root) if isinstance(self.file_store, Folder) else None

    @cached_property
    def strays(self) -> Sequence[str]:
        """Files of casks that strayed within casks/, and are not read."""
        if isinstance(self.file_store, Folder):
            known = self.strays_known() if self.strays_known is not None else None
            return strays_among(self.file_store.root) if known is None else known
        return getattr(self.file_store, "strays", ())

    def astray(self, cask_id: str) -> str:
        """That the file of a cask, which is not at its place, lies in another, and how to bring it back; empty where it lies nowhere."""
        if not isinstance(self.file_store, Folder) or not is_cask_id(cask_id):
            return ""
        place = place_of(self.file_store.root, cask_id, self.strays)
        return astray_line(self.file_store.root, cask_id, place) if place else ""

    def absent(self, cask_id: str) -> str:
        """That the book has no such cask, and which ones may be meant."""
        from caskbook.ledger.nearest_numbers import nearest_numbers  # It is wanted only for a slip.

        if self.gone is not None:
            return f"{cask_id} is not here: {self.gone}"
        if line := self.astray(cask_id):
            return line
        if isinstance(self.file_store, Folder) and is_cask_id(cask_id) and (line := gone_line(self.file_store.root, file_of(cask_id), cask_id)):
            return line
        near = nearest_numbers(self.file_store.root / "casks", cask_id) if isinstance(self.file_store, Folder) else []
        return f"{cask_id} is not in the book" + (f": did you mean {', '.join(near)}?" if near else "")

    def lacks(self, cask_id: str) -> CaskbookError:
        """The same as a fault; `NotInBook` where nothing is gone, neither all casks nor this one."""
        text = self.absent(cask_id)
        return NotInBook(text) if text.startswith(f"{cask_id} is not in the book") else CaskbookError(text)

    def records(self, names: Iterable[str] | None = None) -> Iterator[Record]:
        """All casks, or those of these files, in order."""
        for name in self.names() if names is None else names:
            yield self.read_file(name)

    def life_of(self, cask: Cask, day: date, house: House | None = None, *, judged: bool = False, faults: bool = True) -> Life:
        """The life of a cask on a day, with the files that were joined to it; under the settings of another house where one is given.
        `judged` as `joined_to` takes it, `faults` as `live` does."""
        beside = self.joined_to(cask, judged=judged)
        cask, house = held_to_today(cask, self.today), self.house if house is None else house
        return live_with(cask, house, day, beside.casks, beside.numbers, beside.untold, faults=faults)

    def leaves_out(self, number: str) -> bool:
        """Whether the book has this cask, and a sparse checkout leaves its file out of the work tree."""
        folder = getattr(self.file_store, "file_store", self.file_store)
        return isinstance(folder, Folder) and is_sparse(folder.root) and left_out(folder.root, file_of(number))

    @cached_property
    def _left_out(self) -> LeftOut | None:
        folder = getattr(self.file_store, "file_store", self.file_store)
        return LeftOut(folder.root) if isinstance(folder, Folder) and is_sparse(folder.root) else None

    def find_left_out(self, number: str) -> Record | None:
        """A cask whose file a sparse checkout leaves out of the work tree, as git has it; None where it leaves out none of that number."""
        shown = self.file_store.shown + file_of(number)
        try:
            data = self._left_out.read(file_of(number)) if self._left_out else None
        except CaskbookError as error:  # A partial clone may lack its content.
            return _unreadable(shown, str(error))
        return None if data is None else record_held_to_today(read_record(shown, data), self.today)


def _unreadable(shown: str, why: str) -> Record:
    record = read_record(shown, b"")
    said, help_ = why.rpartition(": ")[2][:200], "give the file its permissions back, or restore it"
    return replace(record, findings=(Finding("unreadable-file", "error", said, shown, help=help_, cask=record.name),))


def open_folder(root: Path, here: Path) -> Ledger:
    """The ledger in a folder, its paths shown relative to `here`."""
    return Ledger(Folder(root, shown_prefix(root, here)))


def shown_prefix(root: Path, here: Path) -> str:
    """What is put before a path in the ledger to show it as seen from `here`."""
    try:
        shown = os.path.relpath(root.resolve(), here.resolve())
    except ValueError:
        shown = str(root)
    return "" if shown == "." else shown.replace(os.sep, "/") + "/"
