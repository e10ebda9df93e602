"""ISO days and years: strict reading, days known only to the month or year, spans in years, and days as they are typed."""

from __future__ import annotations

import calendar
import re
import time
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from caskbook.core.finding import CaskbookError

# The mean length of a Gregorian year is 146,097 days in 400 years.
DAYS_PER_YEAR = 365.2425
FIRST_DAY = date.min
LAST_DAY = date.max

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MONTH = re.compile(r"([0-9]{4})-([0-9]{2})")
_YEAR = re.compile(r"[0-9]{4}")
_DOTTED = re.compile(r"([0-9]{1,2})\.\s*([0-9]{1,2})\.?\s*([0-9]{4}|[0-9]{2})?", re.ASCII)
_AGO = re.compile(r"-([0-9]{1,4})")
_AHEAD = re.compile(r"\+([0-9]{1,4})", re.ASCII)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHOWN = 24


class UnknownDay(date):
    """The day of an entry that has none that can be read: it keeps the entry's place in the order, and reads ?."""

    def isoformat(self) -> str:
        """What is shown of it."""
        return "?"

    def __str__(self) -> str:
        return "?"

    def __format__(self, form: str) -> str:
        return "?"


class DayError(ValueError):
    """Text that is no day, or a time zone there is none of; one line."""


@dataclass(frozen=True, slots=True)
class When:
    """A day, or a stretch of days of which one is meant. `first` and `last` bound it, `text` is how it was written."""

    first: date
    last: date
    approximate: bool
    text: str

    @property
    def day(self) -> date:
        """The day to reckon with: itself; the 15th of a month; 1 July of a year."""
        if not self.approximate:
            return self.first
        if self.first.month == self.last.month:
            return self.first.replace(day=15)
        return self.first.replace(month=7, day=1)


def _shown(value: object) -> str:
    try:
        text = str(value)
    except ValueError:  # An integer of thousands of digits has no text.
        return "that number"
    clean = "".join(sign if sign.isprintable() else "?" for sign in text)
    return f"'{clean[: _SHOWN - 1]}…'" if len(clean) > _SHOWN else f"'{clean}'"


def parse_day(text: str) -> date:
    """The day of ten characters, ISO 8601 `2024-02-29`, years 0001 to 9999; DayError otherwise."""
    if not isinstance(text, str) or not _DAY.fullmatch(text):
        raise DayError(f"{_shown(text)} is no day: expected year-month-day, as 2024-02-29")
    year, month, day = int(text[:4]), int(text[5:7]), int(text[8:])
    try:
        return date(year, month, day)
    except ValueError:
        raise DayError(f"{_shown(text)} is no day of the calendar{_why_none(year, month)}") from None


def _why_none(year: int, month: int) -> str:
    if year < 1:
        return ": years begin with 0001"
    if not 1 <= month <= 12:
        return f": there is no month {month:02d}"
    return f": that month has {calendar.monthrange(year, month)[1]} days"


def _stretch(year: int, month: int | None, text: str) -> When:
    first_month, last_month = (month, month) if month else (1, 12)
    last_day = calendar.monthrange(year, last_month)[1]
    return When(date(year, first_month, 1), date(year, last_month, last_day), True, text)


def parse_when(value: object) -> When:
    """A date, a month `2015-01` or a year (2011 or '2011', four digits); DayError for anything else, a time of day too."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return When(value, value, False, value.isoformat())
    whole = isinstance(value, int) and not isinstance(value, bool) and 1000 <= value <= 9999
    text = str(value) if whole else value
    if not isinstance(text, str):
        raise DayError(f"{_shown(value)} is no day, month or year: expected 2015-03-12, 2015-03 or 2015")
    if _YEAR.fullmatch(text) and int(text):
        return _stretch(int(text), None, text)
    month = _MONTH.fullmatch(text)
    if month and int(month[1]) and 1 <= int(month[2]) <= 12:
        return _stretch(int(month[1]), int(month[2]), text)
    if _DAY.fullmatch(text):
        day = parse_day(text)
        return When(day, day, False, text)
    raise DayError(f"{_shown(text)} is no day, month or year: expected 2015-03-12, 2015-03 or 2015")


def years_between(start: date, end: date) -> float:
    """Years of 365.2425 days from start to end; below 0 when end comes first."""
    return (end - start).days / DAYS_PER_YEAR


def add_days(day: date, count: int) -> date:
    """The day `count` days on (back, if below 0), held within years 0001 to 9999."""
    ordinal = day.toordinal() + count
    if isinstance(day, UnknownDay):
        return UnknownDay.fromordinal(min(max(ordinal, FIRST_DAY.toordinal()), LAST_DAY.toordinal()))
    return date.fromordinal(min(max(ordinal, FIRST_DAY.toordinal()), LAST_DAY.toordinal()))


def add_years(day: date, count: int) -> date:
    """The same day `count` years on, held within years 0001 to 9999; from 29 Feb to 29 Feb where there is one, else 1 Mar."""
    year = day.year + count
    if year > LAST_DAY.year:
        return LAST_DAY
    if year < FIRST_DAY.year:
        return FIRST_DAY
    if (day.month, day.day) == (2, 29) and not calendar.isleap(year):
        return type(day)(year, 3, 1)
    return day.replace(year=year)


def whole_years(start: date, day: date) -> int:
    """The largest n with add_years(start, n) not after `day` (below 0 when `day` comes before `start`)."""
    years = day.year - start.year
    return years if add_years(start, years) <= day else years - 1


def zone_at(zones: str, now_utc: datetime) -> ZoneInfo:
    """The time zone (IANA) in force at `now_utc`. `zones` is a name, or, of a house that moves, `DAY=NAME` with commas between, in the order of the
    days: each is in force once its own day has begun in it, and before the first it is UTC. DayError where the one in force is no time zone."""
    name = zones
    if "=" in zones:
        name = "UTC"
        for day, _, then in (part.partition("=") for part in zones.split(",")):
            zone = _zone(then)
            there = now_utc.astimezone(zone) if zone is not None else now_utc
            name = then if there.date().isoformat() >= day else name
    found = _zone(name)
    if found is None:
        raise DayError(f"{_shown(name)} is no time zone: expected a name such as Europe/London")
    return found


def are_zones(zones: str) -> bool:
    """Whether all names in `zones`, as `zone_at` takes them, are time zones."""
    return all(_zone(part.rpartition("=")[2]) is not None for part in zones.split(","))


def _zone(name: str) -> ZoneInfo | None:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return None


def time_now() -> datetime:
    """The time by the machine's clock, in UTC. CaskbookError where that stands outside of what 64 bits count in nanoseconds from 1970, for there
    the time of no file could be held against it."""
    try:
        time.time_ns()
        return datetime.now(UTC)
    except (OverflowError, ValueError, OSError):
        raise CaskbookError("the clock of this machine stands before 1677 or after 2262: set it right first") from None


def today_in(timezone_name: str, now_utc: datetime) -> date:
    """The day it is in the named time zone (IANA; or zones as `zone_at` takes them) at `now_utc`, which must carry its own zone; DayError otherwise."""
    if now_utc.tzinfo is None:
        raise DayError("the time now was given without a time zone")
    try:
        zone = zone_at(timezone_name, now_utc)
        return now_utc.astimezone(zone).date()
    except OverflowError:
        raise DayError("the clock stands outside years 0001 to 9999") from None


def parse_input_day(text: str, today: date) -> date:
    """A day as typed: ISO, `today`, `yesterday`, a weekday (its last one, today counts), `-2` (two days ago).

    DayError for anything else. Whether an ISO day lies ahead is judged elsewhere."""
    word = text.strip().casefold()
    ago = _AGO.fullmatch(word)
    if word in ("today", "yesterday"):
        return _back(today, 0 if word == "today" else 1, text)
    if ago:
        return _back(today, int(ago[1]), text)
    matches = [at for at, name in enumerate(_WEEKDAYS) if len(word) >= 2 and name.startswith(word)]
    if len(matches) == 1:
        return _back(today, (today.weekday() - matches[0]) % 7, text)
    if _DAY.fullmatch(word):
        return parse_day(word)
    raise DayError(f"{_shown(text)} is no day: expected 2024-02-29, today, yesterday, a weekday, or -2{_dotted(word, today)}")


def parse_coming_day(text: str, day: date) -> date:
    """A day that lies ahead of `day`, as typed: ISO, `today`, `tomorrow`, a weekday (the next one, that of `day` counts), `+2` (in two days).

    DayError for anything else. Whether an ISO day lies ahead is judged elsewhere."""
    word = text.strip().casefold()
    ahead = _AHEAD.fullmatch(word)
    if word in ("today", "tomorrow") or ahead:
        return add_days(day, int(ahead[1]) if ahead else ("today", "tomorrow").index(word))
    matches = [at for at, name in enumerate(_WEEKDAYS) if len(word) >= 2 and name.startswith(word)]
    if len(matches) == 1:
        return add_days(day, (matches[0] - day.weekday()) % 7)
    if _DAY.fullmatch(word):
        return parse_day(word)
    raise DayError(f"{_shown(text)} is no day to come: expected {add_days(day, 1)}, tomorrow, a weekday, or +2")


def _dotted(word: str, today: date) -> str:
    """The question behind day.month.year, or day.month. of the last twelve months; which comes first, day or month, is not guessed for others."""
    found = _DOTTED.fullmatch(word)
    if not found:
        return ""
    day, month, year = int(found[1]), int(found[2]), found[3]
    years = (int(year) + (2000 if len(year) == 2 else 0),) if year else (today.year, today.year - 1)
    for one in years:
        try:
            meant = date(one, month, day)
        except ValueError:
            continue
        if year or meant <= today:
            return f"; did you mean {meant}?"
    return ""


def _back(today: date, days: int, text: str) -> date:
    if today.toordinal() <= days:
        raise DayError(f"{_shown(text)} lies before year 0001")
    return today - timedelta(days=days)
