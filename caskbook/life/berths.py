"""Where a cask lay as each of its entries was done: there, where the job put it somewhere; where it was taken from, where it took it away."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date

from caskbook.life.order import is_ordered
from caskbook.model.cask import Cask
from caskbook.model.jobs import Event
from caskbook.model.standing import corrections
from caskbook.words.job_table import jobs_with

_BERTHED, _TAKES_AWAY, _ENDS = (frozenset(jobs_with(trait)) for trait in ("berthed", "takes-away", "ends"))
_BEHIND = "\x01"
"""Behind an id: a place that comes after that entry and before every other one, also one whose id is a longer one."""


def berths(events: Iterable[Event], fallen: Collection[str] = ()) -> list[str | None]:
    """The berth at each of these entries, which are in the order of the work; those `fallen` move nothing, and are told where they stand.
    None where it is not known, or the cask away or gone."""
    now: str | None = None
    gone = False
    found: list[str | None] = []
    for event in events:
        job = event.job
        if gone or event.id in fallen:
            found.append(now)
        elif job in _BERTHED:
            now = None if "berth" in event.lost else event.berth or now  # type: ignore[attr-defined]
            found.append(now)
        else:
            found.append(now)
            if job in _TAKES_AWAY or job in _ENDS:
                now, gone = None, job in _ENDS
    return found


def entry_berths(cask: Cask) -> dict[int, str | None]:
    """Row of the file → the berth at that entry, by what this file alone says; None at one whose day cannot be read."""
    pairs = list(zip(cask.events, cask.rows, strict=True))
    if not is_ordered(cask.events):
        pairs.sort(key=lambda pair: (pair[0].date, pair[0].id))
    at = berths((event for event, _ in pairs), corrections(cask.events).fallen)
    return {row: None if "date" in event.lost else berth for (event, row), berth in zip(pairs, at, strict=True)}


def berth_stays(events: Sequence[Event]) -> Iterator[tuple[str, str, str | None]]:
    """(day, id, berth) from which on a cask lay there, for a look-up by the day and the id of any entry: the last that is not behind it."""
    last: str | None = None
    for event, berth in zip(events, berths(events), strict=True):
        day = date.isoformat(event.date)  # Of a day that cannot be read, that of its place.
        if berth != last:
            yield day, event.id, berth
        last = berth
        if event.job in _TAKES_AWAY or event.job in _ENDS:
            last = None
            yield day, event.id + _BEHIND, None
