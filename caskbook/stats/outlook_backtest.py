"""An outlook held against what came: forecasts from days gone by, of the book as it was known then, beside two plain forecasts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from caskbook.stats.outlook import AT_LIMIT, BANDS, LEAKS, TIPS, Terms, outlook_of
from caskbook.stats.outlook_book import OutlookBook
from caskbook.stats.outlook_flow import LimitOf, left_of
from caskbook.stats.stock import Limit
from caskbook.stats.spread import YEAR, Band, by_last_mean, by_last_year

SCORED = (TIPS, AT_LIMIT, LEAKS)
OURS, LAST_YEAR, LAST_MEAN = "outlook", "last year", "last 12"
WAYS = (OURS, LAST_YEAR, LAST_MEAN)
LEAST_ORIGINS, LEAST_MONTHS = 6, 36
"""From so many origins on a test is told; an origin wants so many months before it. Choices of this program, no source."""


@dataclass(frozen=True, slots=True)
class Origin:
    """A day from which is forecast, the last of a month, with the book as it was known then. `revision`: the commit it was read from, empty where
    its entries up to the day stand for it; `limit_of`: the limits that the house had then."""

    day: date
    book: OutlookBook
    limit_of: LimitOf
    revision: str = ""


@dataclass(slots=True)
class Score:
    """How a way of forecasting did on one count with one band: of `n` months how many fell in it, and how wide it was, all together."""

    n: int = 0
    held: int = 0
    width: float = 0.0

    @property
    def coverage(self) -> float | None:
        """Share of the months in the band."""
        return self.held / self.n if self.n else None

    @property
    def mean_width(self) -> float | None:
        """From edge to edge, on average."""
        return self.width / self.n if self.n else None


Scores = Mapping[tuple[str, str, int], Score]
"""(count, way, percent) → how it did."""


@dataclass(frozen=True)
class BackTest:
    """What came of it. `used`: the origins that are in it; `left_out`: day → why another is not; `few`: count → how many origins had too few ends for
    it; `real`, `foreseen`: count → how many there were, and the middles added up, over all months scored."""

    used: tuple[Origin, ...]
    left_out: Mapping[date, str]
    months: int
    scores: Scores
    few: Mapping[str, int]
    real: Mapping[str, int]
    foreseen: Mapping[str, float]


def real_counts(book: OutlookBook, limit_on: Callable[[str, int], Limit | None]) -> dict[str, dict[int, int]]:
    """Count → month → how many there were, by the book as it is known now. `limit_on`: the limit of a type in a month."""
    found: dict[str, dict[int, int]] = {name: {} for name in SCORED}
    for tip in book.tips:
        found[TIPS][tip.month] = found[TIPS].get(tip.month, 0) + tip.count
        if left_of(tip.wood, limit_on(tip.type, tip.month)) == 0:
            found[AT_LIMIT][tip.month] = found[AT_LIMIT].get(tip.month, 0) + tip.count
    for leak in book.leaks:
        found[LEAKS][leak.start] = found[LEAKS].get(leak.start, 0) + leak.count
    return found


def back_test(origins: Sequence[Origin], real: Mapping[str, Mapping[int, int]], *, months: int, seed: int, leak_times: float = 1.0) -> BackTest:
    """The forecasts of so many months (12 at most) from each origin against the real counts. `leak_times`: as of `Terms`."""
    scores = {(name, way, percent): Score() for name in SCORED for way in WAYS for percent in BANDS}
    left_out: dict[date, str] = {}
    few, counted, foreseen = dict.fromkeys(SCORED, 0), dict.fromkeys(SCORED, 0), dict.fromkeys(SCORED, 0.0)
    used = []
    for origin in origins:
        if origin.book.watched.months < LEAST_MONTHS:
            left_out[origin.day] = f"{origin.book.watched.months} months before it: {LEAST_MONTHS} wanted"
            continue
        used.append(origin)
        found = outlook_of(origin.book, Terms(origin.limit_of, months, seed, leak_times))
        for name in SCORED:
            series, past = found.series[name], _past(origin, name)
            if series.few:
                few[name] += 1
                continue
            for at, period in enumerate(found.periods):
                count = real[name].get(period.month, 0)
                counted[name] += count
                foreseen[name] += series.means[at]
                for percent in BANDS:
                    ours = series.band(at, percent)
                    plain = by_last_year(past, at % YEAR + 1, percent), by_last_mean(past, percent)
                    for way, band in zip(WAYS, (ours, *plain), strict=True):
                        _score(scores[name, way, percent], band, count)
    return BackTest(tuple(used), left_out, months, scores, few, counted, foreseen)


def _score(score: Score, band: Band | None, count: int) -> None:
    if band is not None:
        score.n += 1
        score.held += band.holds(count)
        score.width += band.width


def _past(origin: Origin, name: str) -> list[int]:
    """The counts by month that the plain forecasts go by."""
    book = origin.book
    if name == TIPS:
        return book.tips_by_month
    if name == LEAKS:
        return book.leaks_by_month
    return book.by_month((tip.month, tip.count) for tip in book.tips if left_of(tip.wood, origin.limit_of(tip.type)) == 0)
