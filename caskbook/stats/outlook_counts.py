"""The counts of an outlook: what is to be expected of each month ahead, what the months watched had, and what the curves would have expected of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from caskbook.stats.hazards import Curve, expected_by_month
from caskbook.stats.outlook_book import Kind, OutlookBook
from caskbook.stats.outlook_curves import LAGS, Curves, Lags
from caskbook.stats.outlook_flow import Expected
from caskbook.stats.spread import YEAR

TIPS, AT_LIMIT, FILLS, EXAMINED, TESTED, LEAKS, CLOSED, RETIRED = "tips", "re-chars", "fillings", "examinations", "tests", "leaks", "closed", "retired"
SERIES = (TIPS, AT_LIMIT, FILLS, EXAMINED, TESTED, LEAKS, CLOSED, RETIRED)
JOBS: Mapping[str, str] = {EXAMINED: "examine", TESTED: "test"}


Seasons = tuple[float, ...]
"""By which factors the months of a year stand apart, January's first."""


@dataclass(frozen=True, slots=True)
class Period:
    """A month of the outlook, `part` of it where the day lies in it."""

    month: int
    part: float

    @property
    def year(self) -> int:
        """The calendar year."""
        return self.month // 12


def means_of(
    book: OutlookBook, curves: Curves, leak_times: float, periods: Sequence[Period], expected: Sequence[Expected], seasons: Mapping[str, Seasons]
) -> dict[str, list[float]]:
    """The expected count of each period, by series. `seasons`: of those series that are asked for; what follows from tips and leaks follows their seasons."""
    found = {TIPS: [one.tips for one in expected], FILLS: [one.fills for one in expected], RETIRED: [one.retired for one in expected]}
    found[LEAKS] = [curves.leak * leak_times * one.full * period.part for one, period in zip(expected, periods, strict=True)]
    for name in (TIPS, FILLS, RETIRED, LEAKS):
        found[name] = _in_season(found[name], periods, seasons.get(name))
    found[CLOSED] = _in_season(_closed(book, curves.dry, found[LEAKS], periods), periods, seasons.get(CLOSED))
    for name, job in JOBS.items():
        lags = next(one for one in curves.lags if one.job == job)
        found[name] = _in_season(_looks(book, lags, found[TIPS], periods), periods, seasons.get(name))
    return found


def _in_season(means: list[float], periods: Sequence[Period], seasons: Seasons | None) -> list[float]:
    return means if seasons is None else [mean * seasons[period.month % YEAR] for mean, period in zip(means, periods, strict=True)]


def _closed(book: OutlookBook, dry: Curve, leaks: Sequence[float], periods: Sequence[Period]) -> list[float]:
    """The leaks that are closed: those open now by how long they have been, and those to be found."""
    found: list[float] = []
    ages: dict[int, float] = {}
    for leak in book.leaks:
        if leak.end is None:
            age = max(0, book.last + 1 - leak.start)
            ages[age] = ages.get(age, 0.0) + leak.many
    for period, new in zip(periods, leaks, strict=True):
        ages[0] = ages.get(0, 0.0) + new
        ended = {age: count * dry.rate(age) * period.part for age, count in ages.items()}
        found.append(sum(ended.values()))
        ages = {age + 1: count - ended[age] for age, count in ages.items()}
    return found


def _looks(book: OutlookBook, lags: Lags, tips: Sequence[float], periods: Sequence[Period]) -> list[float]:
    """Those that follow an emptying, or a coming, of before or of the months ahead, and the others."""
    emptied = dict.fromkeys(range(book.last - LAGS, book.last + 2), 0.0)
    came = dict(emptied)
    for tip in book.tips:
        emptied[tip.month] = emptied.get(tip.month, 0.0) + tip.many
    for one in book.came:
        came[one.month] = came.get(one.month, 0.0) + one.many
    recent = min(YEAR * 2, book.watched.months) or 1
    usual = sum(count for month, count in came.items() if book.last - recent < month <= book.last) / recent
    for period, count in zip(periods, tips, strict=True):
        emptied[period.month] = emptied.get(period.month, 0.0) + count
        came[period.month] = came.get(period.month, 0.0) + usual * period.part
    return [_look(lags, period.month, emptied, came) * period.part for period in periods]


def _look(lags: Lags, month: int, emptied: Mapping[int, float], came: Mapping[int, float]) -> float:
    after = sum(share * emptied.get(month - lag, 0.0) for lag, share in enumerate(lags.by_tip))
    return after + sum(share * came.get(month - lag, 0.0) for lag, share in enumerate(lags.by_coming)) + lags.others


def past_of(book: OutlookBook, name: str) -> list[int]:
    """The counts of the months watched."""
    if name in JOBS:
        return book.looks_by_month(JOBS[name])
    if name == RETIRED:
        return book.by_month(book.retired.items())
    return {TIPS: book.tips_by_month, FILLS: book.fills_by_month, LEAKS: book.leaks_by_month, CLOSED: book.closed_by_month}[name]


def fitted_of(book: OutlookBook, curves: Curves, name: str) -> list[float]:
    """What the curves would have expected of the months watched, of the casks that were there then."""
    watched = book.watched
    if name in JOBS:
        lags = next(one for one in curves.lags if one.job == JOBS[name])
        emptied, came = dict[int, float](), dict[int, float]()
        for tip in book.tips:
            emptied[tip.month] = emptied.get(tip.month, 0.0) + tip.many
        for one in book.came:
            came[one.month] = came.get(one.month, 0.0) + one.many
        return [_look(lags, month, emptied, came) for month in range(watched.first, watched.last + 1)]
    if name == TIPS:
        return _summed(watched.months, [expected_by_month(found, curves.tip.of(kind).curve, watched) for kind, found in book.fills.items()])
    if name == LEAKS:
        steady = Curve((curves.leak,), 0, (0.0,))
        return _summed(watched.months, [expected_by_month(found, steady, watched) for found in book.fills.values()])
    if name == CLOSED:
        return expected_by_month(book.leaks, curves.dry, watched)
    pool = curves.fill if name == FILLS else curves.retire
    return _summed(watched.months, [expected_by_month(found, pool.of(Kind(kind, "")).curve, watched) for kind, found in book.empties.items()])


def _summed(months: int, parts: Sequence[Sequence[float]]) -> list[float]:
    return [sum(column) for column in zip(*parts, strict=True)] if parts else [0.0] * months
