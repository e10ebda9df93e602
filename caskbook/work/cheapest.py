"""Which casks to take so that there are enough, at the least work. Pure functions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Cost = tuple[int, int, int]
"""Jobs, how many of them nobody knows the hours of, and the hours of the others in ten-thousandths: compared in this order."""


def cheapest_casks(costs: Sequence[Cost], want: int) -> list[int]:
    """The places of so many, or of all where there are fewer, whose costs sum to the least; of equal ones those that stand first."""
    return sorted(sorted(range(len(costs)), key=lambda at: costs[at])[:want])


def cheapest_litres(costs: Sequence[Cost], litres: Sequence[float], want: float) -> list[int]:
    """The places of casks that hold so many litres together at the least sum of costs; all, where that is less than wanted.

    Exact: of all sums only those are kept that nothing beats, dearer ones only with more litres. Where it is all one, what stands first is taken.
    """
    if sum(litres) < want:
        return list(range(len(costs)))
    best = [_Sum((0, 0, 0), 0.0)]
    for at in _useful(costs, litres, want):
        best = _unbeaten([*best, *(one.with_(at, costs[at], litres[at]) for one in best if one.litres < want)], want)
    return best[-1].places()


@dataclass(frozen=True, slots=True)
class _Sum:
    """Casks taken together: their costs and litres; the last one taken, and what was there before it."""

    cost: Cost
    litres: float
    last: int | None = None
    before: _Sum | None = None

    def with_(self, at: int, cost: Cost, litres: float) -> _Sum:
        """The same and one more."""
        return _Sum((self.cost[0] + cost[0], self.cost[1] + cost[1], self.cost[2] + cost[2]), self.litres + litres, at, self)

    def places(self) -> list[int]:
        """The places of all."""
        found, one = [], self
        while one.last is not None and one.before is not None:
            found.append(one.last)
            one = one.before
        return sorted(found)


def _useful(costs: Sequence[Cost], litres: Sequence[float], want: float) -> list[int]:
    """The casks, the cheapest first; of those that cost and hold the same no more than are enough by themselves."""
    held: dict[tuple[Cost, float], float] = {}
    found = []
    for at in sorted(range(len(costs)), key=lambda at: costs[at]):
        key = (costs[at], litres[at])
        if litres[at] > 0 and held.get(key, 0.0) < want:
            held[key] = held.get(key, 0.0) + litres[at]
            found.append(at)
    return found


def _unbeaten(sums: list[_Sum], want: float) -> list[_Sum]:
    """Those that no other beats, dearer ones behind; none behind the first that has enough."""
    sums.sort(key=lambda one: (one.cost, one.litres < want, one.litres if one.litres >= want else -one.litres))
    found: list[_Sum] = []
    for one in sums:
        if not found or one.litres > found[-1].litres:
            found.append(one)
            if one.litres >= want:
                break
    return found
