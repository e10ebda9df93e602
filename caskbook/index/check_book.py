"""The check of a whole ledger on all cores, and what it found kept for each file until something it looked at changes."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager
from dataclasses import astuple, dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from caskbook.checks import Report, context_of
from caskbook.checks.book_numbers import BookNumbers
from caskbook.checks.check import Part, report_of
from caskbook.checks.donors import Take
from caskbook.checks.vats import Pour
from caskbook.core.finding import Finding, Span
from caskbook.index.check_files import BORNE, UNTOLD, Checked, Open, check_some, claimed, file_named, gaps_text
from caskbook.index.claims import claims_in
from caskbook.index.file_contents import Contents, compare_files, keep_contents, settled_stamp, version_of
from caskbook.index.files_now import files_now
from caskbook.index.house_settings import house_settings
from caskbook.index.needs import key_of
from caskbook.index.refresh import BATCH, Progress, Refresh
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import NoIndex, Store, index_lock, open_store
from caskbook.ledger.files import Ledger
from caskbook.ledger.parallel import FEW, Together, map_files
from caskbook.model.cask_file import name_of
from caskbook.model.joins import Claims, claimants, one_cask
from caskbook.model.untold import Untold, untold

_FEW = 200


@contextmanager
def kept_checks(root: Path, here: Path, *, usable: bool) -> Iterator[tuple[Store | None, int]]:
    """(the index, the number of the house's settings), the index held for writing; (None, 0) where there is none, or it is not `usable`."""
    if not usable:
        yield None, 0
        return
    with ExitStack() as stack:
        try:
            store = stack.enter_context(closing(open_store(root)))
            house = house_settings(store, root, here).number
            stack.enter_context(index_lock(root))
        except (NoIndex, sqlite3.Error):
            yield None, 0
            return
        yield store, house


def check_whole(ledger: Ledger, snapshot: Snapshot, store: Store | None, progress: Progress | None = None) -> Report:
    """The report on a whole ledger; with an index only what it does not know is checked. The caller holds its lock.

    An index that turns out to be damaged is left alone, and everything is checked.
    """
    if store is None:
        return _report(ledger, snapshot, None, progress)
    try:
        return _report(ledger, snapshot, store, progress)
    except sqlite3.Error:
        return _report(ledger, snapshot, None, progress)


def _report(ledger: Ledger, snapshot: Snapshot, store: Store | None, progress: Progress | None) -> Report:
    """The report on a ledger: findings that still hold come from the index, the others are worked out and kept."""
    contents = _contents(store, snapshot) if store is not None else None
    names = ledger.names()
    if contents is not None:
        _share_texts(names, contents.unknown)
    numbers = BookNumbers.of(names)
    context = context_of(ledger, snapshot.day, numbers)
    known = contents.known.whole() if contents is not None else {}
    claims = claims_in(store, known) if store is not None and contents is not None and not contents.unknown else _claims_read(snapshot, names)
    if claims is not None:
        ledger.claims_known = lambda: claims
    parts = _known_parts(store, snapshot, known, numbers, claims) if store is not None and known else {}
    del known
    checked = _checked(snapshot, [name for name in names if name not in parts] if parts else names, numbers, claims, progress)
    if store is not None and contents is not None:
        checked = _kept(store, snapshot, contents, checked)
    shown = ledger.file_store.shown
    found = (_shown(part, shown) for part in _in_order(names, parts, checked))
    return report_of(ledger, context, found, whole=True)


def _share_texts(names: list[str], unknown: Iterable[str]) -> None:
    """Let names, in order, be the very texts that stand in `unknown`, in order too: of a large book no text is held twice."""
    others = iter(unknown)
    other = next(others, None)
    for at, name in enumerate(names):
        while other is not None and other < name:
            other = next(others, None)
        if other == name:
            names[at] = other


def _claims_read(snapshot: Snapshot, names: list[str]) -> Claims | None:
    """Cask → what its file claims, read on all cores, so that no process reads the whole book for itself; None of a small book, in which few ask."""
    if len(names) < FEW:
        return None
    return {cask: bonds for found in map_files(snapshot.open_ledger, names, claimed) for cask, bonds in found.items()}


Known = Part | int
"""What the index holds of a file: of nearly all there is nothing to tell, and only the sign by which a copy is found is kept."""


def _in_order(names: list[str], parts: dict[str, Known], checked: Iterator[Checked]) -> Iterator[Part]:
    """What is known of each file, or comes of its check: these are in the order of the names too. `checked` is used up, for what it keeps it keeps last."""
    for name in names:
        known = parts.get(name)
        part = next(checked).part if known is None else known if isinstance(known, Part) else Part([], sign=known)
        part.file = name  # The text that is held anyway, of a large book.
        yield part
    for one in checked:  # There is none: so its end is reached.
        raise AssertionError(one.name)


def _shown(part: Part, prefix: str) -> Part:
    if not part.findings or not prefix:
        return part
    return replace(part, findings=[replace(found, path=prefix + found.path) for found in part.findings])


def _checked(snapshot: Snapshot, todo: list[str], numbers: BookNumbers, claims: Claims | None, progress: Progress | None) -> Iterator[Checked]:
    task = Open(snapshot.open_ledger, snapshot.day, "", numbers, claims)
    return map_files(task, todo, Together(check_some), progress=partial(progress, len(todo)) if progress else None)


def _contents(store: Store, snapshot: Snapshot) -> Contents:
    files = files_now(snapshot.root)
    contents = compare_files(store, snapshot.root, files)
    if contents.unknown and len(contents.unknown) <= _FEW:
        Refresh(store, snapshot).settle(files, contents)
        contents.unknown.clear()
        contents.changed.clear()
    return contents


def _known_parts(store: Store, snapshot: Snapshot, known: dict[str, int], numbers: BookNumbers, claims: Claims | None) -> dict[str, Known]:
    """Name → findings that the index holds for the day and whose other files are as they were."""
    if claims is None:
        return {}
    day = snapshot.day.toordinal()
    wanted = {version: name for name, version in known.items()}
    of_day = "FROM file_check WHERE house = ? AND from_day <= ? AND until_day > ?"
    # Of nearly all files nothing is told, and nothing else is needed: these are many, and only counted.
    plain = store.execute(f"SELECT version, sign {of_day} AND needs IS NULL AND findings IS NULL AND tally IS NULL", (snapshot.house, day, day))
    found: dict[str, Known] = {wanted[version]: sign for version, sign in plain if version in wanted}
    joined = one_cask(claimants(claims))
    _leave_joined(found, joined, numbers)
    keys = _Keys(store, known, numbers, claims, joined)
    rows = store.execute(
        f"SELECT version, needs, findings, tally, sign {of_day} AND (needs IS NOT NULL OR findings IS NOT NULL OR tally IS NOT NULL) ORDER BY from_day",
        (snapshot.house, day, day),
    ).fetchall()
    for version, needs, findings, tally, sign in rows:
        name = wanted.get(version)
        if name is not None and (needs is None or keys.met(needs)) and (not joined or _judged_so(name, joined, needs)):
            found[name] = _part(findings, tally, sign)
    return found


def _leave_joined(found: dict[str, Known], joined: Mapping[str, tuple[str, ...]], numbers: BookNumbers) -> None:
    """Files of casks that have other files are left to be judged anew: these were judged as though they had none."""
    for number, several in joined.items():
        if len(several) > 1:
            found.pop(file_named(number), None)
    for name in [name for name in found if name_of(name) in joined] if not numbers.odd.isdisjoint(joined) else ():
        del found[name]


def _judged_so(name: str, joined: Mapping[str, tuple[str, ...]], needs: str | None) -> bool:
    """Whether a file was judged as one of all that its cask has: one that had no other then is judged anew."""
    number = name.rpartition("/")[2].removesuffix(".yaml")
    return len(joined.get(number, ())) < 2 or (needs is not None and json.dumps(f"{BORNE}{number}") in needs)


@dataclass
class _Keys:
    store: Store
    known: dict[str, int]
    numbers: BookNumbers
    claims: Claims | None
    joined: dict[str, tuple[str, ...]] | None
    untold: Untold | None = None
    looked_up: dict[str, str | None] = field(default_factory=dict)

    def met(self, needs: str) -> bool:
        casks, files = json.loads(needs)
        return all(self._number(number) == state for number, state in casks.items()) and all(self._of(name) == state for name, state in files.items())

    def _number(self, number: str) -> str | None:
        return self._of(file_named(number)) if number in self.numbers else ""

    def _of(self, name: str) -> str | None:
        if name.startswith(BORNE):
            number = name.removeprefix(BORNE)
            return None if self.joined is None else " ".join(self.joined.get(number, (number,)))
        if name.startswith(UNTOLD):
            return self._untold_of(name.removeprefix(UNTOLD))
        if name not in self.looked_up:
            self.looked_up[name] = key_of(self.store, self.known.get(name))
        return self.looked_up[name]

    def _untold_of(self, number: str) -> str | None:
        """What nobody can tell of the cask of this number; None where that is not known."""
        if self.claims is None or self.joined is None:
            return None
        if self.untold is None:
            self.untold = untold(self.claims)
        return gaps_text([gap for one in self.joined.get(number, (number,)) for gap in self.untold.get(one, ())])


def _part(findings: str | None, tally: str | None, sign: int) -> Known:
    if not findings and not tally:
        return sign
    part = Part([_finding(row) for row in json.loads(findings)] if findings else [], sign=sign)
    if tally:
        takes, joins, poured = json.loads(tally)
        part.takes = [Take(donor, what, count, date.fromisoformat(day), event, cask, row) for donor, what, count, day, event, cask, row in takes]
        part.joins = [tuple(row) for row in joins]
        part.pours = [Pour(vat, date.fromisoformat(day), *rest) for vat, day, *rest in poured]
    return part


def _finding(row: list[Any]) -> Finding:
    code, severity, message, path, span, help_, cask, related, day = row
    return Finding(code, severity, message, path, Span(*span), help_, cask, tuple(related), None, date.fromisoformat(day) if day else None)


def _plain(found: Finding) -> list[Any]:
    """What `_finding` makes the finding of again."""
    span = found.span
    place = (span.line, span.column, span.end_line, span.end_column)
    return [found.code, found.severity, found.message, found.path, place, found.help, found.cask, found.related, found.day and found.day.isoformat()]


def _texts(one: Checked) -> tuple[str | None, str | None, str | None]:
    part = one.part
    needs = json.dumps([one.casks, one.files]) if one.casks or one.files else None
    findings = json.dumps([_plain(found) for found in part.findings], ensure_ascii=False) if part.findings else None
    kept = [[astuple(take) for take in part.takes], part.joins, [astuple(pour) for pour in part.pours]]
    tally = json.dumps(kept, default=str) if any(kept) else None
    return needs, findings, tally


def _kept(store: Store, snapshot: Snapshot, contents: Contents, found: Iterator[Checked]) -> Iterator[Checked]:
    """Keep what comes by, in batches, each whole, with which content its files have; at the end which files are no more."""
    settles = bool(contents.changed or contents.unknown)
    gone = [name for name, version in contents.changed.items() if version is None and name not in contents.unreadable]
    batch: list[Checked] = []
    for one in found:
        batch.append(one)
        if len(batch) >= BATCH:
            _write(store, snapshot, contents, batch, settles)
            batch = []
        yield one
    _write(store, snapshot, contents, batch, settles, gone)
    contents.unknown.clear()


def _write(store: Store, snapshot: Snapshot, contents: Contents, batch: list[Checked], settles: bool, gone: Iterable[str] = ()) -> None:
    """Keep a batch. If it `settles` what files hold, the work tree has a new state with it, so that no answer about the one before is taken for this."""
    with store.transaction():
        for one in batch:
            if one.key is None:
                continue
            version = version_of(store, one.name, one.key, json.dumps(one.joins) if one.joins else None)
            if one.name in contents.unknown:
                contents.known[one.name] = version
                contents.stamps[one.name] = settled_stamp(snapshot.root, one.name, contents.unknown.pop(one.name), one.key)
            row = (version, snapshot.house, snapshot.day.toordinal(), one.until_day, *_texts(one), one.part.sign)
            store.execute("INSERT OR REPLACE INTO file_check VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
        if settles:
            _settle(store, contents, gone)


def _settle(store: Store, contents: Contents, gone: Iterable[str]) -> None:
    """The work tree has a new state. Which files it has is looked at again by whoever asks next: no digest is kept."""
    store.set_meta("state", str(int(store.meta("state") or 0) + 1))
    keep_contents(store, contents, gone, None)
    contents.known.written(contents.stamps)
    contents.stamps.clear()
