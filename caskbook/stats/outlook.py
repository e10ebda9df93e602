"""The work of the next months as far as it follows from the stock, the rules and the curves of the book: a middle and a range of each count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import NamedTuple

from caskbook.stats.hazards import LEAST_ENDS, Watched
from caskbook.stats.outlook_book import Kind, OutlookBook
from caskbook.stats.outlook_counts import AT_LIMIT, CLOSED, FILLS, JOBS, LEAKS, RETIRED, SERIES, TIPS, Period, Seasons, fitted_of, means_of, past_of
from caskbook.stats.outlook_curves import Curves, curves_of
from caskbook.stats.outlook_flow import Charring, Expected, Flow, LimitOf, left_of
from caskbook.stats.spread import YEAR, Band, Scatter, band_of, binomial, draws_of, scatter_of, seasons_of
from caskbook.words.plural import number_of

BANDS = (50, 80, 95)
MANY = 1000
"""So many courses are drawn."""
MOST_MONTHS = 60


@dataclass(frozen=True, slots=True)
class Terms:
    """By what is forecast: the house's limit of a type, how many whole months, the seed. `leak_times`: the leaks taken so many times; other than 1 only
    where it is tried what a wrong rate does. `wanted`: which counts."""

    limit_of: LimitOf
    months: int = 12
    seed: int = 1
    leak_times: float = 1.0
    many: int = MANY
    wanted: tuple[str, ...] = SERIES


@dataclass(frozen=True)
class Series:
    """One count. `drawn`: courses, each a count for each period; empty where `few` says why there is no range; `past`: how many the months watched
    have of it; `scatter`: how far they scatter; `seasons`: by which factors its months of a year stand apart, January's first."""

    name: str
    drawn: tuple[Sequence[int], ...]
    means: tuple[float, ...]
    past: int
    scatter: Scatter
    seasons: Seasons = (1.0,) * YEAR
    few: str = ""

    def band(self, at: int, percent: int) -> Band | None:
        """The band of one period."""
        return self.total((at,), percent)

    def total(self, periods: Sequence[int], percent: int) -> Band | None:
        """The band of several periods together: of their sum in each course."""
        return None if self.few else band_of([sum(course[at] for at in periods) for course in self.drawn], percent)


@dataclass(frozen=True, slots=True)
class Around:
    """The book of all casks, of which the curves are, where an outlook is of some of them. `scatter`: how the months scatter is of all casks too, for those
    it is of are told by what they are today; `share`: how many of the full casks they are."""

    book: OutlookBook
    scatter: bool = False
    share: float = 1.0


@dataclass(frozen=True)
class Outlook:
    """The outlook. `book`: of the casks it is about; `unknown`, `not_charred`: share of the tips of which no limit tells; `open_leaks`: how many are open
    on the day; `used`: curve of tips → (its ends, the kinds now full that it stands for); `watched`: the months that the curves are of."""

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
    watched: Watched

    @property
    def years(self) -> dict[int, list[int]]:
        """Calendar year → its periods."""
        found: dict[int, list[int]] = {}
        for at, period in enumerate(self.periods):
            found.setdefault(period.year, []).append(at)
        return found


class _Fit(NamedTuple):
    """How many the months watched had, how they scatter, and their seasons."""

    seen: int
    scatter: Scatter
    seasons: Seasons


def outlook_of(book: OutlookBook, terms: Terms, part: float = 1.0, around: Around | None = None) -> Outlook:
    """The outlook of the months after a day. `part`: what of the month after `book.last` is still to come, 1 where the day ends a month; `around`:
    where the book is of some casks only, that of all of them."""
    around = around or Around(book)
    curves = curves_of(around.book, tuple(JOBS.values()))
    if around.share < 1:
        curves = replace(curves, lags=tuple(replace(one, others=one.others * around.share) for one in curves.lags))
    periods = _periods(book.last, terms.months, part)
    flow = Flow(book, curves, terms.limit_of, around.book)
    expected = [flow.month(period.part) for period in periods]
    past = around.book if around.scatter else book
    fits = {name: _fit(past, curves, name) for name in SERIES if name in terms.wanted and name != AT_LIMIT}
    means = means_of(book, curves, terms.leak_times, periods, expected, {name: fit.seasons for name, fit in fits.items()})
    sampling = _sampling(curves, flow, means)
    series = {name: _drawn(name, means[name], fit, sampling[name], terms) for name, fit in fits.items()}
    if TIPS in series:
        series[AT_LIMIT] = _at_limit(series[TIPS], expected, _scatter_at_limit(past, terms.limit_of), terms)
    types = sorted({name for month in expected for name in month.by_type})
    by_type = {name: sum(month.by_type.get(name, 0.0) for month in expected) for name in types}
    total = sum(one.tips for one in expected)
    shares = [sum(counts) / total if total else 0.0 for counts in ([one.unknown for one in expected], [one.not_charred for one in expected])]
    return Outlook(
        periods, {name: series[name] for name in terms.wanted}, curves, flow.charring, book, terms, shares[0], shares[1], by_type,
        sum(leak.many for leak in book.leaks if leak.end is None), _used(book, curves), around.book.watched,
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


def _sampling(curves: Curves, flow: Flow, means: Mapping[str, Sequence[float]]) -> dict[str, float]:
    """By series, the variance that its curves bring, for they are of so many ends only."""
    kinds = sorted({place.kind for place in (*flow.full, *flow.empty)})
    tips = flow.sampling([curves.tip.of(kind).curve for kind in kinds], sum(means[TIPS]))
    bare = [Kind(kind.type, "") for kind in kinds]
    fills = flow.sampling([curves.fill.of(kind).curve for kind in bare], sum(means[FILLS]))
    gone = flow.sampling([curves.retire.of(kind).curve for kind in bare], sum(means[RETIRED]))
    looks = {name: tips + 1 / max(1, lags.seen) for name, lags in zip(JOBS, curves.lags, strict=True)}
    return {TIPS: tips, FILLS: fills, RETIRED: gone, LEAKS: 1 / max(1, curves.leaks), CLOSED: 1 / max(1, curves.dry.ends), **looks}


def _fit(book: OutlookBook, curves: Curves, name: str) -> _Fit:
    """How the months watched stood to what the curves would have expected of them; the months of a year are told apart as far as they differ."""
    past, fitted, first = past_of(book, name), fitted_of(book, curves, name), book.watched.first
    seasons = seasons_of(past, fitted, first)
    return _Fit(sum(past), scatter_of(past, [mean * seasons[(first + at) % YEAR] for at, mean in enumerate(fitted)]), seasons)


def _drawn(name: str, means: Sequence[float], fit: _Fit, sampling: float, terms: Terms) -> Series:
    """One series with its courses, or why it has none."""
    if fit.seen < LEAST_ENDS:
        few = f"{number_of(fit.seen, 'end')}: too few for a range; {LEAST_ENDS} wanted"
        return Series(name, (), tuple(means), fit.seen, fit.scatter, fit.seasons, few)
    chance = Random(f"{terms.seed} {name}")
    return Series(name, tuple(draws_of(means, fit.scatter, sampling, terms.many, chance)), tuple(means), fit.seen, fit.scatter, fit.seasons)


def _scatter_at_limit(book: OutlookBook, limit_of: LimitOf) -> tuple[int, Scatter]:
    """(how many tips of the months watched were at the limit, how far their share scatters), each year by its own share."""
    at = book.by_month((tip.month, tip.many) for tip in book.tips if left_of(tip.wood, limit_of(tip.type)) == 0)
    every = book.tips_by_month
    wanted = []
    for n in range(len(every)):
        year = slice(n - n % YEAR, n - n % YEAR + YEAR)
        wanted.append(every[n] * sum(at[year]) / (sum(every[year]) or 1))
    return sum(at), scatter_of(at, wanted)


def _at_limit(tips: Series, expected: Sequence[Expected], past: tuple[int, Scatter], terms: Terms) -> Series:
    """Those of the tips that are at the limit: of each drawn count of tips a share, which scatters from month to month about the expected one."""
    seen, scatter = past
    shares = [one.at_limit / one.tips if one.tips else 0.0 for one in expected]
    means = tuple(share * mean for share, mean in zip(shares, tips.means, strict=True))
    if tips.few:
        return Series(AT_LIMIT, (), means, seen, scatter, tips.seasons, f"tips: {tips.few}")
    chance = Random(f"{terms.seed} {AT_LIMIT}")
    drawn = [[_thinned(count, share, scatter.month, chance) for count, share in zip(course, shares, strict=True)] for course in tips.drawn]
    return Series(AT_LIMIT, tuple(drawn), means, seen, scatter, tips.seasons)


def _thinned(count: int, share: float, spread: float, chance: Random) -> int:
    """How many of so many, the share itself drawn by beta about its mean where months scatter more than chance has it."""
    if not count or share <= 0:
        return 0
    odds = (1 - share) / (share * spread) - 1 if spread > 1e-9 and share < 1 else 0.0
    own = chance.betavariate(share * odds, (1 - share) * odds) if odds > 1e-6 else share
    return binomial(count, own, chance)
