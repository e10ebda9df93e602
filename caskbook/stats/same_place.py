"""The same place again: of the places that were put right, how many leaked again within so many days."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from caskbook.core.period import Period, whole_time
from caskbook.life.mends import Repair
from caskbook.model.places import parse_place
from caskbook.stats.intervals import Interval, wilson
from caskbook.stats.parts import Cask

WITHIN_DAYS = 365
"""Within so many days a leak at the place is the same again, unless another number is asked for: common practice, no source."""
SMALL = 20
"""A share of fewer is said to be of few: common practice, no source."""
_KINDS = {"piece": "head piece", "head-joint": "head joint"}


class Kind(NamedTuple):
    """Repairs at one kind of place: of those `followed` so long, how many leaked `again`; `open`: not followed so long yet, or put right anew before."""

    name: str
    again: int
    followed: int
    open: int

    @property
    def share(self) -> float | None:
        """The share that leaked again; None of none."""
        return self.again / self.followed if self.followed else None

    @property
    def interval(self) -> Interval | None:
        """The interval of Wilson."""
        return wilson(self.again, self.followed)

    @property
    def small(self) -> bool:
        """Whether it is of few."""
        return self.followed < SMALL


class Again(NamedTuple):
    """A place that leaked again within the days, and the repair before it; `followed`: whether that is followed so long, and in the share."""

    cask: str
    repair: Repair
    days: int
    followed: bool


@dataclass(frozen=True, slots=True)
class SamePlace:
    """All that is told; `list`: each that leaked again within the days, the latest first, those of repairs too that are not followed so long yet."""

    within: int
    kinds: tuple[Kind, ...]
    whole: Kind
    list: tuple[Again, ...]

    @property
    def early(self) -> int:
        """How many of the list are in no share, for they are not followed so long yet."""
        return sum(not one.followed for one in self.list)


def same_place_of(casks: Iterable[Cask], day: date, within: int = WITHIN_DAYS, period: Period | None = None) -> SamePlace:
    """Repairs up to a day, those of the period if there is one, by kind of place; what leaked again is told up to `day`. A repair is followed where its cask was watched for `within` days after it, whether it leaked or not, so that
    quick leaks do not count for more; of those, one put right anew without a leak in that time tells nothing."""
    counts: dict[str, list[int]] = {}
    found: list[Again] = []
    holds = (period or whole_time(day)).holds
    for cask, mends in casks:
        for repair in mends.repairs:
            if not holds(repair.day):
                continue
            end = mends.stretch_on(repair.day).end or day
            count = counts.setdefault(_kind(repair.at), [0, 0, 0])
            days = (repair.again - repair.day).days if repair.again is not None else None
            leaked = days is not None and days <= within
            anew = repair.until is not None and (repair.until - repair.day).days < within
            followed = not ((end - repair.day).days < within or (anew and not leaked))
            if leaked and days is not None:
                found.append(Again(cask, repair, days, followed))
            if followed:
                count[0] += leaked
                count[1] += 1
            else:
                count[2] += 1
    kinds = sorted((Kind(name, *count) for name, count in counts.items()), key=lambda one: (-one.followed - one.open, one.name))
    whole = Kind("all", *(sum(count[n] for count in counts.values()) for n in range(3)))
    return SamePlace(within, tuple(kinds), whole, tuple(sorted(found, key=lambda one: (one.repair.again, one.cask, one.repair.at), reverse=True)))


def _kind(at: str) -> str:
    kind = parse_place(at).kind
    return _KINDS.get(kind, kind)
