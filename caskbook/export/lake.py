"""The states of an export's folder: the new one is built beside the current one, of links to the files that stay, and takes its place by one rename.

`event`, `cask` and the others are links to `.caskbook-export/current/…`, and `current` a link to one state. So whoever reads by them
sees all of the old state or all of the new one, whenever the export ends or is ended. The state before stays until the next export has ended: who
resolved `current` before an export reads on in it.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import Any

from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.export.held import OWN, own_digest
from caskbook.export.place import BEFORE, CURRENT, KEPT, LINKS, LOCK, MANIFEST, STATES, leads_to
from caskbook.ledger.machine import new_token

try:
    import fcntl
except ImportError:  # no such locks here: two exports at once may then do each other's work again
    fcntl = None  # type: ignore[assignment]

SEEN = "seen"
"""The folder of a state that says which entries it was made of; no table, and no link leads there."""
Manifest = dict[str, Any]
_SAID = ("schema", "format", "name", "ledger", "as_of", "inputs")
_PART = re.compile(r"part-(\d{3}-)?[0-9a-f]{16}\.\w+")


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """The folder, made where it is missing, is written by one export at a time. CaskbookError where another one is at it, or it cannot be written."""
    kept = folder / KEPT
    try:
        (kept / STATES).mkdir(parents=True, exist_ok=True)
        handle = os.open(kept / LOCK, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o666)
    except OSError as error:
        raise CaskbookError(f"cannot write into {folder}: {error.strerror}") from None
    try:
        if fcntl is not None:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                raise CaskbookError(f"another export is writing into {folder}: wait for it, and try again") from None
        yield
    finally:
        os.close(handle)


def current_state(folder: Path) -> Path | None:
    """The state that readers see; None before the first export has ended."""
    link = folder / KEPT / CURRENT
    return folder / KEPT / link.readlink() if link.is_symlink() else None


def manifests(folder: Path) -> tuple[dict[str, Manifest], list[str]]:
    """(ledger → what was said of its export; the ledgers whose manifest is not as an export wrote it)."""
    state = current_state(folder)
    found = sorted((state / MANIFEST).glob("*.json")) if state is not None else []
    said = {path.stem: _read(path) for path in found}
    return {ledger: made for ledger, made in said.items() if made is not None}, [ledger for ledger, made in said.items() if made is None]


def _read(path: Path) -> Manifest | None:
    """What a manifest says; None where it is not as an export wrote it, or a path in it is none of a state: nothing is kept that would be put elsewhere."""
    made = read_json(path)
    try:
        names = [Path(one["path"]) for one in made["files"]]
        inside = all(len(name.parts) > 1 and name.parts[0] in LINKS and ".." not in name.parts for name in names)
        return made if inside and {*_SAID} <= made.keys() and made["ledger"] == path.stem and made.get(OWN) in (None, own_digest(made)) else None
    except (TypeError, KeyError, AttributeError):
        return None


def read_json(path: Path) -> Any:
    """Data that an export wrote; None where it cannot be read any more."""
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None


def read_lines(path: Path) -> Iterator[Any]:
    """Data that an export wrote a line each. ValueError, OSError or RecursionError where it cannot be read any more."""
    with path.open(encoding="utf-8") as file:
        yield from map(json.loads, file)


def under_name(made: Manifest, ledger: str) -> Manifest:
    """A manifest as though its ledger had been called so; each file has the path where it still lies (`was`)."""
    old = f"/ledger={made['ledger']}/"
    return {**made, "files": [{**one, "path": one["path"].replace(old, f"/ledger={ledger}/", 1), "was": one["path"]} for one in made["files"]]}


class NewState:
    """A state that is being built. What is not put into it, or kept, is not in it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.old = folder, current_state(folder)
        self.path = folder / KEPT / STATES / new_token()[:16]
        self.path.mkdir()

    def keep(self, name: str, was: str = "") -> None:
        """A file of the current state stays as it is: the same file, under one more name; `was`: its path there, where it is another."""
        assert self.old is not None
        before = self.old / (was or name)
        target = self.path / name
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(before, target, follow_symlinks=False)
        except OSError:  # A disk that knows no second names takes a copy.
            shutil.copy2(before, target, follow_symlinks=False)

    def keep_others(self, ledgers: Collection[str]) -> None:
        """All files of other ledgers than these stay as they are."""
        own = {f"ledger={ledger}" for ledger in ledgers}
        for at, _, names in os.walk(self.old or self.path):
            inside = Path(at).relative_to(self.old or self.path)
            mine = bool(own & set(inside.parts))
            for name in names:
                if not mine and name.rpartition(".")[0] not in ledgers and not Path(at, name).is_symlink():
                    self.keep(str(inside / name))

    def keep_strange(self, ledger: str, own: Collection[str] | None) -> None:
        """What somebody else put among the files of a ledger stays; `own`: those that an export put there, None where only their names tell."""
        for name in LINKS if self.old is not None else ():
            assert self.old is not None
            for path in (self.old / name / f"ledger={ledger}").rglob("*"):
                inside = str(path.relative_to(self.old))
                mine = _PART.fullmatch(path.name) if own is None else inside in own
                if path.is_file() and not path.is_symlink() and not mine:
                    self.keep(inside)

    def put_json(self, name: str, data: Any, indent: int | None = None) -> None:
        """Data goes into a file of the state. `indent`: for people to read, which takes many times as long to write."""
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(data, indent=indent, ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8")
        make_last(path)

    def put_lines(self, name: str, lines: Iterable[Any]) -> None:
        """The same a line each, of which no more than one is held as text at once."""
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("w", encoding="utf-8") as file:
            file.writelines(json.dumps(line, ensure_ascii=False, sort_keys=True) + "\n" for line in lines)
        make_last(path)

    def take_place(self) -> None:
        """This state is the current one, from one rename on; what is no longer current goes."""
        for name in LINKS:
            link = self.folder / name
            if not link.is_symlink():
                link.symlink_to(leads_to(name))
        for at, folders, _ in os.walk(self.path):
            for name in (".", *folders):
                make_last(Path(at, name))
        kept = self.folder / KEPT
        if self.old is not None:
            _lead(kept, BEFORE, self.old.name)
        with outcome.whole():
            _lead(kept, CURRENT, self.path.name)
            outcome.note([str(self.folder)])
        make_last(kept)
        clear(self.folder)


def _lead(kept: Path, name: str, state: str) -> None:
    """A link leads to a state, from one rename on."""
    beside = kept / f"{name}.new"
    beside.unlink(missing_ok=True)
    beside.symlink_to(Path(STATES, state))
    beside.replace(kept / name)


def clear(folder: Path) -> None:
    """What earlier exports left that did not end goes, and states before the last two: who began to read the one before last may still be at it.
    The caller holds the lock."""
    kept = folder / KEPT
    for name in (CURRENT, BEFORE):
        (kept / f"{name}.new").unlink(missing_ok=True)
    for state in _states_gone(kept):
        shutil.rmtree(state, ignore_errors=True)


def left_over(folder: Path) -> bool:
    """Whether an export that was ended left anything."""
    kept = folder / KEPT
    return any((kept / f"{name}.new").is_symlink() for name in (CURRENT, BEFORE)) or bool(_states_gone(kept))


def _states_gone(kept: Path) -> list[Path]:
    """The states that are neither the current one nor the one before."""
    stay = {link.readlink().name for link in (kept / CURRENT, kept / BEFORE) if link.is_symlink()}
    return [state for state in (kept / STATES).iterdir() if state.name not in stay]


def make_last(path: Path) -> None:
    """What was written there outlasts a loss of power."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
