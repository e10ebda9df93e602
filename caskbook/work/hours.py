"""How long a job takes on a cask: what the house says, else the median of the minutes in the book, else nobody knows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, cached_property, partial
from statistics import median

from caskbook.model.house import Settings
from caskbook.work.weeks import Week, week_of

LEAST = 5
"""So many entries with minutes of work are enough for a median: a choice of this program, no source."""
Minutes = Mapping[tuple[str, str], list[float]]


@dataclass(frozen=True, slots=True)
class Source:
    """Hours of a job and where they come from. `type`: the type of cask they are of alone, None of all; `entries`: how many entries a
    median is of, 0 where house.yaml says it; `hours` None: neither says it; `since`: the first day of the week of a plan from which on it is so, None from the
    beginning."""

    job: str
    type: str | None
    hours: float | None
    entries: int = 0
    since: date | None = None

    @property
    def where(self) -> str:
        """Where they come from, in words."""
        if self.hours is None:
            return "neither in house.yaml nor in enough entries"
        if not self.entries:
            return "house.yaml"
        return f"median of {self.entries} entries" + ("" if self.type else ", all types")


class Hours:
    """Hours by job and type of cask; `used` are the sources that were asked for, in order.

    `settings_of`: type of cask (None: the house's own) → its settings; `minutes`: (job, type) → minutes of work as entered, asked only where
    the house does not say the hours of some job.
    """

    def __init__(self, settings_of: Callable[[str | None], Settings], minutes: Callable[[], Minutes]) -> None:
        self._settings_of, self._gather = settings_of, minutes
        self.used: dict[tuple[str, str], Source] = {}

    @cached_property
    def _minutes(self) -> Minutes:
        return self._gather()

    def of(self, job: str, kind: str) -> float | None:
        """The hours of a job on a cask of this type."""
        return self.source(job, kind).hours

    def source(self, job: str, kind: str) -> Source:
        """The hours of a job on a cask of this type, and where they come from."""
        if (job, kind) not in self.used:
            self.used[job, kind] = self._found(job, kind)
        return self.used[job, kind]

    def sources(self) -> list[Source]:
        """Each source that was asked for once, by job and type."""
        return sorted(set(self.used.values()), key=_order)

    def _found(self, job: str, kind: str) -> Source:
        own, general = self._settings_of(kind).job_hours.get(job), self._settings_of(None).job_hours.get(job)
        if own is not None:
            return Source(job, None if own == general else kind, own)
        of_type = self._minutes.get((job, kind), [])
        if len(of_type) >= LEAST:
            return Source(job, kind, median(of_type) / 60, len(of_type))
        every = [minutes for (one, _), found in self._minutes.items() if one == job for minutes in found]
        return Source(job, None, median(every) / 60, len(every)) if len(every) >= LEAST else Source(job, None, None)


class HoursByWeek:
    """Hours by job, type of cask and week of a plan, as the settings of the week's first day say.

    `settings_on`: (day, type of cask) → settings; `minutes`: as of `Hours`, gathered once at most.
    """

    def __init__(self, weeks: Sequence[Week], settings_on: Callable[[date, str | None], Settings], minutes: Callable[[], Minutes]) -> None:
        self._weeks, once = tuple(weeks), cache(minutes)
        self._each = {week.number: Hours(partial(settings_on, week.first), once) for week in weeks}

    def of(self, job: str, kind: str, week: int) -> float | None:
        """The hours of a job on a cask of this type in the week of this number."""
        return self._each[week].of(job, kind)

    def first(self, job: str, kind: str, due: date | None) -> float | None:
        """Those in the first week in which it can be done, the last one where it is due behind it."""
        return self.of(job, kind, week_of(due, self._weeks) or len(self._weeks))

    def sources(self) -> list[Source]:
        """Each source in the weeks of every job that was asked for, and each other one that takes its place, by job, type and week."""
        found: set[Source] = set()
        for job, kind in {key for one in self._each.values() for key in one.used}:
            before: Source | None = None
            for week in self._weeks:
                source = self._each[week.number].source(job, kind)
                if source != before:
                    found.add(source if before is None else replace(source, since=week.first))
                before = source
        return sorted(found, key=_order)


def _order(one: Source) -> tuple[bool, str, str, date, float]:
    return one.hours is None, one.job, one.type or "", one.since or date.min, one.hours or 0
