"""An outlook held against what came: forecasts from days gone by, of the book as it was known then, beside two plain forecasts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache

from caskbook.stats.outlook import BANDS, Series, Terms, outlook_of
from caskbook.stats.outlook_book import OutlookBook
from caskbook.stats.outlook_counts import AT_LIMIT, LEAKS, TIPS
from caskbook.stats.outlook_flow import LimitOf, left_of
from caskbook.stats.spread import YEAR, band_of, by_last_mean, by_last_year
from caskbook.stats.stock import Limit

SCORED = (TIPS, AT_LIMIT, LEAKS)
OURS, LAST_YEAR, LAST_MEAN = "outlook", "last year", "last 12"
WAYS = (OURS, LAST_YEAR, LAST_MEAN)
TOGETHER = "together"
"""Beside the ways: ours of all months of an origin together, of which the plain forecasts say nothing."""
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
    """How a way of forecasting did on one count with one band: of `n` months how many fell in it, and how wide it was, all together. `claimed`: the share of
    its own courses in its bands, all together; more than asked for, for an edge cannot part a whole count."""

    n: int = 0
    held: int = 0
    width: float = 0.0
    claimed: float = 0.0

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
        found[TIPS][tip.month] = found[TIPS].get(tip.month, 0) + tip.many
        if left_of(tip.wood, limit_on(tip.type, tip.month)) == 0:
            found[AT_LIMIT][tip.month] = found[AT_LIMIT].get(tip.month, 0) + tip.many
    for leak in book.leaks:
        found[LEAKS][leak.start] = found[LEAKS].get(leak.start, 0) + leak.many
    return found


def back_test(origins: Sequence[Origin], real: Mapping[str, Mapping[int, int]], *, months: int, seed: int, leak_times: float = 1.0) -> BackTest:
    """The forecasts of so many months (12 at most) from each origin against the real counts. `leak_times`: as of `Terms`."""
    scores = {(name, way, percent): Score() for name in SCORED for way in (*WAYS, TOGETHER) for percent in BANDS}
    left_out: dict[date, str] = {}
    few, counted, foreseen = dict.fromkeys(SCORED, 0), dict.fromkeys(SCORED, 0), dict.fromkeys(SCORED, 0.0)
    used = []
    for origin in origins:
        if origin.book.watched.months < LEAST_MONTHS:
            left_out[origin.day] = f"{origin.book.watched.months} months before it: {LEAST_MONTHS} wanted"
            continue
        used.append(origin)
        found = outlook_of(origin.book, Terms(cache(origin.limit_of), months, seed, leak_times, wanted=SCORED))
        for name in SCORED:
            few[name] += bool(found.series[name].few)
            _score_together(scores, found.series[name], [real[name].get(period.month, 0) for period in found.periods])
            for at, period in enumerate(found.periods if not found.series[name].few else ()):
                count = real[name].get(period.month, 0)
                counted[name] += count
                foreseen[name] += found.series[name].means[at]
                _score(scores, found.series[name], _past(origin, name), at, count)
    return BackTest(tuple(used), left_out, months, scores, few, counted, foreseen)


def _score(scores: Scores, series: Series, past: Sequence[int], at: int, count: int) -> None:
    """One month of one count, by every way and with every band."""
    drawn = [course[at] for course in series.drawn]
    for percent in BANDS:
        ours = band_of(drawn, percent)
        plain = by_last_year(past, at % YEAR + 1, percent), by_last_mean(past, percent)
        scores[series.name, OURS, percent].claimed += sum(map(ours.holds, drawn)) / len(drawn)
        for way, band in zip(WAYS, (ours, *plain), strict=True):
            score = scores[series.name, way, percent]
            score.n += 1
            score.held += band.holds(count)
            score.width += band.width


def _score_together(scores: Scores, series: Series, counts: Sequence[int]) -> None:
    """All months of an origin in one, with every band."""
    drawn = [sum(course) for course in series.drawn]
    for percent in BANDS if drawn else ():
        band, score = band_of(drawn, percent), scores[series.name, TOGETHER, percent]
        score.n += 1
        score.held += band.holds(sum(counts))
        score.width += band.width
        score.claimed += sum(map(band.holds, drawn)) / len(drawn)


def _past(origin: Origin, name: str) -> list[int]:
    """The counts by month that the plain forecasts go by."""
    book = origin.book
    if name == TIPS:
        return book.tips_by_month
    if name == LEAKS:
        return book.leaks_by_month
    return book.by_month((tip.month, tip.many) for tip in book.tips if left_of(tip.wood, origin.limit_of(tip.type)) == 0)


@dataclass(frozen=True)
class BackTestReport:
    """What is told of a back-test. `times`: the day, as far as it was asked for; `casks`: how many the book has; `silent`: how many more
    are left out, for not all that their files say can be read."""

    day: date
    test: BackTest
    seed: int
    casks: int
    silent: int = 0
    explain: bool = False
    times: Mapping[str, str] = field(default_factory=dict)

    @property
    def by_git(self) -> int:
        """How many origins are of a commit of then."""
        return sum(bool(origin.revision) for origin in self.test.used)

    @property
    def enough(self) -> bool:
        """Whether so many origins are in it that a test is told."""
        return len(self.test.used) >= LEAST_ORIGINS


def meant(report: BackTestReport) -> list[tuple[str, str]]:
    """(figure, what it means)."""
    return [
        ("origins", f"the last days of whole months, a year apart; each wants {LEAST_MONTHS} months before it, and is forecast from for {report.test.months} months"),
        ("known then", "where git has a commit up to the end of the day on the branch that is checked out, the files and the house.yaml of that commit; else the"
         " entries that the book held: dated up to the day, and by the minute in their ids and their place in the file not entered later; what"
         " was voided, replaced or moved later still stands there. Entries of an imported register count from their own day, for nobody"
         " knows when they were first written, and house.yaml is that of today by the settings of the day"),
        ("came", "by the book as it is known on the day of the report; at the limit by the settings of its own month"),
        ("in it", "share of the months of which the count lay in the band, both edges in it; n months, of which a year's are not independent"),
        ("own draws", "share of the drawn courses in the band: more than asked for, for an edge cannot part a whole count. A band that is right holds about so many"),
        (TOGETHER, "the sum of all months from one origin, so that n is that of the origins: whether the level of a year is held, not only its months"),
        ("wide", "from edge to edge, on average"),
        (LAST_YEAR, "the count of the same month a year before, with the spread of all such differences before (normal)"),
        (LAST_MEAN, "the mean of the last twelve months, with the spread of Poisson counts"),
        ("too few", f"origins at which a count had fewer ends than a range wants are in none of its rows; from {LEAST_ORIGINS} origins on a test is told"),
    ]  # fmt: skip
