"""Litres and strengths told of what is in a cask where no other rule looks: of wine, and of each part of a racking."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.life.needs import WINE_ABV, WINE_ABV_HARD
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.words import is_wine
from caskbook.words.job_table import JOB_TABLE, jobs_with

# This is the range of % vol of spirit, as the single figures of other jobs are judged: common practice, no source.
_SPIRIT_ABV = (20.0, 95.0)
_BRINGS = jobs_with("brings-liquor")
_SHARES = {row.job: row.shares for row in JOB_TABLE.values() if row.shares}
_MOVED = tuple(job for job in (*jobs_with("carries-alcohol"), "receive", "season") if job not in ("fill", "empty"))
# Litres at two temperatures, and two measures, may differ by so much.
_ROUGH = 1.01


def of_wine(view: View, event: Event) -> bool:
    """Whether an entry speaks of wine: of what the cask held, or of what comes into it."""
    words = (getattr(event, "spirit", None), getattr(event, "contents", None)) if event.job in _BRINGS else ()
    return event.id in view.life.on_wine or any(is_wine(word, view.on(event.date).wine_words) for word in words if word)


def shares(view: View) -> Iterable[Fault]:
    """The strength of each part of a racking, judged as a single one is; `implausible-value`, and `out-of-range` of wine."""
    for job, field in _SHARES.items():
        for event, row in view.of(job):
            e: Any = event
            if event.source is None and not view.is_spoiled(row, field):
                for n, part in enumerate(e.shares):
                    if part.abv is not None and part.litres:
                        yield from _strength(view, event, row, part.abv, (field, n, "abv"))


def received(view: View) -> Iterable[Fault]:
    """The strength of wine that a cask came with: beyond what wine can have, `out-of-range`."""
    for event, row in view.of("receive"):
        abv = event.abv  # type: ignore[attr-defined]
        if (
            abv is not None
            and not WINE_ABV_HARD[0] <= abv <= WINE_ABV_HARD[1]
            and of_wine(view, event)
            and not view.is_spoiled(row, "abv", "contents", "spirit")
        ):
            yield _no_wine(event, row, abv, ("abv",))


def _strength(view: View, event: Event, row: int, abv: float, where: tuple[str | int, ...]) -> Iterable[Fault]:
    wine = of_wine(view, event)
    low, high = WINE_ABV if wine else _SPIRIT_ABV
    if wine and not WINE_ABV_HARD[0] <= abv <= WINE_ABV_HARD[1]:
        yield _no_wine(event, row, abv, where)
    elif not low <= abv <= high:
        text = f"`abv` is {plain(abv)}: expected {plain(low)} to {plain(high)} % vol"
        yield fault(row, "implausible-value", text, "correct it by an entry with `replaces`, if misread", *where, of=event)


def _no_wine(event: Event, row: int, abv: float, where: tuple[str | int, ...]) -> Fault:
    low, high = WINE_ABV_HARD
    text = f"`abv` is {abv:g}: expected {low:g} to {high:g} % vol of wine"
    return fault(row, "out-of-range", text, "correct the strength, or enter what is in the cask", *where, of=event)


def too_much(view: View) -> Iterable[Fault]:
    """More litres received in a cask, seasoned with, or emptied of wine than it holds; `over-capacity`, as for a fill."""
    room = view.head.capacity_l
    for event, row in view.work_rows():
        e: Any = event
        if event.job == "measure" and e.capacity_l is not None:
            room = e.capacity_l
        judged = event.job in ("receive", "season") or (event.job == "empty" and event.id in view.life.on_wine)
        if (
            row is not None
            and judged
            and room is not None
            and e.litres is not None
            and e.litres > room * _ROUGH
            and event.source is None
            and not view.is_spoiled(row, "litres")
        ):
            text = f"{plain(e.litres)} L in a cask of {plain(room)} L"
            yield fault(row, "over-capacity", text, "correct the litres, or measure the cask", "litres", of=event)


def nothing(view: View) -> Iterable[Fault]:
    """No litres at all put in, taken out or found; `implausible-value`, as for a fill. An emptying of nothing is one."""
    for job in _MOVED:
        for event, row in view.of(job):
            e: Any = event
            if event.source is not None or view.is_spoiled(row, "litres", *_SHARES.values()):
                continue
            if job in _SHARES:
                for n, part in enumerate(e.shares):
                    if part.litres == 0:
                        yield _none(event, row, (_SHARES[job], n, "litres"))
            elif e.litres == 0 and (job != "receive" or e.full):
                yield _none(event, row, ("litres",))


def _none(event: Event, row: int, where: tuple[str | int, ...]) -> Fault:
    return fault(row, "implausible-value", "`litres` is 0: expected more", "correct the litres, or void the entry if there was no liquor", *where, of=event)


RULES = (
    Rule(shares, {"implausible-value": "warning", "out-of-range": "error"}, on=tuple(_SHARES)),
    Rule(received, {"out-of-range": "error"}, on=("receive",)),
    Rule(too_much, {"over-capacity": "warning"}, on=("receive", "season", "empty")),
    Rule(nothing, {"implausible-value": "warning"}, on=_MOVED),
)
