"""The shift that a command of entering goes by: whose it is, for which day, and what its lines need not say."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, say
from caskbook.core.days import DayError, zone_at
from caskbook.core.finding import CaskbookError
from caskbook.entry.kept_vat import OF_VAT, goes_along
from caskbook.ledger.shift import HOURS, Shift, shift_of, tell_in_shift

if TYPE_CHECKING:
    from pathlib import Path

    from caskbook.entry.fields import JobField
    from caskbook.entry.request import Request
    from caskbook.model.house import Settings

USUAL: Mapping[str, str] = {"psi": "psi", "water_l": "water", "temp_c": "temp", "spirit": "spirit", "approved_by": "approved-by", "sheet": "sheet",
                              "vat": "vat", "vat_litres": "vat-litres"}  # fmt: skip
"""What a shift may keep for all its lines: key of a field → its option."""


def shift_for(book: Book, *, by: str | None, told: bool = True) -> Shift | None:
    """The shift in force, which is said; None where none was begun. `by`: who was named for this run, so that it needs no shift.

    CaskbookError where a shift is over, its hand is not of the crew, or the clock went back, and nobody was named.
    """
    shift = shift_of(book.root)
    if shift is None:
        return None
    why = out_of_force(book, shift)
    if why and not by:
        raise CaskbookError(f"{why}: begin another with caskbook shift {shift.by}, or say --by")
    if why:
        say(f"{why}: it counts for nothing")
        return None
    if told:
        say(shift_line(book, shift))
    return shift


def shift_mark(root: Path) -> tuple[object, ...]:
    """What tells one shift from another; empty where there is none."""
    shift = shift_of(root)
    return () if shift is None else (shift.by, shift.day, shift.began, tuple(shift.usual.items()))


def note_cautions(book: Book, kinds: tuple[str, ...]) -> None:
    """These cautions were told with their figures: in a shift they come in short from now on."""
    shift = shift_of(book.root) if kinds else None
    if shift is not None and not out_of_force(book, shift):
        tell_in_shift(book.root, shift, kinds)


def out_of_force(book: Book, shift: Shift) -> str:
    """Why a shift counts no more; empty where it does."""
    from caskbook.entry.crew import not_there

    if shift.is_over(book.now):
        return f"the shift of {shift.by} of {day_words(shift)} ended at {clock_of(book, shift.ends)}, {HOURS} hours after it began"
    if shift.is_ahead(book.now):
        return f"the shift of {shift.by} began at {clock_of(book, shift.began)}, and it is {clock_of(book, book.now)}: the clock went back"
    return not_there(book.ledger.house.on(shift.day), shift.by, shift.day)


def shift_line(book: Book, shift: Shift) -> str:
    """ "shift of ab, Sunday 2026-11-29, until 18:04; psi 11"."""
    usual = ", ".join(f"{USUAL.get(key, key)} {text}" for key, text in shift.usual.items())
    return f"shift of {shift.by}, {day_words(shift)}, until {clock_of(book, shift.ends)}" + (f"; {usual}" if usual else "")


def day_words(shift: Shift) -> str:
    """ "Sunday 2026-11-29"."""
    return f"{shift.day:%A} {shift.day}"


def clock_of(book: Book, moment: datetime) -> str:
    """The time in the house, with its day where that is not today's."""
    try:
        zone: tzinfo = zone_at(book.ledger.house.timezone, book.now)
    except DayError:
        zone = UTC
    there, now = moment.astimezone(zone), book.now.astimezone(zone)
    return f"{there:%H:%M}" if there.date() == now.date() else f"{there:%a %H:%M}"


def take_usual(request: Request, shift: Shift | None, house: Settings) -> set[tuple[str, str]]:
    """What the shift keeps goes into each job that has the field and calls for it, where the line does not say it; gives (job, key) of these.
    Nothing goes into what replaces an entry: that takes over what the entry says."""
    from caskbook.entry.request import fields_typed

    taken: set[tuple[str, str]] = set()
    if shift is None or any(key == "replaces" for _, key in request.given):
        return taken
    for key, text in shift.usual.items():
        for job in request.jobs:
            if key in OF_VAT and not goes_along(request, job, key, shift.usual, house):
                continue
            if (job, key) not in request.given and any(one.key == key and (one.must or _calls_for(request, one)) for one in fields_typed(job)):
                request.given[job, key] = [text]
                taken.add((job, key))
    return taken


def _calls_for(request: Request, field: JobField) -> bool:
    """Whether a field that may be left out is wanted on this line: pressure and water of a test by air, a spirit only where it must be
    told, the temperature of what is measured and not typed at 20 °C."""
    job, key = field.job, field.key
    if key in ("psi", "water_l"):
        return job == "test" and (request.one("method", job) or "air").strip().casefold() == "air"
    if key == "temp_c":
        return (job, "at_20") not in request.given and (job != "receive" or (job, "contents") in request.given)
    return key != "spirit"
