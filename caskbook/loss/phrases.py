"""Parts of sentences about a loss: shares, rates, gauges and leaks in words."""

from __future__ import annotations

import math
from datetime import date

from caskbook.loss.fills import FillLoss
from caskbook.loss.intervals import GAIN, UNCORRECTED, WITHIN, Interval
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words
from caskbook.words.plural import number_of


def percent(share: float, places: int | None = None) -> str:
    """ "8.4 %"; below one with two places."""
    value = share * 100
    shown = places if places is not None else 2 if abs(value) < 2 else 1
    return f"{value:.{shown}f} %"


def a_year(one: Interval) -> str:
    """ "1.08 % a year ± 0.2", or how short it was."""
    if one.per_year is None or one.plus_minus is None:
        return "no yearly rate"
    return f"{percent(one.per_year)} a year ± {error_words(one.plus_minus)}"


def error_words(share: float) -> str:
    """ "0.2", of one; below 0.1 with two places."""
    value = share * 100
    return f"{value:.2f}" if value < 0.1 else f"{value:.1f}"


def told_apart(one: Interval) -> str:
    """ "0.80 % a year after 2.0 % in-drink", or nothing where it is not told apart."""
    if one.steady is None or not one.in_drink:
        return ""
    return f"{percent(one.steady)} a year after {percent(one.in_drink, 1)} in-drink"


def times_words(times: float) -> str:
    """ "3.0 times", or that nothing is expected."""
    return f"{times:.1f} times" if math.isfinite(times) else "many times"


def leak_words(event: Event) -> str:
    """ "drip at joint-14 2020-02-01"."""
    return f"{event_words(event)} {event.date}"


def notes_of(loss: FillLoss) -> list[str]:
    """What is to be said of the gauges themselves, each once."""
    return list(dict.fromkeys(f"{gauge.job} {gauge.day}: {note}" for gauge in loss.record.gauges for note in gauge.notes))


def flag_words(flag: str) -> str:
    """A flag of an interval in words."""
    return {GAIN: "more than before, beyond the error", WITHIN: "more than before, within the error", UNCORRECTED: "uncorrected"}.get(flag, "no figure")


def years_words(years: float, start: date, end: date) -> str:
    """ "8.1 years", or days below one year."""
    return f"{years:.1f} years" if years >= 1 else number_of((end - start).days, "day")


def doubted_gauges(loss: FillLoss) -> tuple[str, ...]:
    """The gauges that lie above an earlier one, two at most."""
    gains = [one for one in loss.intervals if GAIN in one.flags]
    return tuple(f"{one.first.lpa or 0:.1f} L of alcohol {one.first.day}, then {one.last.lpa or 0:.1f} L {one.last.day}" for one in gains[:2])
