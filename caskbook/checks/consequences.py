"""Which faults of the fold follow from an earlier one: a single missing entry makes a whole row of later ones impossible."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.core.finding import Fault
from caskbook.life import Life
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import EMPTY, FILLED
from caskbook.words.job_table import jobs_with

# This is what each fault takes the cask for; two of one kind with nothing between them that bears it out have one cause.
_TAKEN_FOR = {
    "fill-of-full-cask": "full", "job-on-full-cask": "full", "job-on-empty-cask": "empty",
    "fire-on-closed-cask": "closed", "job-needs-open-cask": "closed", "head-not-out": "closed",
    "fill-of-open-cask": "open", "job-needs-whole-cask": "open", "head-already-out": "open",
    "job-on-away-cask": "away", "job-on-missing-cask": "missing", "job-on-gone-cask": "gone",
}  # fmt: skip
_LIQUOR = jobs_with("liquor-in", "liquor-out")
_HEADS = jobs_with("heads")
_WHEREABOUTS = jobs_with("whereabouts")


def first_of_each(life: Life) -> list[Fault]:
    """The life's faults without those that follow from an earlier one.

    A missing emptying makes the examination, the opening and the filling after it impossible: the first of them is told.
    An entry between them that was possible only on a full cask shows that it was full, and the next fault is one of its own.
    """
    if sum(fault.code in _TAKEN_FOR for fault in life.faults) < 2:
        return life.faults
    by_row: dict[int | str, list[Fault]] = {}
    for fault in life.faults:
        by_row.setdefault(fault.where[1], []).append(fault)
    told: list[Fault] = []
    doubted: set[str] = set()
    for event, row in _in_order(life):
        faults = by_row.get(row, [])
        kinds = {_TAKEN_FOR[fault.code] for fault in faults if fault.code in _TAKEN_FOR}
        for fault in faults:
            kind = _TAKEN_FOR.get(fault.code)
            if kind is None or kind not in doubted:
                told.append(fault)
            if kind is not None:
                doubted.add(kind)
        doubted -= _settled(event, kinds)
    return told


def _in_order(life: Life) -> Iterable[tuple[Event, int]]:
    fallen = life.corrections.fallen
    pairs = [pair for pair in zip(life.cask.events, life.cask.rows, strict=True) if pair[0].id not in fallen and pair[0].date <= life.day]
    return sorted(pairs, key=lambda pair: (pair[0].date, pair[0].id))


def _settled(event: Event, kinds: set[str]) -> set[str]:
    """What the cask is no longer doubted to be after this event: it was borne out, or changed."""
    settled: set[str] = set()
    if event.job in _LIQUOR:
        settled |= {"full", "empty"}
    if not kinds:
        need = event.need
        settled |= {"full"} if need.contents == FILLED else {"empty"} if need.contents == EMPTY else set()
        settled |= {"open"} if need.form == ("open",) else {"closed"} if need.form == ("whole",) else set()
        settled |= {"open", "closed"} if event.job in _HEADS else set()
        settled |= {"away", "missing"} if event.job in _WHEREABOUTS else set()
    return settled
