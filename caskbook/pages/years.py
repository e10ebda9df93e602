"""The life of a cask along a line of years, as a picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from caskbook.core.days import UnknownDay
from caskbook.life import Life
from caskbook.pages.svg import picture, tag, words
from caskbook.render.time_line import Stretch, stretches

_WIDE, _TALL, _TOP = 720.0, 58.0, 8.0
_BAR = 26.0
_LETTER = 4.4
_PAST_WIDE = 40.0


def years_picture(life: Life) -> str:
    """Each fill, seasoning and empty time to scale, with the year under each year's first day where there is room. Empty before the first event."""
    found = stretches(life)
    if not found:
        return ""
    dated = [stretch.start for stretch in found if stretch.start is not None and _known(stretch.start)]
    if not dated:
        return ""
    scale = _Scale(min(dated), max(stretch.end for stretch in found), _PAST_WIDE if not _known(found[0].start) else 0.0)
    body = [part for stretch in found for part in _bar(stretch, scale)]
    return picture(_WIDE, _TALL, f"the years of {life.cask.id}", [*body, *_axis(scale)])


class _Scale:
    """From a day to how far along the line it is; what began nobody knows when stands in `before` at its left."""

    def __init__(self, first: date, last: date, before: float) -> None:
        self.first, self.last, self.before = first, last, before
        self._days = max(1, (last - first).days)

    def at(self, day: date) -> float:
        """How far along the line a day is."""
        return self.before + (_WIDE - 2 - self.before) * (day - self.first).days / self._days


def _known(day: date | None) -> bool:
    return day is not None and not isinstance(day, UnknownDay)


def _bar(stretch: Stretch, scale: _Scale) -> Iterator[str]:
    """A stretch as a bar, with the fullest of its labels that fits in it."""
    start = scale.at(stretch.start) if stretch.start is not None and _known(stretch.start) else 0.0
    wide = max(0.0, scale.at(stretch.end) - start)
    yield tag("rect", x=start, y=_TOP, width=wide, height=_BAR, class_=stretch.kind)
    label = _fitting(stretch.labels, wide)
    if label:
        yield words(label, start + wide / 2, _TOP + _BAR / 2 + 3, font_size=8)


def _fitting(labels: Sequence[str], wide: float) -> str:
    return next((label for label in labels if label and len(label) * _LETTER + 4 <= wide), "")


def _axis(scale: _Scale) -> Iterator[str]:
    """The years under the line, as many as there is room for."""
    years = range(scale.first.year, scale.last.year + 1)
    step = next(step for step in (1, 2, 5, 10, 25, 50, 100, 1000) if len(years) * 26 <= (_WIDE - scale.before) * step)
    for year in years:
        day = date(year, 1, 1)
        if year % step == 0 and day >= scale.first:
            x = scale.at(day)
            yield tag("line", x1=x, y1=_TOP + _BAR, x2=x, y2=_TOP + _BAR + 4, class_="line")
            yield words(f"{year:04d}", min(max(x, 10.0), _WIDE - 12), _TOP + _BAR + 14, font_size=8)
