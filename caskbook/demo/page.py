"""One cask's file as it grows: head, events with ids of the minute they were entered, corrections and late entries."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any

from caskbook.demo.dice import Dice
from caskbook.demo.house import Calendar
from caskbook.model.ids import mint_id, mint_replacement

Event = dict[str, Any]
_DAWN = 7 * 60


class BookEndsError(Exception):
    """The next entry would lie after the last day of the book."""


@lru_cache(maxsize=32768)
def day_of(ordinal: int) -> date:
    """The date of a day number."""
    return date.fromordinal(ordinal)


@lru_cache(maxsize=32768)
def _dawn(ordinal: int) -> datetime:
    return datetime.fromisoformat(f"{date.fromordinal(ordinal).isoformat()}T00:00+00:00")


class Page:
    """A cask's file. Days are ordinals; entries are added in the order of the work, late ones find their place in writing."""

    __slots__ = ("calendar", "day", "dice", "events", "head", "minute", "number", "used")

    def __init__(self, number: str, head: dict[str, Any], dice: Dice, calendar: Calendar) -> None:
        self.number, self.head, self.dice, self.calendar = number, head, dice, calendar
        self.events: list[Event] = []
        self.used: set[str] = set()
        self.day, self.minute = 0, 0

    def add(self, day: int, job: str, **fields: Any) -> str:
        """An entry of that day, behind all there are; its id. Raises BookEndsError past the last day of the book."""
        if day > self.calendar.until:
            raise BookEndsError
        return self._put(day, self._next_id(day), job, fields)

    def add_late(self, day: int, entered: int, job: str, **fields: Any) -> str:
        """An entry of an earlier day, written on the day `entered`."""
        if entered > self.calendar.until:
            raise BookEndsError
        when = _dawn(entered) + timedelta(minutes=_DAWN + self.dice.whole(480, 600))
        return self._put(day, self._mint(when, self.used), job, fields)

    def add_shared(self, day: int, event_id: str, job: str, **fields: Any) -> None:
        """The entry of a run on several casks, which has one id in all their files."""
        self.day, self.minute = day, _DAWN + 660
        self._put(day, event_id, job, fields)

    def replace(self, target: Event, why: str, **changed: Any) -> str:
        """Put an entry right by another of the same day that replaces it."""
        fresh = mint_replacement(target["id"], self.used, self.dice.bits)
        self.used.add(fresh)
        event = {**target, **changed, "id": fresh, "by": self.someone(self.day), "replaces": target["id"], "why": why}
        self.events.append(event)
        return fresh

    def void(self, day: int, target: str, why: str) -> str:
        """Put an entry out of force."""
        return self.add(day, "void", of=target, why=why)

    def someone(self, day: int) -> str:
        """One of the crew of that day."""
        return self.dice.pick(self.calendar.crew_on(day))

    def shared_id(self, day: int, *others: Page) -> str:
        """An id for a run on several casks, late enough to follow all of that day; none that any of these files has."""
        when = _dawn(day) + timedelta(minutes=_DAWN + 600 + self.dice.whole(0, 59))
        return self._mint(when, self.used.union(*(page.used for page in others)))

    def in_order(self) -> list[Event]:
        """The events by (date, id)."""
        return sorted(self.events, key=_order)

    def _next_id(self, day: int) -> str:
        if day != self.day:
            self.day, self.minute = day, _DAWN + self.dice.whole(0, 180)
        self.minute += self.dice.whole(2, 9)
        return self._mint(_dawn(day) + timedelta(minutes=self.minute), self.used)

    def _mint(self, when: datetime, taken: set[str]) -> str:
        fresh = mint_id(when, day_ids=(), random_bits=self.dice.bits, taken=taken)
        self.used.add(fresh)
        return fresh

    def _put(self, day: int, event_id: str, job: str, fields: dict[str, Any]) -> str:
        by = fields.pop("by", None) or self.someone(day)
        self.used.add(event_id)
        self.events.append({"id": event_id, "date": day_of(day), "job": job, "by": by, **fields})
        return event_id


def _order(event: Event) -> tuple[date, str]:
    return event["date"], event["id"]


def fig(value: float, digits: int = 1) -> float | int:
    """A figure as a person writes it: rounded, whole ones without a point."""
    short = round(value, digits)
    return int(short) if short == int(short) else short
