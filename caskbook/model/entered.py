"""The day on which an entry came into the book, as the minute in its id tells it, in the house's own time."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import DayError, today_in
from caskbook.model.ids import ID_LENGTH, id_minute

LATE_DAYS = 2
"""An entry made the morning after is as usual; from this many days on it is late."""


def entered_on(event_id: str, timezone: str) -> date | None:
    """The house's day of the minute in an id, the day of UTC where the zone is none; None where the id has no minute of its own: a longer one was
    put between others, and begins as the one before it."""
    minute = id_minute(event_id)
    if minute is None or len(event_id) > ID_LENGTH:
        return None
    try:
        return today_in(timezone, minute)
    except DayError:
        return minute.date()
