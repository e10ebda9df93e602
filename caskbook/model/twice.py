"""Entries of one day that say just the same: a job entered again by somebody who did not know that it was."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from caskbook.model.ids import of_one_row
from caskbook.model.jobs import Event
from caskbook.model.standing import Corrections
from caskbook.words.job_table import jobs_with

_NO_WORK, _MAY_REPEAT, _PART_MOVED = jobs_with("no-work"), jobs_with("repeats"), jobs_with("part-moved")


def entered_twice(standing: Sequence[Event]) -> Iterator[tuple[Event, Event, bool]]:
    """(the later entry, the one before it that says the same of the same day, whether nothing stands between them) of the standing events of a cask in
    the order of the work.

    With work between the two it may have been done again, as a test after a driving: then they are told only where they are made of one row of a sheet
    that was read in two places, or where liquor went in or out, which would count twice.
    """
    said: dict[tuple[date, str], list[int]] = {}
    work = [0]
    for at, event in enumerate(standing):
        said.setdefault((event.date, event.job), []).append(at)
        work.append(work[-1] + (event.job not in _NO_WORK))
    pairs = []
    for places in said.values():
        last: dict[str, int] = {}
        for at in places if len(places) > 1 else ():
            what = _says(standing[at])
            before = last.get(what)
            if before is not None and _is_twice(standing[before], standing[at], between=at - before - 1, work=work[at] - work[before + 1]):
                pairs.append((at, before))
            last[what] = at
    yield from ((standing[at], standing[before], at == before + 1) for at, before in sorted(pairs))


def voided_elsewhere(events: Sequence[Event], found: Corrections) -> Iterator[tuple[Event, Event]]:
    """(an entry that stands, one that was voided and says the same) where both are made of one row of a sheet: one machine took it back, and another that had read the
    sheet too did not know. `found`: which of the events stand."""
    voids = {event.id for event in events if event.job == "void"}
    taken_back: dict[str, list[Event]] = {}
    for event in events:
        if event.sheet and found.fallen.get(event.id) in voids:
            taken_back.setdefault(_says(event), []).append(event)
    for event in events if taken_back else ():
        if event.sheet and found.stands(event):
            yield from ((event, one) for one in taken_back.get(_says(event), ())[:1] if of_one_row(one.id, event.id))


def _is_twice(before: Event, event: Event, *, between: int, work: int) -> bool:
    """Whether an entry that says what another one said counts as entered twice; `between`: how many stand between them, `work`: how many of these are work."""
    if event.id == before.id:
        return False
    if event.job in _MAY_REPEAT:
        return not between
    return not work or event.job in _PART_MOVED or (bool(event.sheet) and of_one_row(before.id, event.id))


def _says(event: Event) -> str:
    """All that an entry says of the job: not its id, nor what it stands in the place of, and why."""
    told = event.model_dump(exclude={"id", "moved_from", "replaces"}, warnings=False)
    return repr(told | {"why": None} if event.replaces else told)
