"""How far counts by month scatter about what was expected, and the bands that follow: draws, quantiles, and those of plain forecasts.

Pure arithmetic with a source of chance that is given. A count is drawn as Poisson with a gamma-distributed mean (negative binomial), once for the
level of the whole time and once for each month; variances by the method of moments. Named from memory, held to another program by the tests.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from random import Random
from statistics import NormalDist
from typing import NamedTuple

YEAR = 12
PRIOR_LEVEL, PRIOR_YEARS = 0.01, 2.0
"""Before a book says how unlike its years are they differ by 10 %, as if two years had said so: a choice of this program, no source."""
_MANY, _EXACT = 30.0, 500.0


class Scatter(NamedTuple):
    """`month`, `year`: variance of the mean of a month, or of a year, about what was expected, as a share squared, beyond that of chance alone;
    `level`: how the last two years stood to it, drawn half-way back to 1."""

    month: float
    year: float
    level: float


def scatter_of(counts: Sequence[int], expected: Sequence[float]) -> Scatter:
    """The scatter of whole years, the last ones, against what was expected of each month.

    Within a year months are held against the year's own level, so that a level does not pass for scatter of months.
    """
    years = len(counts) // YEAR
    pairs = list(zip(counts, expected, strict=True))[len(counts) - years * YEAR :]
    above = below = between = squares = 0.0
    for n in range(years):
        months = pairs[n * YEAR : (n + 1) * YEAR]
        seen, wanted = sum(count for count, _ in months), sum(mean for _, mean in months)
        if not wanted or not seen:
            continue
        own = [mean * seen / wanted for _, mean in months]
        above += sum((count - mean) ** 2 for (count, _), mean in zip(months, own, strict=True)) - seen * (YEAR - 1) / YEAR
        below += sum(mean**2 for mean in own) * (YEAR - 1) / YEAR
        between += (seen - wanted) ** 2 - wanted
        squares += wanted**2
    month = max(0.0, above / below) if below else 0.0
    within = month * sum(mean**2 for _, mean in pairs)
    found = max(0.0, (between - within) / squares) if squares else 0.0
    year = (found * years + PRIOR_LEVEL * PRIOR_YEARS) / (years + PRIOR_YEARS)
    return Scatter(month, year, _level(pairs[-2 * YEAR :], year))


LEAST_SEASONS = 3
"""From so many whole years on the months of a year are told apart: a choice of this program, no source."""


def seasons_of(counts: Sequence[int], expected: Sequence[float], first: int) -> tuple[float, ...]:
    """Twelve factors, January's first, by which the months of a year stand to what was expected of them; all 1 where there are too few years.

    Each is drawn to 1 as far as the months of a year differ no more than chance has it (gamma prior, its variance by the method of moments).
    `first`: the month of the first count, counted from any January.
    """
    years = len(counts) // YEAR
    if years < LEAST_SEASONS:
        return (1.0,) * YEAR
    skipped = len(counts) - years * YEAR
    seen, wanted, squares = [0] * YEAR, [0.0] * YEAR, 0.0
    for at in range(skipped, len(counts)):
        month = (first + at) % YEAR
        seen[month] += counts[at]
        wanted[month] += expected[at]
        squares += expected[at] ** 2
    total = sum(wanted)
    wanted = [mean * sum(seen) / total for mean in wanted] if total else wanted
    scatter = scatter_of(counts, expected).month
    apart = sum((count - mean) ** 2 - mean for count, mean in zip(seen, wanted, strict=True)) - scatter * squares
    prior = apart / (sum(mean**2 for mean in wanted) or 1.0)
    if prior <= 0 or not total:
        return (1.0,) * YEAR
    return tuple((1 / prior + count) / (1 / prior + mean) for count, mean in zip(seen, wanted, strict=True))


def _level(last: Sequence[tuple[int, float]], year: float) -> float:
    """The level that the last two years leave to expect: by gamma and Poisson, and half of it, for nobody knows whether it lasts."""
    seen, wanted = sum(count for count, _ in last), sum(mean for _, mean in last)
    return 1 + ((1 / year + seen) / (1 / year + wanted) - 1) / 2


def draws_of(means: Sequence[float], scatter: Scatter, sampling: float, many: int, chance: Random) -> list[list[int]]:
    """`many` courses of counts, one count for each mean. `sampling`: variance of the means themselves, as a share squared, for curves are of so many
    ends only."""
    spread = scatter.year + sampling
    found = []
    for _ in range(many):
        level = scatter.level * _gamma(spread, chance)
        found.append([poisson(mean * level * _gamma(scatter.month, chance), chance) for mean in means])
    return found


def _gamma(variance: float, chance: Random) -> float:
    """A gamma draw of mean 1."""
    return chance.gammavariate(1 / variance, variance) if variance > 1e-9 else 1.0


def poisson(mean: float, chance: Random) -> int:
    """A Poisson draw: by multiplying up to a mean of 30, above it the normal draw bent by the skewness (Cornish and Fisher)."""
    if mean <= 0:
        return 0
    if mean > _MANY:
        z = chance.gauss(0.0, 1.0)
        return max(0, math.floor(mean + z * math.sqrt(mean) + (z * z - 1) / 6 + 0.5))
    limit, count, product = math.exp(-mean), 0, chance.random()
    while product > limit:
        count += 1
        product *= chance.random()
    return count


def binomial(count: int, share: float, chance: Random) -> int:
    """A binomial draw: from one success to the next by geometric steps; where its variance is above 30 the normal draw bent by the skewness."""
    if share > 0.5:
        return count - binomial(count, 1 - share, chance)
    spread = count * share * (1 - share)
    if spread > _MANY:
        z = chance.gauss(0.0, 1.0)
        return min(count, max(0, math.floor(count * share + z * math.sqrt(spread) + (1 - 2 * share) * (z * z - 1) / 6 + 0.5)))
    if share <= 0:
        return 0
    found, at, less = 0, 0, math.log1p(-share)
    while (at := at + 1 + int(math.log(1.0 - chance.random()) / less)) <= count:
        found += 1
    return found


class Band(NamedTuple):
    """A middle, and the edges between which so many of 100 courses lie, both in it."""

    middle: float
    low: int
    high: int

    def holds(self, count: float) -> bool:
        """Whether a count lies in it."""
        return self.low <= count <= self.high

    @property
    def width(self) -> float:
        """From edge to edge."""
        return self.high - self.low


def band_of(drawn: Sequence[int], percent: int) -> Band:
    """The band of drawn counts: as much left out below as above, no edge between two counts."""
    ordered = sorted(drawn)
    out = (100 - percent) * len(ordered) // 200
    low, high = ordered[out], ordered[len(ordered) - 1 - out]
    return Band(_middle(ordered), low, high)


def _middle(ordered: Sequence[int]) -> float:
    half = len(ordered) // 2
    return float(ordered[half]) if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def poisson_quantile(share: float, mean: float) -> int:
    """The smallest count up to which a Poisson count lies with this chance; of a mean above 500 by the normal quantile bent by the skewness."""
    if mean > _EXACT:
        z = NormalDist().inv_cdf(share)
        return max(0, math.floor(mean + z * math.sqrt(mean) + (z * z - 1) / 6 + 0.5))
    count, term = 0, math.exp(-mean)
    below = term
    while below < share and term > 0:
        count += 1
        term *= mean / count
        below += term
    return count


def by_last_year(counts: Sequence[int], ahead: int, percent: int) -> Band:
    """The plain forecast of the month so many ahead (1 to 12): that of a year before, with the spread of its own past errors (normal).

    `counts`: by month, the last month last; more than a year of them. ValueError where there are fewer.
    """
    if len(counts) <= YEAR or not 1 <= ahead <= YEAR:
        raise ValueError("a year and a month of counts, 1 to 12 months ahead")
    errors = [later - before for before, later in zip(counts, counts[YEAR:], strict=False)]
    spread = math.sqrt(sum(error**2 for error in errors) / len(errors))
    middle = counts[len(counts) - YEAR + ahead - 1]
    far = NormalDist().inv_cdf(0.5 + percent / 200) * spread
    return Band(float(middle), max(0, math.ceil(middle - far)), math.floor(middle + far))


def by_last_mean(counts: Sequence[int], percent: int) -> Band:
    """The other plain forecast: the mean of the last twelve months, with the spread of Poisson counts."""
    mean, out = sum(counts[-YEAR:]) / YEAR, (1 - percent / 100) / 2
    return Band(mean, poisson_quantile(out, mean) if mean else 0, poisson_quantile(1 - out, mean) if mean else 0)
