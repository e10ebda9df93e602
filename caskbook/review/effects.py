"""What became due by what was entered, and by each setting that changed."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.cask import Cask
from caskbook.due import pressing
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
    return {(cask.id, rule) for rule in pressing(life, facts_of(life))}


def turned(old: Iterable[Record | None], new: Iterable[Record | None], house: House, ledger: Ledger, day: date) -> tuple[tuple[Turned, ...], tuple[Turned, ...]]:
    """What is newly due among these casks, and what no longer, both under the same settings: the effect of the entries alone."""
    before: Due = set().union(*(due_of(record.cask, None, house, day) for record in old if record is not None and record.cask is not None))
    after: Due = set().union(*(due_of(record.cask, ledger, house, day) for record in new if record is not None and record.cask is not None))
    return _turns(after - before), _turns(before - after)


def _turns(pairs: Due) -> tuple[Turned, ...]:
    return tuple(Turned(cask, rule) for cask, rule in sorted(pairs))


@dataclass
class _Trial:
    """One setting changed, all else being as before, and how many casks that makes due, or no longer due."""

    path: Path
    house: House
    newly: int = 0
    no_longer: int = 0

    def concerns(self, cask: Cask) -> bool:
        """Whether the setting can have to do with the cask: those of a type, or of a supplier, only with its own."""
        of = {"types": cask.head.type, "suppliers": cask.head.supplier}.get(self.path[0])
        return self.path[0] not in ("types", "suppliers") or len(self.path) == 1 or self.path[1] == of


def settings_with_effect(old: dict[str, Any], changed: Iterable[tuple[Path, Any, Any]], casks: Iterable[Cask], day: date, wrong: Collection[Path] = ()) -> tuple[Setting, ...]:
    """(`wrong`: settings of which a value cannot be read, and nothing can be reckoned.) Each setting with how many casks it alone makes due, or no longer due, all else being as before."""
    listed = list(changed)
    trials = [_Trial(path, House(put_in(old, path, value))) for path, _, value in listed if not _is_quiet(path) and path not in wrong]
    house = House(old)
    for cask in casks if trials else ():
        _try(cask, house, trials, day)
    counts = {trial.path: (trial.newly, trial.no_longer) for trial in trials}
    return tuple(Setting(".".join(path), as_text(one), as_text(other), *counts.get(path, (0, 0))) for path, one, other in listed)


def _is_quiet(path: Path) -> bool:
    return path[0] in QUIET or path[:2] == ("due", "loss")


def _try(cask: Cask, house: House, trials: Iterable[_Trial], day: date) -> None:
    """Each trial on one cask. The fold reads no due settings, so under these the life is the same, judged otherwise."""
    life = live(cask, house, day)
    if not life.begun or life.state.form == "gone":
        return
    facts = facts_of(life)
    before = pressing(life, facts)
    for trial in trials:
        if trial.concerns(cask):
            tried = replace(life, house=trial.house) if trial.path[0] == "due" else live(cask, trial.house, day)
            after = pressing(tried, facts if trial.path[0] == "due" else facts_of(tried))
            trial.newly += bool(after - before)
            trial.no_longer += bool(before - after)
