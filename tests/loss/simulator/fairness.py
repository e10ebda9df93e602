"""Which leaks a judge has to find. Decided before any result was looked at.

A leak counts from a gauge that was made a year or more after its onset (its cost is a year's or more by then), and by what it had cost
at that gauge: `times`, what the cask has lost since the onset by what its peers lose in that time, and the litres of alcohol that are
gone by the leak.

The rule of what could be seen: at that gauge the leak must have cost three or more standard deviations of the difference of two gauges,
this one and the last one before the onset, each with the error that its instrument truly has. A judge that may accuse one sound cask in
a hundred in a decade, and looks once or twice a year, cannot speak below about three; so a smaller leak would more likely than not be
passed over by the best judge there can be. Natural spread, season, what the wood takes and slips are no excuse.

- `large`: some gauge can see it, and says three times the peers or more. It has to be found.
- `middle`: none such, but some gauge that can see it says twice or more, and three gauges or more were made after the onset. To be found.
- `few`: as `middle` with fewer than three gauges after the onset. Counted and printed.
- `unseen`: three times or twice the peers at some gauge, and none of these gauges could see it. Counted and printed.
- `small`: under twice the peers, or no gauge a year or more after the onset. Counted and printed.

A leak is found by the verdict `act` on any day after its onset on which somebody looks.
"""

from __future__ import annotations

import math
from typing import Literal

from loss.simulator.story import FillTruth, GaugeTruth
from loss.simulator.weather import YEAR

Size = Literal["large", "middle", "few", "unseen", "small"]
SEEN_FROM = 3.0
"""Standard deviations of the difference of two gauges."""
LARGE, MIDDLE = 3.0, 2.0
ENOUGH = 3
"""Gauges after the onset."""


def size_of(fill: FillTruth) -> Size:
    """How large a leak is by its rule above; the fill has one."""
    hole = fill.leak
    assert hole is not None
    before = [gauge for gauge in fill.gauges if gauge.day <= hole.onset]
    after = [gauge for gauge in fill.gauges if gauge.day > hole.onset]
    late = [gauge for gauge in after if (gauge.day - hole.onset).days >= YEAR]
    seen = [gauge for gauge in late if gauge.leaked >= SEEN_FROM * math.hypot(before[-1].sigma, gauge.sigma)]
    if any(times_at(fill, gauge) >= LARGE for gauge in seen):
        return "large"
    if any(times_at(fill, gauge) >= MIDDLE for gauge in seen):
        return "middle" if len(after) >= ENOUGH else "few"
    return "unseen" if any(times_at(fill, gauge) >= MIDDLE for gauge in late) else "small"


def times_at(fill: FillTruth, gauge: GaugeTruth) -> float:
    """What the cask has lost from the onset to a gauge, by what its peers lose in that time."""
    assert fill.leak is not None
    years = (gauge.day - fill.leak.onset).days / YEAR
    share = gauge.leaked / (gauge.there + gauge.leaked)
    return 1.0 - math.log(max(1e-6, 1.0 - share)) / (fill.hazard * years)
