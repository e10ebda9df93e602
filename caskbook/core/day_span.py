"""Some days on end, as they are typed: one day, FROM..TO, a month or a year."""

from __future__ import annotations

import re
from datetime import date

from caskbook.core.days import DayError, add_days, parse_input_day, parse_when

USUAL_DAYS = 7
_STRETCH = re.compile(r"\s*[0-9]{4}(-[0-9]{2})?\s*", re.ASCII)


def parse_span(text: str | None, today: date) -> tuple[date, date]:
    """(the first day, the last day) of what was typed, both in it: `2026-11-02..2026-11-08`, either side a day as `parse_input_day` takes it, a
    month or a year; `2026-11-02..` up to `today`; one of them alone; None the last seven days, today among them.

    DayError for anything else, and where the first day lies after the last."""
    if text is None:
        return add_days(today, 1 - USUAL_DAYS), today
    since, dots, until = text.partition("..")
    if dots and not since.strip():
        raise DayError(f"{text}: from which day? expected FROM..TO, as {add_days(today, 1 - USUAL_DAYS)}..{today}")
    first = stretch_of(since, today)
    last = first if not dots else stretch_of(until, today) if until.strip() else (today, today)
    if first[0] > last[1]:
        behind = "the day of the report" if dots and not until.strip() else "the last one"
        raise DayError(f"{text}: the first day, {first[0]}, lies after {behind}, {last[1]}; turned round it is {last[0]}..{first[1]}")
    return first[0], last[1]


def stretch_of(text: str, today: date) -> tuple[date, date]:
    """(first, last) of a day, a month or a year; DayError for anything else."""
    if _STRETCH.fullmatch(text):
        when = parse_when(text.strip())
        return when.first, when.last
    try:
        day = parse_input_day(text, today)
    except DayError as error:
        raise DayError(f"{error}; or a month, as {today:%Y-%m}, or a year") from None
    return day, day
