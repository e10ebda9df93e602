"""What became due by what was entered, and by each setting that changed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from caskbook.cask import Cask
from caskbook.due import judge
from caskbook.house import House
from caskbook.ledger import Ledger
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.record import Record
from caskbook.review.model import Setting, Turned
from caskbook.review.settings import QUIET, Path, as_text, put_in

Due = set[tuple[str, str]]


def due_of(cask: Cask, ledger: Ledger | None, house: House, day: date) -> Due:
    """(cask, rule) for all that is due or blocked for one cask on a day; with `ledger`, over the files joined to it."""
    life = ledger.life_of(cask, day) if ledger is not None else live(cask, house, day)
    verdicts = judge(life, facts_of(life))
    return {(cask.id, verdict.rule) for verdict in verdicts if verdict.verdict in ("due", "blocked")}


def turned(old: Iterable[Record | None], new: Iterable[Record | None], house: House, ledger: Ledger, day: date) -> tuple[tuple[Turned, ...], tuple[Turned, ...]]:
    """What is newly due among these casks, and what no longer, both under the same settings: the effect of the entries alone."""
    before: Due = set().union(*(due_of(record.cask, None, house, day) for record in old if record is not None and record.cask is not None))
    after: Due = set().union(*(due_of(record.cask, ledger, house, day) for record in new if record is not None and record.cask is not None))
    return _turns(after - before), _turns(before - after)


def _turns(pairs: Due) -> tuple[Turned, ...]:
    return tuple(Turned(cask, rule) for cask, rule in sorted(pairs))


def settings_with_effect(old: dict[str, Any], changed: Iterable[tuple[Path, Any, Any]], casks: Iterable[Cask], day: date) -> tuple[Setting, ...]:
    """Each setting with how many casks it alone makes due, or no longer due, all else being as before."""
    listed = list(changed)
    judged = [item for item in listed if item[0][0] not in QUIET]
    counts = _effects(old, judged, list(casks), day) if judged else {}
    return tuple(Setting(".".join(path), as_text(one), as_text(other), *counts.get(path, (0, 0))) for path, one, other in listed)


def _effects(old: dict[str, Any], judged: list[tuple[Path, Any, Any]], casks: list[Cask], day: date) -> dict[Path, tuple[int, int]]:
    before = _due(casks, House(old), day)
    counts = {}
    for path, _, value in judged:
        after = _due(casks, House(put_in(old, path, value)), day)
        newly, gone = {cask for cask, _ in after - before}, {cask for cask, _ in before - after}
        counts[path] = (len(newly), len(gone))
    return counts


def _due(casks: list[Cask], house: House, day: date) -> Due:
    found: Due = set()
    for cask in casks:
        found |= due_of(cask, None, house, day)
    return found
