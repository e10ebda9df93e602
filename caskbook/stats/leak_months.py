"""Leaks month by month: what was found, healed and repaired in each, and the cask-years that casks lay filled in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from caskbook.core.days import DAYS_PER_YEAR, add_days
from caskbook.core.period import Period
from caskbook.life.leaks import HEALED, REPAIRED, Leak


class Month(NamedTuple):
    """What was found in a month, and what healed and was repaired in it, whenever it was found; the cask-years of the month."""

    month: str
    found: int
    healed: int
    repaired: int
    years: float


def months_of(leaks: Sequence[Leak], steps: Mapping[date, int], period: Period, begun: date) -> tuple[Month, ...]:
    """Every month of the period from that of the first filling on, `begun`. `leaks`: those of other days too, for what was found before the period may heal
    in it. `steps`: day of the period → by how many more, or fewer, lie filled from then on."""
    days = _filled_days(steps, max(begun, period.first), period)
    found = Counter(f"{leak.day:%Y-%m}" for leak in leaks if period.holds(leak.day))
    ended = Counter((f"{leak.ended:%Y-%m}", leak.outcome) for leak in leaks if leak.ended is not None and period.holds(leak.ended))
    return tuple(Month(month, found[month], ended[month, HEALED], ended[month, REPAIRED], count / DAYS_PER_YEAR) for month, count in days.items())


def _filled_days(steps: Mapping[date, int], since: date, period: Period) -> dict[str, int]:
    """Month → days that casks lay filled in it, all together."""
    found: dict[str, int] = {}
    if since > period.last:
        return found
    filled = 0
    turns = sorted({since, *steps, *_firsts(since, period.last), add_days(period.last, 1)})
    for now, then in zip(turns, turns[1:], strict=False):
        filled += steps.get(now, 0)
        month = f"{now:%Y-%m}"
        # The day of the report itself is over no more than any other day on which a spell ends.
        found[month] = found.get(month, 0) + filled * max(0, (min(then, period.over) - now).days)
    return found


def _firsts(since: date, last: date) -> Iterable[date]:
    """The first days of the months after a day, up to another."""
    months = range(12 * since.year + since.month, 12 * last.year + last.month)
    return (date(month // 12, month % 12 + 1, 1) for month in months)
