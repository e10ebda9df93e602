"""The check of a whole ledger on all cores, and what it found kept for each file until something it looked at changes."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import astuple, dataclass, replace
from datetime import date
from functools import partial
from typing import Any

from caskbook.checks import Report, context_of
from caskbook.checks.check import Part, report_of
from caskbook.checks.donors import Take
from caskbook.core.finding import Finding, Span
from caskbook.index.check_files import Checked, Open, check_some, file_named
from caskbook.index.file_contents import Places, keep, look, meta, set_meta, settled_stamp, version_of
from caskbook.index.files_now import work_tree
from caskbook.index.question import Asked, open_asked
from caskbook.index.refresh import BATCH, Progress, settle
from caskbook.index.rivals import claimants_in
from caskbook.index.store import transaction
from caskbook.ledger.files import Ledger
from caskbook.ledger.parallel import Together, map_files
from caskbook.model.cask_file import name_of
from caskbook.model.joins import Claimants

_FEW = 200


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
    """The report on a ledger: findings that still hold come from the index, the others are worked out and kept."""
    names = ledger.names()
    context = context_of(ledger, asked.day, names)
    places = _places(store, asked) if store is not None else None
    parts = _known_parts(store, asked, places.known.whole(), names) if store is not None and places is not None else {}
    todo = [name for name in names if name not in parts]
    claimants = claimants_in(store, places.known.whole()) if store is not None and places is not None and not places.unknown else None
    checked = _checked(asked, todo, names, claimants, progress)
    if store is not None and places is not None:
        checked = _kept(store, asked, places, checked)
    fresh = {one.name: _lean(one.part) for one in checked}
    shown = ledger.file_store.shown
    found = (_shown(parts.get(name) or fresh[name], shown) for name in names)
    return report_of(ledger, context, found, whole=True)


_NOTHING = Part([])


def _lean(part: Part) -> Part:
    """Of nearly all files there is nothing to tell: one part is kept for all of them."""
    return part if part.findings or part.takes or part.joins else _NOTHING


def _shown(part: Part, prefix: str) -> Part:
    if not part.findings or not prefix:
        return part
    return Part([replace(found, path=prefix + found.path) for found in part.findings], part.takes, part.joins)


def _checked(asked: Asked, todo: list[str], names: list[str], claimants: Claimants | None, progress: Progress | None) -> Iterator[Checked]:
    task = Open(partial(open_asked, asked.root, asked.here, asked.revision), asked.day, "", names, claimants)
    return map_files(task, todo, Together(check_some), progress=partial(progress, len(todo)) if progress else None)


def _places(store: sqlite3.Connection, asked: Asked) -> Places:
    tree = work_tree(asked.root)
    places = look(store, asked.root, tree)
    if places.unknown and len(places.unknown) <= _FEW:
        settle(store, asked, tree, places)
        places.unknown.clear()
        places.changed.clear()
    return places


def _known_parts(store: sqlite3.Connection, asked: Asked, known: dict[str, int], names: list[str]) -> dict[str, Part]:
    """Name → findings that the index holds for the day and whose other files are as they were."""
    day = asked.day.toordinal()
    wanted = {version: name for name, version in known.items()}
    numbers = set(map(name_of, names))
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
        return self._of(file_named(number)) if number in self.numbers else ""

    def _of(self, name: str) -> str | None:
        version = self.known.get(name)
        return None if version is None else str(self.store.execute("SELECT key FROM version WHERE id = ?", (version,)).fetchone()[0])


def _part(findings: str | None, tally: str | None) -> Part:
    if not findings and not tally:
        return _NOTHING
    part = Part([_finding(row) for row in json.loads(findings)] if findings else [])
    if tally:
        takes, joins = json.loads(tally)
        part.takes = [Take(donor, what, count, date.fromisoformat(day), event, cask, row) for donor, what, count, day, event, cask, row in takes]
        part.joins = [tuple(row) for row in joins]
    return part


def _finding(row: list[Any]) -> Finding:
    code, severity, message, path, span, help_, cask, related = row
    return Finding(code, severity, message, path, Span(*span), help_, cask, tuple(related))


def _plain(found: Finding) -> list[Any]:
    """What `_finding` makes the finding of again."""
    span = found.span
    place = (span.line, span.column, span.end_line, span.end_column)
    return [found.code, found.severity, found.message, found.path, place, found.help, found.cask, found.related]


def _texts(one: Checked) -> tuple[str | None, str | None, str | None]:
    part = one.part
    needs = json.dumps([one.casks, one.files]) if one.casks or one.files else None
    findings = json.dumps([_plain(found) for found in part.findings], ensure_ascii=False) if part.findings else None
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
