"""A loss in words: how much, against whom, by which limit, and what the strength says of leak or evaporation."""

from __future__ import annotations

import math

from caskbook.gauging.units.tables import LITRES_PER_UK_GALLON, LITRES_PER_US_GALLON
from caskbook.loss.fill_summary import FillSummary, Stretch
from caskbook.loss.intervals import COVERAGE
from caskbook.loss.peers import Expected
from caskbook.loss.phrases import error_words, percent, times_words
from caskbook.loss.verdicts import LossVerdict

_LIKE_USUAL = 0.06
_MOST_NAMED = 3


def expected_words(expected: Expected) -> str:
    """ "43 peers (barrel, racked three, 2nd fill): 2.2 % a year"."""
    return f"{expected.source}: {percent(expected.rate)} a year, spread {error_words(expected.spread)}"


def reasons_of(verdict: LossVerdict) -> tuple[str, ...]:
    """Why, in sentences with days, numbers and the setting used; they stay the same until something is entered."""
    summary, expected = verdict.summary, verdict.expected
    if summary.doubtful is not None:
        return ("a gauge lies above an earlier one: which is wrong cannot be told; gauge again", *summary.doubtful)
    if not summary.stretches:
        return (f"filled {summary.start}: no second gauge to compare with", *summary.notes)
    if expected is None:
        return ("no peers, no loss_table in house.yaml, and its store is not temperate: nothing to compare with",)
    if verdict.worst is None:
        return (summary.usual, expected_words(expected), *_aside(summary))
    worst = verdict.worst
    one = worst.stretch
    after = " after in-drink" if one.in_drink else ""
    first = f"{percent(one.steady or 0.0)} a year{after} ± {error_words(one.plus_minus)}, {one.first} to {one.last}"
    second = f"{expected_words(expected)}; that is {times_words(worst.times)}; {worst.limit}"
    told = (first, second, signature(one, expected), *_leaks(summary), *_emptied(one), *_unit(one, expected), *_aside(summary), *_flagged(one))
    return tuple(text for text in told if text)


def signature(one: Stretch, expected: Expected) -> str:
    """What the strength says: a leak takes strong and weak alike, so the volume falls while the strength keeps to its peers'."""
    if one.drift is None or expected.drift is None or not one.lpa[1]:
        return ""
    apart = one.drift - expected.drift
    room = COVERAGE * math.hypot(expected.drift_spread, one.drift_sigma)
    if abs(apart) <= room:
        return f"the volume falls while the strength keeps to its peers' ({_signed(one.drift)} % vol a year, theirs {_signed(expected.drift)}): as a leak does"
    return f"the strength goes another way than its peers' ({_signed(one.drift)} % vol a year, theirs {_signed(expected.drift)}): not as a leak alone does"


def _signed(value: float) -> str:
    return f"{value:+.2f}"


def _leaks(summary: FillSummary) -> tuple[str, ...]:
    return (f"leaks seen: {', '.join(summary.leaks)}",) if summary.leaks else ()


def _emptied(one: Stretch) -> tuple[str, ...]:
    return (f"nothing came out of it {one.last}",) if one.emptied else ()


def _unit(one: Stretch, expected: Expected) -> tuple[str, ...]:
    """A gauge in gallons among litres looks like a great leak; as gallons it would be an ordinary one."""
    first, last = one.lpa
    if not first or not last:
        return ()
    usual = (1.0 - min(0.9, expected.rate)) ** one.years
    for litres, name in ((LITRES_PER_US_GALLON, "US"), (LITRES_PER_UK_GALLON, "UK")):
        if abs(last * float(litres) / first / usual - 1.0) < _LIKE_USUAL:
            return (f"were the {one.litres} L of {one.last} {name} gallons? The loss would be the usual one: gauge again",)
    return ()


def _aside(summary: FillSummary) -> tuple[str, ...]:
    if not summary.aside:
        return ()
    return (f"set aside, as it cannot be true beside the others: the gauge of {', '.join(summary.aside[:_MOST_NAMED])}",)


def _flagged(one: Stretch) -> tuple[str, ...]:
    return ("uncorrected: a gauge has no temperature",) if one.uncorrected else ()
