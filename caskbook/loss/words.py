"""A loss in words: how much, against whom, by which limit, and what the strength says of leak or evaporation."""

from __future__ import annotations

import math
from datetime import date

from caskbook.how_many import how_many
from caskbook.jobs import Event
from caskbook.loss.fills import FillLoss
from caskbook.loss.intervals import COVERAGE, GAIN, UNCORRECTED, WITHIN, Interval
from caskbook.loss.peers import Expected
from caskbook.loss.verdicts import LossVerdict
from caskbook.units.tables import LITRES_PER_UK_GALLON, LITRES_PER_US_GALLON

_LIKE_USUAL = 0.06


def percent(share: float, places: int | None = None) -> str:
    """"8.4 %"; below one with two places."""
    value = share * 100
    shown = places if places is not None else 2 if abs(value) < 2 else 1
    return f"{value:.{shown}f} %"


def a_year(one: Interval) -> str:
    """"1.08 % a year ± 0.2", or how short it was."""
    if one.per_year is None or one.plus_minus is None:
        return "no yearly rate"
    return f"{percent(one.per_year)} a year ± {_error(one.plus_minus)}"


def _error(share: float) -> str:
    value = share * 100
    return f"{value:.2f}" if value < 0.1 else f"{value:.1f}"


def told_apart(one: Interval) -> str:
    """"0.80 % a year after 2.0 % in-drink", or nothing where it is not told apart."""
    if one.steady is None or not one.in_drink:
        return ""
    return f"{percent(one.steady)} a year after {percent(one.in_drink, 1)} in-drink"


def times_words(times: float) -> str:
    """"3.0 times", or that nothing is expected."""
    return f"{times:.1f} times" if math.isfinite(times) else "many times"


def expected_words(expected: Expected) -> str:
    """"43 peers (barrel, racked three, 2nd fill): 2.2 % a year"."""
    return f"{expected.source}: {percent(expected.rate)} a year, spread {_error(expected.spread)}"


def reasons_of(verdict: LossVerdict) -> tuple[str, ...]:
    """Why, in sentences with days, numbers and the setting used; they stay the same until something is entered."""
    loss, expected = verdict.loss, verdict.expected
    if verdict.level == "doubtful":
        return ("a gauge lies above an earlier one: which is wrong cannot be told; gauge again", *_gauges(loss))
    if loss.whole is None:
        return (f"filled {loss.record.filling.start}: no second gauge to compare with", *notes_of(loss)[:2])
    if expected is None:
        return ("no peers, no loss_table in house.yaml, and its store is not temperate: nothing to compare with",)
    if verdict.worst is None:
        after = told_apart(loss.whole)
        rate = f"{a_year(loss.whole)}{f', {after}' if after else ''}, {loss.whole.first.day} to {loss.whole.last.day}"
        return (rate, expected_words(expected), *_aside(loss))
    worst = verdict.worst
    one = worst.interval
    after = " after in-drink" if one.in_drink else ""
    first = f"{percent(one.steady or 0.0)} a year{after} ± {_error(one.steady_plus_minus or 0.0)}, {one.first.day} to {one.last.day}"
    second = f"{expected_words(expected)}; that is {times_words(worst.times)}; {worst.limit}"
    told = (first, second, signature(one, expected), *seen_leaks(loss), *_emptied(one, loss), *_unit(one, expected), *_aside(loss), *_flagged(one))
    return tuple(text for text in told if text)


def signature(one: Interval, expected: Expected) -> str:
    """What the strength says: a leak takes strong and weak alike, so the volume falls while the strength keeps to its peers'."""
    if one.drift is None or expected.drift is None or not one.last.lpa:
        return ""
    apart = one.drift - expected.drift
    room = COVERAGE * math.hypot(expected.drift_spread, one.drift_sigma)
    if abs(apart) <= room:
        return f"the volume falls while the strength keeps to its peers' ({_signed(one.drift)} % vol a year, theirs {_signed(expected.drift)}): as a leak does"
    return f"the strength goes another way than its peers' ({_signed(one.drift)} % vol a year, theirs {_signed(expected.drift)}): not as a leak alone does"


def _signed(value: float) -> str:
    return f"{value:+.2f}"


def seen_leaks(loss: FillLoss, most: int = 3) -> tuple[str, ...]:
    """"leaks seen: drip at joint-14 2020-02-01"."""
    seen = [event for event in loss.record.leaks if event.job == "leak"]
    words = [leak_words(event) for event in seen[-most:]]
    return (f"leaks seen: {', '.join(words)}",) if words else ()


def leak_words(event: Event) -> str:
    """"drip at joint-14 2020-02-01"."""
    return f"{event.says()} {event.date}"


def _emptied(one: Interval, loss: FillLoss) -> tuple[str, ...]:
    if one.last.lpa or one.last.event != loss.record.filling.end_event:
        return ()
    return (f"nothing came out of it {one.last.day}",)


def _unit(one: Interval, expected: Expected) -> tuple[str, ...]:
    """A gauge in gallons among litres looks like a great leak; as gallons it would be an ordinary one."""
    if not one.first.lpa or not one.last.lpa:
        return ()
    usual = (1.0 - min(0.9, expected.rate)) ** one.years
    for litres, name in ((LITRES_PER_US_GALLON, "US"), (LITRES_PER_UK_GALLON, "UK")):
        if abs(one.last.lpa * float(litres) / one.first.lpa / usual - 1.0) < _LIKE_USUAL:
            return (f"were the {one.last.litres} L of {one.last.day} {name} gallons? The loss would be the usual one: gauge again",)
    return ()


def _gauges(loss: FillLoss) -> tuple[str, ...]:
    gains = [one for one in loss.intervals if GAIN in one.flags]
    return tuple(f"{one.first.lpa or 0:.1f} L of alcohol {one.first.day}, then {one.last.lpa or 0:.1f} L {one.last.day}" for one in gains[:2])


def _aside(loss: FillLoss) -> tuple[str, ...]:
    if not loss.set_aside:
        return ()
    days = ", ".join(str(gauge.day) for gauge in loss.set_aside[:3])
    return (f"set aside, as it cannot be true beside the others: the gauge of {days}",)


def _flagged(one: Interval) -> tuple[str, ...]:
    return ("uncorrected: a gauge has no temperature",) if UNCORRECTED in one.flags else ()


def notes_of(loss: FillLoss) -> list[str]:
    """What is to be said of the gauges themselves, each once."""
    return list(dict.fromkeys(f"{gauge.job} {gauge.day}: {note}" for gauge in loss.record.gauges for note in gauge.notes))


def flag_words(flag: str) -> str:
    """A flag of an interval in words."""
    return {GAIN: "more than before, beyond the error", WITHIN: "more than before, within the error", UNCORRECTED: "uncorrected"}.get(flag, "no figure")


def years_words(years: float, start: date, end: date) -> str:
    """"8.1 years", or days below one year."""
    return f"{years:.1f} years" if years >= 1 else how_many((end - start).days, "day")
