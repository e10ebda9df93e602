"""The due list as a calendar (RFC 5545): a whole day for each rule and day, with the casks it is due on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, time
from typing import Any, NamedTuple
from urllib.parse import quote

from caskbook.core.days import LAST_DAY, add_days
from caskbook.core.extra import library
from caskbook.render.console import safe
from caskbook.render.verdict import Judged
from caskbook.words.plural import number_of

MOST_NAMED = 60
"""So many casks an entry names; a calendar shows no more, and some cut longer texts."""


class Entry(NamedTuple):
    """What one rule says for one day: of which casks, due since when, and which are only soon due."""

    day: date
    rule: str
    verdicts: tuple[Judged, ...]


class Calendar(NamedTuple):
    """The entries of a calendar, and the verdicts by word that have no day: what waits for an emptying, or cannot be told."""

    entries: tuple[Entry, ...]
    without_day: Mapping[str, int]


def calendar_of(verdicts: Sequence[Judged], today: date) -> Calendar:
    """What is due or blocked stands on `today`, however long it has been due, for it is still to be done; what is soon due on its day.

    Entries come by day, those of a day in the order of the list. A verdict without a day is left out and counted.
    """
    days: dict[tuple[date, str], list[Judged]] = {}
    without: dict[str, int] = {}
    for verdict in verdicts:
        day = today if verdict.verdict in ("due", "blocked") else verdict.since if verdict.verdict == "soon" else None
        if day is None:
            without[verdict.verdict] = without.get(verdict.verdict, 0) + 1
        else:
            days.setdefault((day, verdict.rule), []).append(verdict)
    entries = [Entry(day, rule, tuple(found)) for (day, rule), found in days.items()]
    return Calendar(tuple(sorted(entries, key=lambda entry: entry.day)), without)


def calendar_ics(entries: Sequence[Entry], today: date, house: str | None, header: str) -> str:
    """The text of an .ics file, lines ending in CR LF. `house`: the name of the ledger's house, told apart by it in a calendar of several.

    Each entry takes its whole day and leaves the day free for others. Read in again, what comes takes the place of the one of the same house, rule and
    day; what is due by a rule takes the place of what was due by it, on whatever day that was read in. The same list gives the same bytes: the stamp is the beginning of `today`. CaskbookError where the library is not installed.
    """
    ical = library("icalendar", "calendar", "a calendar")
    whole = ical.Calendar()
    whole.add("version", "2.0")
    whole.add("prodid", "-//caskbook//due//EN")
    whole.add("x-wr-calname", ical.vText(safe(f"{house or 'caskbook'}: due")))  # Of a property that it does not know the library writes the text as it is.
    whole.add("x-wr-caldesc", ical.vText(safe(header)))
    for entry in entries:
        whole.add_component(_event(ical, entry, today, house))
    text: str = whole.to_ical(sorted=False).decode("utf-8")
    return text


def _event(ical: Any, entry: Entry, today: date, house: str | None) -> Any:
    """The event (VEVENT) of one rule and day."""
    event = ical.Event()
    when = "now" if entry.day == today else entry.day.isoformat()
    event.add("uid", f"due-{entry.rule}-{when}-{quote(house or 'ledger', safe='')}@caskbook")
    event.add("dtstamp", datetime.combine(today, time(), UTC))
    event.add("dtstart", entry.day)
    if entry.day < LAST_DAY:  # Without an end an entry of a day lasts that day (RFC 5545, 3.6.1).
        event.add("dtend", add_days(entry.day, 1))
    event.add("transp", "TRANSPARENT")
    event.add("summary", summary_of(entry))
    named = [safe(line) for verdict in entry.verdicts[:MOST_NAMED] for line in _lines(verdict)]
    more = len(entry.verdicts) - MOST_NAMED
    event.add("description", "\n".join([*named, *([f"… {more} more: caskbook due {entry.rule}"] if more > 0 else [])]))
    return event


def summary_of(entry: Entry) -> str:
    """`examine: 3 casks, 1 blocked`; a single cask by its number."""
    count = len(entry.verdicts)
    blocked = sum(verdict.verdict == "blocked" for verdict in entry.verdicts)
    casks = number_of(count, "cask") if count > 1 else safe(entry.verdicts[0].cask)
    return f"{entry.rule}: {casks}" + (f", {blocked} blocked" if blocked and count > 1 else " blocked" if blocked else "")


def _lines(verdict: Judged) -> list[str]:
    """A cask, where it is, since when, and each reason."""
    where = [part for part in (verdict.type, verdict.berth) if part]
    since = [f"since {verdict.since}"] if verdict.since and verdict.verdict == "due" else []
    word = ["blocked"] if verdict.verdict == "blocked" else ["well past"] if verdict.well_past else []
    return [" · ".join([verdict.cask, *where, *word, *since]), *(f"  {reason}" for reason in verdict.reasons)]
