"""The weeks of a plan, from Monday to Sunday, each with the hours that the coopers have."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from caskbook.core.days import add_days
from caskbook.model.house import Settings

MOST = 52
WORKING_DAYS = 5
"""So many days have the hours of a week between them, where nobody says the hours of a day: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Week:
    """One week, or what is left of it. `number` counts from 1; `hours_each`: of one cooper in a whole week; `working_days`: how many of
    Monday to Friday it has, in whose share of the hours the capacity is; `capacity`: hours at the bench of all coopers, None where nobody says."""

    number: int
    first: date
    last: date
    coopers: int | None = None
    hours_each: float | None = None
    working_days: int = WORKING_DAYS

    @property
    def capacity(self) -> float | None:
        """Hours at the bench of all coopers in the week."""
        return None if self.coopers is None or self.hours_each is None else self.coopers * self.hours_each * self.working_days / WORKING_DAYS

    @property
    def begun(self) -> bool:
        """Whether it begins behind its Monday."""
        return self.first.weekday() > 0


def weeks_from(
    day: date, count: int, settings_on: Callable[[date], Settings], coopers: int | None = None, hours: float | None = None, begin: date | None = None
) -> tuple[Week, ...]:
    """So many weeks from the Monday on or after the day, with the house's coopers and hours of each first day, or those given. `begin`: the first day
    instead; where it is no Monday, the first week is what is left of that one."""
    start = begin or add_days(day, -day.weekday() % 7)
    found = []
    for n in range(count):
        first = start if not n else add_days(start, 7 * n - start.weekday())
        settings = settings_on(first)
        each = settings.hours_a_week if hours is None else hours
        left = max(WORKING_DAYS - first.weekday(), 0)
        found.append(Week(n + 1, first, add_days(first, 6 - first.weekday()), settings.coopers if coopers is None else coopers, each, left))
    return tuple(found)


def one_day(day: date, settings: Settings, coopers: int | None = None, hours: float | None = None) -> Week:
    """A day as a week of its own. `hours`: those that one cooper has on it; else it has its share of the house's week."""
    if hours is None and settings.hours_a_week is not None:
        hours = settings.hours_a_week / WORKING_DAYS
    if coopers is None:
        coopers = settings.coopers
    return Week(1, day, day, coopers, hours)


def week_of(day: date | None, weeks: tuple[Week, ...]) -> int | None:
    """The number of the first week in which something due on the day can be done; None where that is behind the last one."""
    return next((week.number for week in weeks if day is None or day <= week.last), None)
