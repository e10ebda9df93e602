"""Days as old registers write them. Which comes first, day or month, in which hundred years, and from where a spreadsheet counts is what
the map says; where it does not, the cell is asked about and never guessed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

ORDERS = {"day-month-year": (0, 1, 2), "month-day-year": (1, 0, 2), "year-month-day": (2, 1, 0)}
"""Order in words → where day, month and year stand in it."""
_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})(?:[T ][0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?Z?)?")
_THREE = re.compile(r"([0-9]{1,4})\s*[-/. ]\s*([0-9]{1,2})\s*[-/. ]\s*([0-9]{1,4})")
_WORDS = re.compile(r"(?:([0-9]{1,2})(?:st|nd|rd|th)?[-/. ]+)?([a-z]{3,9})\.?,?[-/. ]+(?:([0-9]{1,2})(?:st|nd|rd|th)?,?[-/. ]+)?([0-9]{2,4})")
_MONTH = re.compile(r"([0-9]{1,2})[-/.]([0-9]{4})|([0-9]{4})[-/.]([0-9]{1,2})")
_YEAR = re.compile(r"[0-9]{4}")
_SERIAL = re.compile(r"[0-9]{1,6}(?:\.[0-9]+)?")
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")
# A spreadsheet's day 60 of 1900 is a 29 February that never was; below it the count is off by one.
_STARTS = {1900: date(1899, 12, 30), 1904: date(1904, 1, 1)}
_FIRST_SERIAL = {1900: 61, 1904: 1}
_LAST_SERIAL = 73_050
_OLDEST = 1600


class UnclearDayError(ValueError):
    """A day that cannot be told; one line. `code` names the reason, `remedy` what the map or the cell should say."""

    def __init__(self, code: str, reason: str, remedy: str) -> None:
        self.code, self.reason, self.remedy = code, reason, remedy
        super().__init__(reason)


@dataclass(frozen=True, slots=True)
class DayRules:
    """What a map says of its days: `order` of ORDERS, the first year of the hundred that two figures mean, the year a spreadsheet counts from."""

    order: str | None = None
    century: int | None = None
    serials: int | None = None


def read_day(text: str, rules: DayRules) -> date:
    """The day in a cell. UnclearDayError for a month or a year alone, and for what could be another day."""
    found = read_when(text, rules)
    if isinstance(found, date):
        return found
    what = "a year" if isinstance(found, int) else "a month"
    raise UnclearDayError("no-whole-day", f"{what} alone: a day is wanted", "give the day, or `unclear: note` in the map keeps it as words")


def read_when(text: str, rules: DayRules) -> date | int | str:
    """A day, a month as 2015-03, or a year as an int. UnclearDayError for anything else."""
    plain = " ".join(text.split())
    if iso := _ISO.fullmatch(plain):
        return _day(int(iso[1]), int(iso[2]), int(iso[3]), plain)
    if _YEAR.fullmatch(plain) and _OLDEST <= int(plain) <= 2999:
        return int(plain)
    if three := _THREE.fullmatch(plain):
        return _of_three((three[1], three[2], three[3]), plain, rules)
    if named := _WORDS.fullmatch(plain.casefold()):
        return _of_words(named, plain, rules)
    if month := _MONTH.fullmatch(plain):
        year, number = int(month[2] or month[3]), int(month[1] or month[4])
        return _month(year, number, plain)
    if _SERIAL.fullmatch(plain):
        return _of_serial(plain, rules)
    raise UnclearDayError("no-day", "no day", "write it as 2015-03-12")


def _of_three(parts: tuple[str, str, str], text: str, rules: DayRules) -> date:
    """Three figures: which is which the map says, but for a year of four figures that stands first."""
    if len(parts[0]) == 4:
        return _day(int(parts[0]), int(parts[1]), _short(parts[2], text), text)
    if rules.order is None:
        raise UnclearDayError("day-or-month-first", "day or month first?", "say `dates: day-month-year` or `month-day-year` in the map")
    at_day, at_month, at_year = ORDERS[rules.order]
    year = _whole_year(parts[at_year], rules)
    month, day = int(parts[at_month]), _short(parts[at_day], text)
    if not 1 <= month <= 12:
        raise UnclearDayError("no-day", f"there is no month {month}, and the map says {rules.order}", "put the cell right")
    return _day(year, month, day, text)


def _short(text: str, whole: str) -> int:
    if len(text) > 2:
        raise UnclearDayError("no-day", "no day", "write it as 2015-03-12")
    return int(text)


def _whole_year(text: str, rules: DayRules) -> int:
    """A year of four figures as it is, of two by the century that the map says."""
    if len(text) == 4:
        return int(text)
    if len(text) != 2:
        raise UnclearDayError("no-day", f"no year '{text}'", "write it as 2015-03-12")
    if rules.century is None:
        raise UnclearDayError("two-digit-year", f"19{text} or 20{text}?", "say in the map from which year on, as `century: 1950` for 1950 to 2049")
    return rules.century + (int(text) - rules.century) % 100


def _of_words(named: re.Match[str], text: str, rules: DayRules) -> date | str:
    """A month by its name: 12 Mar 2015, Mar 12, 2015, or March 2015, which is a month alone."""
    number = next((n for n, name in enumerate(_MONTHS, 1) if name.startswith(named[2]) or (named[2] == "sept" and n == 9)), None)
    if number is None or (named[1] and named[3]):
        raise UnclearDayError("no-day", "no day", "write it as 2015-03-12")
    year = _whole_year(named[4], rules)
    day = named[1] or named[3]
    return _day(year, number, int(day), text) if day else _month(year, number, text)


def _of_serial(text: str, rules: DayRules) -> date:
    """A spreadsheet's count of days, whose beginning the map says."""
    count = int(float(text))
    if rules.serials is None:
        raise UnclearDayError(
            "spreadsheet-day", "a bare number and no day", "if it is a spreadsheet's count of days, say `excel_days: 1900` (or 1904) in the map"
        )
    if not _FIRST_SERIAL[rules.serials] <= count <= _LAST_SERIAL:
        raise UnclearDayError("no-day", f"no day, counted from {rules.serials}", "write it as 2015-03-12")
    return _STARTS[rules.serials] + timedelta(days=count)


def _month(year: int, number: int, text: str) -> str:
    if not 1 <= number <= 12 or year < _OLDEST:
        raise UnclearDayError("no-day", f"there is no month {number}", "write it as 2015-03")
    return f"{year:04d}-{number:02d}"


def _day(year: int, month: int, day: int, text: str) -> date:
    if year < _OLDEST:
        raise UnclearDayError("no-day", f"the year {year}", "write the year with four figures")
    try:
        return date(year, month, day)
    except ValueError:
        raise UnclearDayError("no-day", "no day of the calendar", "put the cell right") from None
