"""The order of the work: by day, and within a day by id."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from operator import attrgetter

from caskbook.model.jobs import Event

_place = attrgetter("date", "id")


def is_ordered(events: Sequence[Event]) -> bool:
    """Whether events stand in the order of the work."""
    places = list(map(_place, events))
    return places == sorted(places)


def in_order_of_work(event: Event) -> tuple[date, str, bool]:
    """What entries of several files are sorted by. What was racked has left before it arrives."""
    return event.date, event.id, event.job == "rack-in"
