"""The check of a whole ledger on all cores, and what it found kept for each file until something it looked at changes."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import astuple, dataclass, replace
from datetime import date
from functools import partial
from pathlib import PurePosixPath
from typing import Any

from caskbook.bulk import map_files
from caskbook.days import add_days
from caskbook.finding import CaskbookError, Finding, Span
from caskbook.index.asked import Asked, open_asked
from caskbook.index.places import Places, keep, look, meta, set_meta, settled_stamp, version_of
from caskbook.index.refresh import BATCH, Progress, settle
from caskbook.index.schema import NEVER
from caskbook.index.store import transaction
from caskbook.index.trees import work_tree
from caskbook.index.worker import UNREADABLE, Logged, joins_of
from caskbook.ledger import Ledger, file_of
from caskbook.rules import Context, Report, context_of
from caskbook.rules.check import Part, check_part, report_of
from caskbook.rules.context import Peer
from caskbook.rules.donors import Take

_FEW = 200


@dataclass(slots=True)
class Noted(Context):
    """A context that notes which other casks a rule looked at."""

    asked: dict[str, None] | None = None

    def peer(self, number: str) -> Peer | None:
        """Another cask, None where the book has none of that number."""
        if self.asked is not None:
            self.asked[number] = None
        return Context.peer(self, number)


@dataclass
class Bench:
    """What each process has: the ledger, a note of what was read, and the contents of other files by name."""

    ledger: Ledger
    shelf: Logged
    context: Noted
    keys: dict[str, str | None]


@dataclass(frozen=True)
class Open:
    """Opens a ledger for checking in each process."""

    open_ledger: Callable[[], Ledger]
    day: date
    like: str

    def __call__(self) -> Bench:
        ledger = self.open_ledger()
        shelf = Logged(ledger.shelf, self.like)
        ledger.shelf = shelf
        plain = context_of(ledger, self.day)
        return Bench(ledger, shelf, Noted(plain.house, plain.today, plain.find, plain.known), {})


@dataclass(slots=True)
class Checked:
    """One file: the name of the content read (None: cannot be read), what was found, until when that stands, and the other files
    it depends on (`casks`: number → content, empty for a number there is none of; `files`: name → content)."""

    name: str
    key: str | None
    part: Part
    until_day: int
    casks: dict[str, str | None]
    files: dict[str, str | None]
    joins: list[str]


def check_one(bench: Bench, name: str) -> Checked:
    """Check one file."""
    shelf, context = bench.shelf, bench.context
    shelf.seen.clear()
    context.asked = {}
    record = bench.ledger.read_file(name)
    key = shelf.seen.pop(name, None)
    part = check_part(bench.ledger, record, context)
    bench.keys.update(shelf.seen)
    casks = {number: _state(bench, number) for number in context.asked}
    files = {one: state for one, state in shelf.seen.items() if one not in {_file(number) for number in casks}}
    joins = joins_of(record, bench.ledger.house)
    number = [record.cask.id, *joins] if record.cask is not None and joins else []
    return Checked(name, None if key == UNREADABLE else key, _relative(part, len(shelf.shown)), _until(record.cask, bench, bool(joins)), casks, files, number)


def _file(number: str) -> str:
    try:
        return file_of(number)
    except CaskbookError:
        return ""


def _state(bench: Bench, number: str) -> str | None:
    if not bench.context.known(number):
        return ""
    return bench.keys.get(_file(number))


def _relative(part: Part, prefix: int) -> Part:
    return Part([replace(found, path=found.path[prefix:]) for found in part.findings], part.takes, part.joins)


def _until(cask: Any, bench: Bench, joined: bool) -> int:
    """The first later day on which the findings may be others: an entry of the future is told with the day it is."""
    day = bench.context.today
    if cask is None:
        return NEVER
    if joined or any(event.date > day for event in cask.events):
        return add_days(day, 1).toordinal()
    return min((start.toordinal() for start in bench.ledger.house.starts if start > day), default=NEVER)


def check_whole(ledger: Ledger, asked: Asked, store: sqlite3.Connection | None, progress: Progress | None = None) -> Report:
    """The report on a whole ledger; with an index only what it does not know is checked. The caller holds its lock.

    An index that turns out to be damaged is left alone, and everything is checked.
    """
    if store is None:
        return _report(ledger, asked, None, progress)
    try:
        return _report(ledger, asked, store, progress)
    except sqlite3.Error:
        return _report(ledger, asked, None, progress)


def _report(ledger: Ledger, asked: Asked, store: sqlite3.Connection | None, progress: Progress | None) -> Report:
    context = context_of(ledger, asked.day)
    names = ledger.names()
    places = _places(store, asked) if store is not None else None
    parts = _known_parts(store, asked, places.known.whole(), names) if store is not None and places is not None else {}
    todo = [name for name in names if name not in parts]
    checked = _checked(asked, todo, progress)
    if store is not None and places is not None:
        checked = _kept(store, asked, places, checked)
    fresh = {one.name: one.part for one in checked}
    shown = ledger.shelf.shown
    found = (_shown(parts.get(name) or fresh[name], shown) for name in names)
    return report_of(ledger, context, found, whole=True)


def _shown(part: Part, prefix: str) -> Part:
    return Part([replace(found, path=prefix + found.path) for found in part.findings], part.takes, part.joins)


def _checked(asked: Asked, names: list[str], progress: Progress | None) -> Iterator[Checked]:
    task = Open(partial(open_asked, asked.root, asked.here, asked.revision), asked.day, "")
    return map_files(task, names, check_one, progress=partial(progress, len(names)) if progress else None)


def _places(store: sqlite3.Connection, asked: Asked) -> Places:
    tree = work_tree(asked.root)
    places = look(store, asked.root, tree)
    if places.unknown and len(places.unknown) <= _FEW:
        settle(store, asked, tree, places)
        places.unknown.clear()
        places.changed.clear()
    return places


def _known_parts(store: sqlite3.Connection, asked: Asked, known: dict[str, int], names: list[str]) -> dict[str, Part]:
    day = asked.day.toordinal()
    wanted = {version: name for name, version in known.items()}
    numbers = {PurePosixPath(name).stem for name in names}
    found: dict[str, Part] = {}
    rows = store.execute(
        "SELECT version, needs, findings, tally FROM verdict_on WHERE house = ? AND from_day <= ? AND until_day > ? ORDER BY from_day",
        (asked.house, day, day),
    ).fetchall()
    keys = _Keys(store, known, numbers)
    for version, needs, findings, tally in rows:
        name = wanted.get(version)
        if name is not None and (needs is None or keys.met(needs)):
            found[name] = _part(findings, tally)
    return found


@dataclass
class _Keys:
    store: sqlite3.Connection
    known: dict[str, int]
    numbers: set[str]

    def met(self, needs: str) -> bool:
        casks, files = json.loads(needs)
        return all(self._number(number) == state for number, state in casks.items()) and all(self._of(name) == state for name, state in files.items())

    def _number(self, number: str) -> str | None:
        return self._of(_file(number)) if number in self.numbers else ""

    def _of(self, name: str) -> str | None:
        version = self.known.get(name)
        return None if version is None else str(self.store.execute("SELECT key FROM version WHERE id = ?", (version,)).fetchone()[0])


def _part(findings: str | None, tally: str | None) -> Part:
    part = Part([_finding(row) for row in json.loads(findings)] if findings else [])
    if tally:
        takes, joins = json.loads(tally)
        part.takes = [Take(donor, what, count, date.fromisoformat(day), event, cask, row) for donor, what, count, day, event, cask, row in takes]
        part.joins = [tuple(row) for row in joins]
    return part


def _finding(row: list[Any]) -> Finding:
    code, severity, message, path, span, help_, cask, related = row
    return Finding(code, severity, message, path, Span(*span), help_, cask, tuple(related))


def _texts(one: Checked) -> tuple[str | None, str | None, str | None]:
    part = one.part
    needs = json.dumps([one.casks, one.files]) if one.casks or one.files else None
    findings = json.dumps([astuple(found) for found in part.findings], ensure_ascii=False) if part.findings else None
    tally = json.dumps([[astuple(take) for take in part.takes], part.joins], default=str) if part.takes or part.joins else None
    return needs, findings, tally


def _kept(store: sqlite3.Connection, asked: Asked, places: Places, found: Iterator[Checked]) -> Iterator[Checked]:
    """Keep what comes by, in batches, each whole; and at the end which content each file has."""
    batch: list[Checked] = []
    for one in found:
        batch.append(one)
        if len(batch) >= BATCH:
            _write(store, asked, places, batch)
            batch = []
        yield one
    _write(store, asked, places, batch)
    if places.changed or places.unknown:
        _settle(store, places)


def _write(store: sqlite3.Connection, asked: Asked, places: Places, batch: list[Checked]) -> None:
    with transaction(store):
        for one in batch:
            if one.key is None:
                continue
            version = version_of(store, one.name, one.key, json.dumps(one.joins) if one.joins else None)
            if one.name in places.unknown:
                places.known[one.name] = version
                places.stamps[one.name] = settled_stamp(asked.root, one.name, places.unknown[one.name], one.key)
            row = (version, asked.house, asked.day.toordinal(), one.until_day, *_texts(one))
            store.execute("INSERT OR REPLACE INTO verdict_on VALUES (?, ?, ?, ?, ?, ?, ?)", row)


def _settle(store: sqlite3.Connection, places: Places) -> None:
    """The work tree has a new state. Which files it has is looked at again by whoever asks next: no digest is kept."""
    gone = [name for name, version in places.changed.items() if version is None and name not in places.unreadable]
    with transaction(store):
        set_meta(store, "state", str(int(meta(store, "state") or 0) + 1))
        keep(store, places, gone, None)
