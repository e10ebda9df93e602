"""Entries dated after today: they were done, for the book holds what was done, and nobody knows when."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from operator import attrgetter

from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record
from caskbook.model.standing import corrections
from caskbook.words.job_table import jobs_of_family

_TIMELESS = jobs_of_family("book")
"""Jobs that hold for all days, and notes, on which nothing hangs."""
_day = attrgetter("date")


def held_to_today(cask: Cask, today: date | None) -> Cask:
    """The cask of a file with what stands in it and is dated after `today`, on whatever day it is asked about: the day of such an entry is a
    slip, so that it may have been done on any. None: nothing is held against today."""
    if today is None or not cask.events or max(map(_day, cask.events)) <= today:
        return cask
    found = _ahead(cask, today)
    return cask if found == cask.ahead else replace(cask, ahead=found)


def record_held_to_today(record: Record, today: date | None) -> Record:
    """The record of a file just read, with its cask so."""
    record.cask = record.cask and held_to_today(record.cask, today)
    return record


def _ahead(cask: Cask, today: date) -> tuple[str, ...]:
    fallen = corrections(cask.events).fallen
    return tuple(
        f"{event.job} of {event.date}, a day to come"
        for event in cask.events
        if event.date > today and "date" not in event.lost and event.job not in _TIMELESS and event.id not in fallen
    )
