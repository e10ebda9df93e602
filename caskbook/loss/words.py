"""A loss in words: how much, against whom, by which limit, and what the strength says of leak or evaporation."""

from __future__ import annotations

import math

from caskbook.core.days import years_between
from caskbook.loss.doubt import MOST_TIMES, STRENGTH_ERROR
from caskbook.loss.expected import Expected
from caskbook.loss.fill_summary import FillSummary
from caskbook.loss.intervals import COVERAGE, LEAST_YEARS
from caskbook.loss.leak import Leak
from caskbook.loss.phrases import error_words, percent, times_words
from caskbook.loss.verdicts import LossVerdict

_MOST_NAMED = 3


def expected_words(expected: Expected) -> str:
    """ "43 peers (barrel, racked three, 2nd fill): 2.2 % a year"."""
    return f"{expected.source}: {percent(expected.rate)} a year, spread {error_words(expected.spread)}"


def reasons_of(verdict: LossVerdict) -> tuple[str, ...]:
    """Why, in sentences with days, numbers and the setting used; they stay the same until something is entered."""
    summary, expected = verdict.summary, verdict.expected
    if summary.unread:
        return summary.doubtful or ()
    if summary.doubtful is not None:
        what = ", and the fill is out: correct the one that is wrong" if summary.ended else "; gauge again"
        return (f"a gauge lies above an earlier one: which is wrong cannot be told{what}", *summary.doubtful)
    if not summary.points and summary.in_vain:
        return (f"filled {summary.start}, and gauged since: no figure comes of it", *summary.notes)
    if not summary.points:
        return (f"filled {summary.start}: no second gauge to compare with", *summary.notes)
    if verdict.bare is not None:
        return (summary.usual, verdict.bare, *_leaks(summary), *_emptied(summary), *_aside(summary))
    if verdict.level == "unknown":
        return (summary.usual, _nothing_known(expected), *_aside(summary))
    if verdict.leak is None or expected is None:
        return (summary.usual, expected_words(expected), *_aside(summary)) if expected else (summary.usual,)
    if verdict.doubt is not None:
        doubt, what = verdict.doubt, "The fill is out: correct it if it was" if summary.ended else "Gauge again"
        return (
            f"the gauge of {doubt.day} ({doubt.event}) is likelier misread than the cask leaking: {doubt.words} {what}",
            *_much(verdict.leak, expected),
        )
    told = (
        *_much(verdict.leak, expected), _allowed(verdict), signature(summary, verdict.leak, expected), *_leaks(summary), *_emptied(summary), *_last_alone(verdict),
        *_aside(summary), *_bare_gauges(summary),
    )  # fmt: skip
    return tuple(text for text in told if text)


def _nothing_known(expected: Expected | None) -> str:
    if expected is None:
        return "no peers, no loss_table in house.yaml, and its store is not temperate: nothing to compare with"
    if expected.usual:
        return f"no peers and no loss_table in house.yaml: not judged; {expected.source}: {percent(expected.rate)} a year"
    return "litres put in or taken out are not known: nothing can be told"


def _much(leak: Leak, expected: Expected) -> tuple[str, ...]:
    """How much is gone, in litres and as a rate, beside what the peers lose."""
    begun = f"between {leak.onset[0]} and {leak.onset[1]}"
    room = f" ({leak.least:.1f} to {leak.most:.1f})" if leak.least < leak.most else ""
    litres = f"{leak.lpa:.1f} L of alcohol{room} are gone beyond what its peers lose"
    if leak.rate is None or leak.plus_minus is None:
        return (f"{litres}, {begun}", expected_words(expected))
    stopped = leak.kind == "once" and leak.seen is not leak.last
    first = f"{litres}, {begun}, and no more after" if stopped else f"{litres}, since {leak.onset[0]}, first seen {leak.onset[1]}"
    rate = f"{percent(leak.rate)} a year ± {error_words(leak.plus_minus)}, {leak.after.day} to {leak.last.day}; that is {times_words(leak.times)}"
    return (first, f"{rate} what they lose", expected_words(expected))


def _allowed(verdict: LossVerdict) -> str:
    """How far it stands out, and the false alarms that the house allows."""
    from_where = "the house acts" if verdict.level == "act" else "the house acts only"
    return f"{verdict.score:.1f} standard deviations above; {from_where} from {verdict.limit:.1f}"


def _last_alone(verdict: LossVerdict) -> tuple[str, ...]:
    """That one gauge alone tells it, so that another, while there is one to be made, is worth more than any reckoning."""
    leak = verdict.leak
    alone = leak is not None and leak.seen is leak.last and not leak.last.emptied and len(verdict.summary.points) > 2
    what = ", and no other can be made: the fill is out" if verdict.summary.ended else ": gauge again"
    return (f"its last gauge alone shows it{what}",) if alone else ()


def signature(summary: FillSummary, leak: Leak, expected: Expected) -> str:
    """What the strength says: a leak takes strong and weak alike, so that the strength keeps to its peers'; the air that takes so many times as much would move
    it so many times as fast. Told only where the two lie further apart than strengths are known, else that it cannot tell."""
    drift, sigma = _drift(summary, leak)
    if drift is None or expected.drift is None or not leak.last.lpa:
        return ""
    by_air = expected.drift * min(leak.times, MOST_TIMES)
    room = COVERAGE * math.hypot(expected.drift_spread, sigma)
    theirs = f"({_signed(drift)} % vol a year, theirs {_signed(expected.drift)})"
    if abs(by_air - expected.drift) <= 2.0 * room:
        return f"the strength cannot tell leak from air {theirs}: a leak would leave it, the air bring it to {_signed(by_air)}, and it is known to ± {room:.2f}"
    if abs(drift - expected.drift) <= room:
        return f"the strength keeps to its peers' {theirs}, while the volume falls: as a leak does"
    part = (drift - expected.drift) / (by_air - expected.drift)
    if part < 0:
        return f"the strength goes another way than its peers' {theirs}: neither as a leak nor as the air alone"
    if part < 0.5:
        return f"the strength lies between {theirs}: a leak would leave it, the air bring it to {_signed(by_air)}"
    return f"the strength goes faster than its peers' {theirs}, as the volume does: as the air does, not a leak alone"


def _drift(summary: FillSummary, leak: Leak) -> tuple[float | None, float]:
    """(% vol a year from the gauge after which the loss begins, standard deviation); None where something was put in, or it is too short."""
    first, last = leak.after, leak.last
    years = years_between(first.day, last.day)
    mixed = any(point.mixed for point in summary.points if first.day < point.day <= last.day)
    if mixed or not first.abv or not last.abv or years < LEAST_YEARS:
        return None, 0.0
    return (last.abv - first.abv) / years, STRENGTH_ERROR * math.sqrt(2.0) / years


def _signed(value: float) -> str:
    return f"{value:+.2f}"


def _leaks(summary: FillSummary) -> tuple[str, ...]:
    return (f"leaks seen: {', '.join(summary.leaks)}",) if summary.leaks else ()


def _emptied(summary: FillSummary) -> tuple[str, ...]:
    last = summary.points[-1]
    return (f"nothing came out of it {last.day}",) if last.emptied else ()


def _aside(summary: FillSummary) -> tuple[str, ...]:
    """The gauges set aside, each with what it was probably meant to be."""
    return tuple(f"set aside, as it cannot be true beside the others: the gauge of {words}" for words in summary.aside[:_MOST_NAMED])


def _bare_gauges(summary: FillSummary) -> tuple[str, ...]:
    return ("uncorrected: a gauge has no temperature",) if any(point.uncorrected for point in summary.points) else ()
