"""Of a fill whose years are kept, what went between two days that cut a year: the years within are taken as they are, those that are cut are reckoned anew."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from caskbook.index.loss_sums import ALWAYS, IN_DOUBT, NEVER, OUTSIDE
from caskbook.loss.account_fill import gone_by
from caskbook.loss.parts import Division

_FIGURES = (2, 3, 4)
"""Where in a year stand what was lost, in LPA and in litres, and what was put in."""


class Cut:
    """The first and the last day that count, where they cut a year. `since`, `until` are ordinals; `years` are those that are cut."""

    def __init__(self, division: Division, day: date) -> None:
        since, until = division.since or date.min, min(division.until or day, day)
        self.since, self.until, self.day = since.toordinal(), until.toordinal(), day.toordinal()
        self.years = {since.year} if (since.month, since.day) != (1, 1) else set[int]()
        if until < day and (until.month, until.day) != (12, 31):
            self.years.add(until.year)

    def touches(self, fills: Sequence[Any]) -> bool:
        """Whether some fill of a cask, each with its years, lasted into a year that is cut."""
        return any(fill[0] <= year and (not fill[1] or fill[1] >= year) for fill in fills if fill != IN_DOUBT for year in self.years)

    def years_of(self, fill: Sequence[Any], kept: Sequence[Any] | int) -> Sequence[Any] | int:
        """The years of a fill as `in_years` has them, what is outside left off; `fill` as `as_row` has it, `kept` as `in_years` has it."""
        if isinstance(kept, int):
            return kept
        start, end = fill[1], fill[2] or self.day
        first, last = max(start, self.since), min(end, self.until)
        if first > last:
            return OUTSIDE
        begun, ended = date.fromordinal(first).year, date.fromordinal(last).year
        if len(kept) == 2:
            return begun, ended
        steady, known = kept[2:]
        within: list[Sequence[int]] = []
        for one in known:
            if begun <= one[0] <= ended:
                within += _cut(fill, known, one, first, last, end) if one[0] in self.years else (one,)
        return begun, ended, steady, within


def _cut(fill: Sequence[Any], known: Sequence[Sequence[int]], year: Sequence[int], first: int, last: int, end: int) -> Sequence[Sequence[int]]:
    """A year of a fill as it is from one day to another; none where nothing is known of that time. `end`: the last day of the fill. All days are ordinals."""
    start, gauges = fill[1], fill[8][1]
    new_year, old_year = date(year[0], 1, 1).toordinal(), date(year[0], 12, 31).toordinal()
    before, until = max(first, new_year) - 1, min(last, old_year)
    from_begin, to_end = before == max(start, new_year) - 1, until == min(end, old_year)
    if from_begin and to_end:
        return (year,)
    if before >= abs(gauges[-1][0]) or until < abs(gauges[0][0]):
        return ()
    gone = [sum(one[n] for one in known if one[0] <= year[0]) for n in _FIGURES] if to_end else gone_by(fill[8], until)[:3]
    *had, there = [*(sum(one[n] for one in known if one[0] < year[0]) for n in _FIGURES), year[5] - year[4]] if from_begin else gone_by(fill[8], before)
    lpa, litres, put_in = (now - then for now, then in zip(gone, had, strict=True))
    complete = until <= abs(gauges[-1][0]) and abs(gauges[0][0]) <= max(before, start)
    return ((year[0], ALWAYS if complete else NEVER, lpa, litres, put_in, put_in + there),)
