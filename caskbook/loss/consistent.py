"""Which gauges of a fill can all be true: spirit does not grow, so a gauge above an earlier one beyond the error sets one aside."""

from __future__ import annotations

import math
from collections.abc import Sequence

from caskbook.loss.gauges import Gauge, Move
from caskbook.loss.intervals import COVERAGE

MOST_GAUGES = 400


def told_apart(entries: Sequence[Gauge | Move]) -> tuple[list[Gauge], list[Gauge], bool]:
    """(gauges that agree, gauges set aside, whether it cannot be told which are wrong).

    The longest run of gauges of which none lies above an earlier one beyond the error of both is kept; of several as long the
    one that loses least, for a slip that reads too little looks like a leak. Where a single gauge would be left, all are kept.
    """
    gauges, nets = _net(entries)
    rising = any(not _falls(gauges, nets, n, n + 1) for n in range(len(gauges) - 1))
    if not rising:
        return gauges, [], False
    if len(gauges) > MOST_GAUGES:
        return gauges, [], True
    chain = _longest(gauges, nets)
    if len(chain) < 2 or len(gauges) < 3:
        return gauges, [], True
    kept = [gauges[n] for n in chain]
    return kept, [gauge for n, gauge in enumerate(gauges) if n not in set(chain)], False


def _net(entries: Sequence[Gauge | Move]) -> tuple[list[Gauge], list[float]]:
    """The gauges that have a figure, and that figure with all earlier moves undone."""
    gauges: list[Gauge] = []
    nets: list[float] = []
    moved = 0.0
    for entry in entries:
        if isinstance(entry, Move):
            moved += entry.lpa or 0.0
        elif entry.lpa is not None:
            gauges.append(entry)
            nets.append(entry.lpa - moved)
    return gauges, nets


def nets_of(entries: Sequence[Gauge | Move]) -> dict[int, float]:
    """The `id` of each gauge that has a figure → litres of pure alcohol with all earlier moves of its fill undone."""
    gauges, nets = _net(entries)
    return {id(gauge): net for gauge, net in zip(gauges, nets, strict=True)}


def _falls(gauges: list[Gauge], nets: list[float], one: int, other: int) -> bool:
    """Whether a later gauge is not above an earlier one beyond their error."""
    first, last = gauges[one], gauges[other]
    error = COVERAGE * math.hypot(first.error * (first.lpa or 0.0), last.error * (last.lpa or 0.0))
    return nets[other] <= nets[one] + error


def _longest(gauges: list[Gauge], nets: list[float]) -> list[int]:
    """Places of the longest falling run; of equal ones that of the least loss."""
    best: list[tuple[int, float, int]] = []  # Each is (length, -(lost so far), place before).
    for n in range(len(gauges)):
        runs = [(best[m][0] + 1, best[m][1] - max(0.0, nets[m] - nets[n]), m) for m in range(n) if _falls(gauges, nets, m, n)]
        best.append(max(runs, default=(1, 0.0, -1)))
    at = max(range(len(gauges)), key=lambda n: best[n][:2])
    chain: list[int] = []
    while at >= 0:
        chain.append(at)
        at = best[at][2]
    return chain[::-1]
