"""Alterations of what had landed that a later commit put back: told all the same, with the commit that did it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from caskbook.checks.landed import Breach, data_of
from caskbook.checks.landed_attributes import is_undone
from caskbook.checks.landed_beside import house_breaches
from caskbook.checks.landed_settings import BACK_DATED
from caskbook.checks.marks import marks_at
from caskbook.core.days import LAST_DAY
from caskbook.git import Git
from caskbook.git.attributes import FILE
from caskbook.git.walk import FileChange
from caskbook.ledger.changes import ABSENT, CaskChange
from caskbook.ledger.files import HOUSE_FILE
from caskbook.ledger.layout_changes import same
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.revisions.pairs import Pair, Pairs


def put_back(
    pairs: Pairs, pair: Pair, changes: Sequence[FileChange], found: list[Breach], waiting: dict[str, list[int]], commit: str
) -> set[tuple[object, ...]]:
    """Marks the breaches that these changes undo; the facts that are nothing but that undoing."""
    names = {_unit_name(change.path[len(pairs.prefix) :]) for change in changes} | {change.path for change in changes} | ({FILE} if pair.attributes else set())
    open_ones = [n for name in names & waiting.keys() for n in waiting[name] if (made := found[n].finding.origin) is not None and made.put_back is None]
    if not open_ones:
        return set()
    wanted = {found[n].unit[1] for n in open_ones if len(found[n].unit) > 1}
    casks = pairs.of((change for change in changes if Path(change.path).stem in wanted), every=True).casks
    undone: set[tuple[object, ...]] = set()
    for n in open_ones:
        breach = found[n]
        if _marks_back(pairs.git, breach, commit) if breach.unit[0] == "attribute" else _restored(breach, pair, casks, changes):
            made = breach.finding.origin
            assert made is not None
            found[n] = replace(breach, finding=replace(breach.finding, origin=replace(made, put_back=commit)))
            late = breach.unit[0] == BACK_DATED  # a row that goes again is told as one that had landed
            code, unit = ("landed-setting-changed", ("setting", *breach.unit[1:])) if late else (breach.finding.code, breach.unit)
            undone.add((code, unit, repr(breach.new), repr(breach.old)))
    return undone


def lies_in(breach: Breach) -> str:
    """The cask or the file that a breach is in."""
    return {"setting": HOUSE_FILE, BACK_DATED: HOUSE_FILE, "house": HOUSE_FILE, "attribute": FILE}.get(breach.unit[0]) or breach.unit[1]


def _marks_back(git: Git, breach: Breach, commit: str) -> bool:
    """Whether a commit gives a file the attribute again that was switched off for it."""
    path = breach.text.decode("utf-8", "surrogateescape")
    values = marks_at(git, commit, [path.removeprefix(git.prefix)]).values
    return path in values and is_undone(breach, values[path])


def _unit_name(name: str) -> str:
    return Path(name).stem if is_cask_path(name) else name


def _restored(breach: Breach, pair: Pair, casks: Sequence[CaskChange], changes: Sequence[FileChange]) -> bool:
    """Whether these changes give a unit the value again that it had before the breach."""
    kind, name, *rest = (*breach.unit, "", "")
    if kind == "house":
        return pair.house is not None and pair.house[1] == breach.old
    if kind == "mode":
        return any(change.path == name and change.new_mode == breach.old for change in changes)
    if kind in ("setting", BACK_DATED):
        new = pair.house[1] if pair.house is not None else None
        return new is not None and all(one.unit != breach.unit for one in house_breaches("", breach.text, new, LAST_DAY))
    for change in casks:
        if change.name != name:
            continue
        if kind == "field":
            return any(one.id == rest[0] and one.new is not None and same(one.new.get(rest[1], ABSENT), breach.old) for one in (*change.altered, *change.added))
        if kind == "event":
            return any(one.id == rest[0] and same(one.new, breach.old) for one in (*change.altered, *change.added))
        if kind == "head":
            return any(one.key == rest[0] and same(one.new, breach.old) for one in change.head)
        if kind == "file":
            there = data_of(change.added, old=False)
            return all(same(there.get(key), value) for key, value in breach.old.items())
    return False
