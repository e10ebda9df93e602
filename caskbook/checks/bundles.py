"""When the parts of a cask are there for others, and how many of its staves: broken up, or while it is knocked down into a bundle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from caskbook.checks.context import Peer
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

_TAKEN_DOWN = frozenset(jobs_with("gives-parts"))
_ENDS = frozenset(jobs_with("ends")) - _TAKEN_DOWN
_HEADS = 2
_SAVED = {"staves": "staves_saved", "heads": "heads_saved", "hoops": "hoops_saved"}


@dataclass(frozen=True, slots=True)
class Pile:
    """Parts of a cask that others may take from a day on: `count`, None where nobody counted them. `bundle`: the staves of a cask that was knocked down,
    of which those are spare that it was not raised from again."""

    start: date
    count: int | None
    bundle: bool = False


def is_taken_down(peer: Peer | None, day: date) -> bool:
    """Whether a cask lay broken up, made into others, or knocked down (or was sent as a bundle) at some time of a day, so that its parts were there for others."""
    down = False
    for event in peer.standing if peer is not None else ():
        if event.date > day:
            continue
        if _is_taken_down(event):
            down = True
        elif (event.job == "raise" or event.job in _ENDS) and event.date < day:
            down = False
    return down


def _is_taken_down(event: Event) -> bool:
    return event.job in _TAKEN_DOWN or event.job == "receive" and getattr(event, "form", None) == "shook"


def piles(peer: Peer | None, part: str) -> tuple[Pile, ...]:
    """The staves, heads or hoops of a cask that were there for others, in time; the first of them from the first of days on."""
    found = [Pile(date.min, None)]
    for event in peer.standing if peer is not None else ():
        found += _begun(event, part, found)
    return tuple(found)


def _begun(event: Event, part: str, found: list[Pile]) -> Iterator[Pile]:
    """What begins with an event; what lay there until then is cut to what was spare."""
    last = found[-1]
    if event.job == "break-up":
        saved = getattr(event, _SAVED[part])
        if last.bundle and part == "staves":
            found[-1] = replace(last, count=_less(last.count, saved))
        yield Pile(event.date, None if saved is None else int(saved))
    elif event.job == "knock-down" or event.job == "convert" and part == "heads":
        count = {"staves": getattr(event, "staves", None), "heads": _HEADS}.get(part)
        yield Pile(event.date, count, bundle=event.job == "knock-down")
    elif event.job == "raise" and last.bundle:
        if part == "staves":
            found[-1] = replace(last, count=_less(last.count, getattr(event, "staves", None)))
        yield Pile(event.date, None)


def _less(count: int | None, used: int | None) -> int | None:
    return None if count is None or used is None else max(0, count - used)


def pile_on(found: tuple[Pile, ...], day: date) -> int:
    """Which of the piles was taken from on a day: the last that had begun; on the day on which a cask was raised again, still the bundle."""
    begun = [n for n, pile in enumerate(found) if pile.start <= day]
    n = begun[-1] if begun else 0
    return n - 1 if n and found[n].start == day and found[n - 1].bundle and found[n].count is None and not found[n].bundle else n
