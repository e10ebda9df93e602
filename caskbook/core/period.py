"""A period of a report: from a first day to a last one, both in it, as typed with --from and --to."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from caskbook.core.day_span import stretch_of
from caskbook.core.days import FIRST_DAY, DayError, add_days


@dataclass(frozen=True, slots=True)
class Period:
    """The days from `since` to `until`, both in it; None where that side is open. `day`: that of the report, up to which everything is known. `first` and
    `last`: its days, whatever was named; `over`: the day up to which time counts, itself left out, that after the last one; the day of the report
    is not over yet, and counts for nothing."""

    since: date | None
    until: date | None
    day: date
    first: date = field(init=False)
    last: date = field(init=False)
    over: date = field(init=False)

    def __post_init__(self) -> None:
        last = self.until or self.day
        for name, value in (("first", self.since or FIRST_DAY), ("last", last), ("over", min(add_days(last, 1), self.day))):
            object.__setattr__(self, name, value)

    @property
    def asked(self) -> bool:
        """Whether either side was named."""
        return self.since is not None or self.until is not None

    def holds(self, day: date) -> bool:
        """Whether what was done on a day was done in the period."""
        return self.first <= day <= self.last

    def meets(self, start: date, end: date | None) -> bool:
        """Whether what lasted from one day to another, or still does, did so on a day of the period, in part of that day at least."""
        return start <= self.last and (end is None or end >= self.first)

    def part_of(self, start: date, end: date | None) -> tuple[date, date]:
        """What of the time from one day to another lies in the period, the first day counted and the end left out; where nothing does, both are one day.
        Without an end it goes on to the day of the report."""
        since = start if start > self.first else self.first
        until = self.over if end is None or end > self.over else end
        return since, until if until > since else since

    def words(self) -> str:
        """As a head has it, behind a noun: the days, or up to which day."""
        if not self.asked:
            return f"up to {self.day}"
        span = f"from {self.since} to {self.last}" if self.since else f"up to {self.last}"
        return f"{span}, as the book has it on {self.day}"

    def data(self) -> dict[str, str | None]:
        """Both sides as data have them, None where one is open."""
        return {"from": self.since.isoformat() if self.since else None, "to": self.until.isoformat() if self.until else None}


def whole_time(day: date) -> Period:
    """All days up to one."""
    return Period(None, None, day)


def parse_period(since: str | None, until: str | None, day: date) -> Period:
    """The period of `--from` and `--to` as typed: each a day as `parse_input_day` takes it, a month or a year, of which --from begins with the first
    day and --to ends with the last one. A month or a year that is not over on `day` ends with it.

    DayError with the option for what is no day, a day ahead of `day`, and a first day after the last one."""
    first = _side("--from", since, day)
    last = _side("--to", until, day)
    begins, ends = first and first[0], last and min(last[1], day)
    if begins is not None and ends is not None and begins > ends:
        raise DayError(f"--from {begins} --to {ends}: the first day lies after the last one")
    return Period(begins, ends, day)


def _side(name: str, text: str | None, day: date) -> tuple[date, date] | None:
    if text is None:
        return None
    try:
        found = stretch_of(text, day)
    except DayError as error:
        raise DayError(f"{name}: {error}") from None
    if found[0] > day:
        raise DayError(f"{name} {text.strip()}: expected a day up to {day}, the day of the report; what comes after it is not known")
    return found
