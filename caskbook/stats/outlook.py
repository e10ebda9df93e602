"""The work of the next months as far as it follows from the stock, the rules and the curves of the book: a middle and a range of each count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from random import Random

from caskbook.life.turns import CAME, TIP
from caskbook.stats.hazards import LEAST_ENDS, Curve, Stretch, expected_by_month
from caskbook.stats.outlook_book import Kind, OutlookBook
from caskbook.stats.outlook_curves import LAGS, Curves, Lags, curves_of
from caskbook.stats.outlook_flow import Charring, Expected, Flow, LimitOf, left_of
from caskbook.stats.spread import YEAR, Band, Scatter, band_of, draws_of, scatter_of, seasons_of
from caskbook.words.plural import number_of

TIPS, AT_LIMIT, FILLS, EXAMINED, TESTED, LEAKS, CLOSED, RETIRED = "tips", "re-chars", "fillings", "examinations", "tests", "leaks", "closed", "retired"
SERIES = (TIPS, AT_LIMIT, FILLS, EXAMINED, TESTED, LEAKS, CLOSED, RETIRED)
JOBS: Mapping[str, str] = {EXAMINED: "examine", TESTED: "test"}
BANDS = (50, 80, 95)
MANY = 1000
"""So many courses are drawn."""
MOST_MONTHS = 60


@dataclass(frozen=True, slots=True)
class Terms:
    """By what is forecast: the house's limit of a type, how many whole months, the seed. `leak_times`: the leaks taken so many times; other than 1 only
    where it is tried what a wrong rate does."""

    limit_of: LimitOf
    months: int = 12
    seed: int = 1
    leak_times: float = 1.0
    many: int = MANY


@dataclass(frozen=True, slots=True)
class Period:
    """A month of the outlook, `part` of it where the day lies in it."""

    month: int
    part: float

    @property
    def year(self) -> int:
        """The calendar year."""
        return self.month // 12


@dataclass(frozen=True)
class Series:
    """One count. `drawn`: courses, each a count for each period; empty where `few` says why there is no range; `past`: how many the months watched
    have of it; `scatter`: how far they scatter; `seasons`: by which factors its months of a year stand apart, January's first."""

    name: str
    drawn: tuple[Sequence[int], ...]
    means: tuple[float, ...]
    past: int
    scatter: Scatter
    seasons: tuple[float, ...] = (1.0,) * YEAR
    few: str = ""

    def band(self, at: int, percent: int) -> Band | None:
        """The band of one period."""
        return self.total((at,), percent)

    def total(self, periods: Sequence[int], percent: int) -> Band | None:
        """The band of several periods together: of their sum in each course."""
        return None if self.few else band_of([sum(course[at] for at in periods) for course in self.drawn], percent)


@dataclass(frozen=True)
class Outlook:
    """The outlook. `unknown`, `not_charred`: share of the tips of which no limit tells; `open_leaks`: how many are open on the day."""

    periods: tuple[Period, ...]
    series: Mapping[str, Series]
    curves: Curves
    charring: Charring
    book: OutlookBook
    terms: Terms
    unknown: float
    not_charred: float
    by_type: Mapping[str, float]
    open_leaks: int
    used: Mapping[str, tuple[int, tuple[Kind, ...]]]

    @property
    def years(self) -> dict[int, list[int]]:
        """Calendar year → its periods."""
        found: dict[int, list[int]] = {}
        for at, period in enumerate(self.periods):
            found.setdefault(period.year, []).append(at)
        return found


def outlook_of(book: OutlookBook, terms: Terms, part: float = 1.0) -> Outlook:
    """The outlook of the months after a day. `part`: what of the month after `book.last` is still to come, 1 where the day ends a month."""
    curves = curves_of(book, tuple(JOBS.values()))
    periods = _periods(book.last, terms.months, part)
    flow = Flow(book, curves, terms.limit_of)
    expected = [flow.month(period.part) for period in periods]
    means = _means(book, curves, terms, periods, expected)
    total = sum(one.tips for one in expected)
    sampling = _sampling(book, curves, flow, means)
    series = {}
    for name in SERIES:
        if name != AT_LIMIT:
            series[name] = _drawn(name, means[name], _past(book, name), _fitted(book, curves, name), sampling[name], terms, periods, book)
    series[AT_LIMIT] = _at_limit(series[TIPS], expected, _scatter_at_limit(book, terms.limit_of), terms)
    by_type: dict[str, float] = {}
    for month in expected:
        for kind, count in month.by_type.items():
            by_type[kind] = by_type.get(kind, 0.0) + count
    return Outlook(
        periods, {name: series[name] for name in SERIES}, curves, flow.charring, book, terms,
        sum(one.unknown for one in expected) / total if total else 0.0, sum(one.not_charred for one in expected) / total if total else 0.0,
        by_type, sum(leak.count for leak in book.leaks if leak.end is None), _used(book, curves),
    )  # fmt: skip


def _periods(last: int, months: int, part: float) -> tuple[Period, ...]:
    begun = [Period(last + 1, part)] if part < 1 else []
    first = last + 1 + len(begun)
    return (*begun, *(Period(first + n, 1.0) for n in range(months)))


def _used(book: OutlookBook, curves: Curves) -> dict[str, tuple[int, tuple[Kind, ...]]]:
    """Name of a curve of tips that stands for any cask now full → (its ends, the kinds it stands for)."""
    found: dict[str, tuple[int, tuple[Kind, ...]]] = {}
    for kind in sorted({one.kind for one in book.full}):
        named = curves.tip.of(kind)
        found[named.name] = named.curve.ends, (*found.get(named.name, (0, ()))[1], kind)
    return found


def _means(book: OutlookBook, curves: Curves, terms: Terms, periods: Sequence[Period], expected: Sequence[Expected]) -> dict[str, list[float]]:
    """The expected count of each period, by series."""
    leaks = [curves.leak * terms.leak_times * one.full * period.part for one, period in zip(expected, periods, strict=True)]
    found = {TIPS: [one.tips for one in expected], FILLS: [one.fills for one in expected], RETIRED: [one.retired for one in expected], LEAKS: leaks}
    found[CLOSED] = _closed(book, curves.dry, leaks, periods)
    for name, job in JOBS.items():
        lags = next(one for one in curves.lags if one.job == job)
        found[name] = _looks(book, lags, found[TIPS], periods)
    return found


def _closed(book: OutlookBook, dry: Curve, leaks: Sequence[float], periods: Sequence[Period]) -> list[float]:
    """The leaks that are closed: those open now by how long they have been, and those to be found."""
    found: list[float] = []
    ages: dict[int, float] = {}
    for leak in book.leaks:
        if leak.end is None:
            age = max(0, book.last + 1 - leak.start)
            ages[age] = ages.get(age, 0.0) + leak.count
    for period, new in zip(periods, leaks, strict=True):
        ages[0] = ages.get(0, 0.0) + new
        ended = {age: count * dry.rate(age) * period.part for age, count in ages.items()}
        found.append(sum(ended.values()))
        ages = {age + 1: count - ended[age] for age, count in ages.items()}
    return found


def _looks(book: OutlookBook, lags: Lags, tips: Sequence[float], periods: Sequence[Period]) -> list[float]:
    """Those that follow an emptying, or a coming, of before or of the months ahead, and the others."""
    emptied = {month: 0.0 for month in range(book.last - LAGS, book.last + 2)}
    came = dict(emptied)
    for tip in book.tips:
        emptied[tip.month] = emptied.get(tip.month, 0.0) + tip.count
    for one in book.came:
        came[one.month] = came.get(one.month, 0.0) + one.count
    recent = min(YEAR * 2, book.watched.months) or 1
    usual = sum(count for month, count in came.items() if book.last - recent < month <= book.last) / recent
    for period, count in zip(periods, tips, strict=True):
        emptied[period.month] = emptied.get(period.month, 0.0) + count
        came[period.month] = came.get(period.month, 0.0) + usual * period.part
    return [_look(lags, period.month, emptied, came) * period.part for period in periods]


def _look(lags: Lags, month: int, emptied: Mapping[int, float], came: Mapping[int, float]) -> float:
    after = sum(share * emptied.get(month - lag, 0.0) for lag, share in enumerate(lags.by_tip))
    return after + sum(share * came.get(month - lag, 0.0) for lag, share in enumerate(lags.by_coming)) + lags.others


def _past(book: OutlookBook, name: str) -> list[int]:
    """The counts of the months watched."""
    if name in JOBS:
        return book.looks_by_month(JOBS[name])
    if name == RETIRED:
        return book.by_month(book.retired.items())
    return {TIPS: book.tips_by_month, FILLS: book.fills_by_month, LEAKS: book.leaks_by_month, CLOSED: book.closed_by_month}[name]


def _fitted(book: OutlookBook, curves: Curves, name: str) -> list[float]:
    """What the curves would have expected of the months watched, of the casks that were there then."""
    watched = book.watched
    if name in JOBS:
        lags = next(one for one in curves.lags if one.job == JOBS[name])
        emptied, came = dict[int, float](), dict[int, float]()
        for tip in book.tips:
            emptied[tip.month] = emptied.get(tip.month, 0.0) + tip.count
        for one in book.came:
            came[one.month] = came.get(one.month, 0.0) + one.count
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


def _sampling(book: OutlookBook, curves: Curves, flow: Flow, means: Mapping[str, Sequence[float]]) -> dict[str, float]:
    """By series, the variance that its curves bring, for they are of so many ends only."""
    kinds = {place.kind for place in (*flow.full, *flow.empty)}
    tips = flow.sampling([curves.tip.of(kind).curve for kind in kinds], sum(means[TIPS]))
    bare = [Kind(kind.type, "") for kind in kinds]
    fills = flow.sampling([curves.fill.of(kind).curve for kind in bare], sum(means[FILLS]))
    gone = flow.sampling([curves.retire.of(kind).curve for kind in bare], sum(means[RETIRED]))
    looks = {name: tips + 1 / max(1, lags.seen) for name, lags in zip(JOBS, curves.lags, strict=True)}
    return {TIPS: tips, FILLS: fills, RETIRED: gone, LEAKS: 1 / max(1, curves.leaks), CLOSED: 1 / max(1, curves.dry.ends), **looks}


def _drawn(
    name: str, means: Sequence[float], past: Sequence[int], fitted: Sequence[float], sampling: float, terms: Terms, periods: Sequence[Period], book: OutlookBook
) -> Series:
    """One series with its courses, or why it has none; the months of a year are told apart as far as they are known to differ."""
    first, seen = book.watched.first, sum(past)
    seasons = seasons_of(past, fitted, first)
    scatter = scatter_of(past, [mean * seasons[(first + at) % YEAR] for at, mean in enumerate(fitted)])
    means = tuple(mean * seasons[period.month % YEAR] for mean, period in zip(means, periods, strict=True))
    if seen < LEAST_ENDS:
        return Series(name, (), means, seen, scatter, seasons, f"{number_of(seen, 'end')}: too few for a range; {LEAST_ENDS} wanted")
    chance = Random(f"{terms.seed} {name}")
    return Series(name, tuple(draws_of(means, scatter, sampling, terms.many, chance)), means, seen, scatter, seasons)


def _scatter_at_limit(book: OutlookBook, limit_of: LimitOf) -> tuple[int, Scatter]:
    """(how many tips of the months watched were at the limit, how far their share scatters), each year by its own share."""
    at = book.by_month((tip.month, tip.count) for tip in book.tips if left_of(tip.wood, _cached(limit_of)(tip.type)) == 0)
    every = book.tips_by_month
    wanted = []
    for n in range(len(every)):
        year = slice(n - n % YEAR, n - n % YEAR + YEAR)
        wanted.append(every[n] * sum(at[year]) / (sum(every[year]) or 1))
    return sum(at), scatter_of(at, wanted)


def _cached(limit_of: LimitOf) -> LimitOf:
    return cache(limit_of)


def _at_limit(tips: Series, expected: Sequence[Expected], past: tuple[int, Scatter], terms: Terms) -> Series:
    """Those of the tips that are at the limit: of each drawn count of tips a share, which scatters from month to month about the expected one."""
    seen, scatter = past
    shares = [one.at_limit / one.tips if one.tips else 0.0 for one in expected]
    means = tuple(share * mean for share, mean in zip(shares, tips.means, strict=True))
    if tips.few:
        return Series(AT_LIMIT, (), means, seen, scatter, tips.seasons, tips.few)
    chance = Random(f"{terms.seed} {AT_LIMIT}")
    drawn = [[_thinned(count, share, scatter.month, chance) for count, share in zip(course, shares, strict=True)] for course in tips.drawn]
    return Series(AT_LIMIT, tuple(drawn), means, seen, scatter, tips.seasons)


def _thinned(count: int, share: float, spread: float, chance: Random) -> int:
    """How many of so many, the share itself drawn by beta about its mean where months scatter more than chance has it."""
    if not count or share <= 0:
        return 0
    odds = (1 - share) / (share * spread) - 1 if spread > 1e-9 and share < 1 else 0.0
    own = chance.betavariate(share * odds, (1 - share) * odds) if odds > 1e-6 else share
    return sum(chance.random() < own for _ in range(count))


__all__ = ["BANDS", "CAME", "SERIES", "TIP", "Outlook", "Series", "Stretch", "Terms", "outlook_of"]
