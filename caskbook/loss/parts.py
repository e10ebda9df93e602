"""A fill divided by year and by where it lay, and cut off at two days: what went in each part, adding up to the whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from caskbook.core.days import add_days
from caskbook.loss.account_fill import AccountFill
from caskbook.loss.course import NONE, Course
from caskbook.loss.leak import Gone
from caskbook.loss.records import Stay


@dataclass(frozen=True, slots=True)
class Division:
    """How fills are divided. `since`, `until`: only what went from the first of these days to the last one, both included.

    `by_year`: by calendar year; `by_store`: by the store of the day, as always where only some `stores` count, or only `berths`
    that begin so.
    """

    since: date | None = None
    until: date | None = None
    by_year: bool = False
    by_store: bool = False
    stores: tuple[str, ...] = ()
    berths: tuple[str, ...] = ()

    @property
    def by_place(self) -> bool:
        """Whether a fill that moved is shared out over where it lay."""
        return self.by_store or bool(self.stores or self.berths)

    def takes(self, stay: Stay) -> bool:
        """Whether what went at this place counts."""
        if self.stores and stay.store not in self.stores:
            return False
        return not self.berths or (stay.berth or "").startswith(self.berths)


@dataclass(slots=True)
class Part:
    """What went of a fill in one store (None: no store, or not divided by place) and year (None: not divided by it).

    `lpa`, `litres`: lost, to the hundredth, None where nothing is known; `leaked`: of `lpa`, what went by a leak; `put_in`: LPA that came in by filling and topping, `held`:
    that, and what was there when it first came here. `first`, `last`: from when to when it is known. `complete`: it is known to the end.
    """

    store: str | None
    year: int | None
    lpa: Decimal | None = None
    litres: Decimal | None = None
    leaked: Decimal = NONE
    put_in: Decimal = NONE
    held: Decimal = NONE
    first: date | None = None
    last: date | None = None
    complete: bool = True


Piece = tuple[date, date, Stay]
"""After the end of a day, up to the end of another, and where it lay."""


def parts_of(fill: AccountFill, day: date, division: Division, leak: Gone | None = None) -> list[Part]:
    """The parts of a fill up to a day, each store and year once, in time; of a fill without a figure the parts have none either.
    `leak`: what of it went by a leak."""
    course = fill.course
    found: dict[tuple[str | None, int | None], Part] = {}
    for before, end, stay in pieces(fill, day, division):
        year = end.year if division.by_year else None
        store = stay.store if division.by_place else None
        part = found.setdefault((store, year), Part(store, year))
        if course is None:
            part.complete = False
        else:
            _add(part, course, (before, end), fill.start, leak)
    return list(found.values())


def pieces(fill: AccountFill, day: date, division: Division) -> Iterator[Piece]:
    """The time of a fill up to a day, in pieces of one place and year each, as far as they count."""
    ended = day if fill.end is None else fill.end
    first = add_days(fill.start, -1) if division.since is None else max(add_days(fill.start, -1), add_days(division.since, -1))
    last = ended if division.until is None else min(ended, division.until)
    for before, end, stay in _lain(fill, ended):
        before, end = max(before, first), min(end, last)
        if before < end and division.takes(stay):
            yield from _by_year(before, end, stay) if division.by_year else [(before, end, stay)]


def _lain(fill: AccountFill, ended: date) -> Iterator[Piece]:
    """Where it lay from when to when: the day of a move belongs to the old place, that of the filling to where it lay that evening."""
    stays = {stay.since: stay for stay in fill.stays}
    start = fill.start
    days = sorted(one for one in stays if start <= one <= ended)
    here = stays[days[0]] if days else Stay(start, None, None)
    before = add_days(start, -1)
    for one in days[1:]:
        yield before, one, here
        before, here = one, stays[one]
    yield before, ended, here


def _by_year(before: date, end: date, stay: Stay) -> Iterator[Piece]:
    for year in range(add_days(before, 1).year, end.year + 1):
        yield max(before, add_days(date(year, 1, 1), -1)), min(end, date(year, 12, 31)), stay


def _add(part: Part, course: Course, span: tuple[date, date], start: date, leak: Gone | None) -> None:
    """Put what went in a piece of the time to its part."""
    before, end = span
    first, last = course.whole.first.day, course.whole.last.day
    part.complete &= end <= last and first <= max(before, start)
    if not course.known(before, end):
        return
    (lpa, litres), (lpa_before, litres_before) = course.gone(end), course.gone(before)
    part.leaked += course.leaked(leak, end) - course.leaked(leak, before)
    came = course.put_in(end) - course.put_in(before)
    part.lpa = (part.lpa or NONE) + lpa - lpa_before
    part.litres = (part.litres or NONE) + litres - litres_before
    part.put_in += came
    part.held += came if part.first is not None else came + course.there(before)
    part.first = part.first or max(before, first)
    part.last = min(end, last)
