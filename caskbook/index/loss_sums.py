"""What the fills of a cask come to in an account, as the index keeps it: as a whole, and year by year. By these they are summed without a row of any being made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from caskbook.core.days import DAYS_PER_YEAR
from caskbook.loss.account import WHOLE, Accounting, Whose, named
from caskbook.loss.account_fill import AccountFill, hundredths
from caskbook.loss.account_rows import NONE, FillRow
from caskbook.loss.parts import Division, Part, parts_of
from caskbook.loss.sums import Sums

BY_STORE, BY_YEAR = Division(by_store=True), Division(by_year=True)
IN_DOUBT, MOVED, _STILL = 1, 0, 0
NEVER, ALWAYS = 0, 1
OUTSIDE = (1, -1)
"""The years of a fill of which nothing counts: it ends before it begins."""
WITHOUT_MORE = 2
"""So long is what the peers make of a fill where neither leak nor doubt is told."""
SUMMED: Mapping[str, int] = {"lpa": 3, "litres": 4, "put_in": 5, "held": 6, "after_in_drink": 0, "times": 0, "cask": 0}
"""What a row has of a whole fill that is known by what it comes to, and where that stands, 0 where it is worked out."""
_STEADY = 2
Verdicts = Sequence[Sequence[Any]]


def in_sums(fill: AccountFill, day: date) -> list[Any] | int:
    """Of a fill as a whole: the store, `MOVED` where there were several; its rate without what the wood took at first; and, where it has them, its figures.
    `IN_DOUBT` of one in doubt, and of one that has no day."""
    if fill.doubt is not None or len(parts := parts_of(fill, day, WHOLE)) != 1:
        return IN_DOUBT
    known = _kept(fill, parts[0], None)
    return [_store_of(fill, day), fill.rates.steady if fill.rates else None, *(known or ())]


def _store_of(fill: AccountFill, day: date) -> str | int | None:
    """The store of a fill that lay in one alone, else `MOVED`."""
    first = fill.stays[0] if fill.stays else None
    if first is not None and first.since == fill.start and all(stay.store == first.store for stay in fill.stays):
        return first.store
    stores = parts_of(fill, day, BY_STORE)
    return stores[0].store if len(stores) == 1 else MOVED


def in_years(fill: AccountFill, day: date) -> list[Any] | int:
    """The same year by year: the years of beginning and end (`_STILL` while it lasts), its rate, and for each year that is known in part its figures behind it."""
    if fill.doubt is not None or (day if fill.end is None else fill.end) < fill.start:
        return IN_DOUBT
    parts = parts_of(fill, day, BY_YEAR) if fill.course is not None else ()
    kept = [[part.year, *known] for part in parts if (known := _kept(fill, part, part.year)) is not None]
    return [fill.start.year, _STILL if fill.end is None else fill.end.year, *([fill.rates.steady if fill.rates else None, kept] if kept else [])]


def _kept(fill: AccountFill, part: Part, year: int | None) -> list[Any] | None:
    """The figures of a part, None where there are none; the first is `ALWAYS` or `NEVER` gauged to the end, or the day up to which it is."""
    if part.lpa is None or fill.course is None:
        return None
    last = fill.course.whole.last.day
    ended = fill.end is not None or year is not None and date(year, 12, 31) <= last
    to_end = NEVER if not part.complete else ALWAYS if ended else last.toordinal()
    return [to_end, *map(hundredths, (part.lpa, part.litres, part.put_in, part.held))]


def is_plain(fills: Sequence[Any], verdicts: Verdicts) -> bool:
    """Whether no fill of a cask needs a row: none is in doubt or went by a leak."""
    for verdict in verdicts:
        if len(verdict) > WITHOUT_MORE:
            return False
    return IN_DOUBT not in fills


def summed_figures(cask: str, fills: Sequence[Any], verdicts: Verdicts, name: str) -> list[Any]:
    """A figure of each fill of a cask, by what they come to as wholes; none of them is in doubt. `name`: one of `SUMMED`, litres in hundredths."""
    if name == "cask":
        return [cask] * len(fills)
    at = SUMMED[name]
    if at:
        return [fill[at] if len(fill) > at else None for fill in fills]
    rates = [fill[1] if len(fill) > _STEADY else None for fill in fills]
    if name == "after_in_drink":
        return rates
    return [rate / expected if rate is not None and expected else None for rate, (_, expected) in zip(rates, verdicts, strict=True)]


def plain_row(cask: Whose, fill: Sequence[Any], summed: Sequence[Any], verdict: Sequence[Any], day: int) -> FillRow | None:
    """The row of a whole fill by what it comes to, `fill` and `summed` as they are kept; None where that is not enough."""
    event, start, end, band, store, _, doubts, _, kept = fill
    level, expected = verdict
    _, steady, *figures = summed
    whole = (*cask[:3], store, band, event, date.fromordinal(start))
    if kept is None:
        return FillRow(*whole, *(None,) * 11, expected, level, tuple(doubts), cask.supplier)
    (share, per_year, plus_minus, _, steady_plus_minus), gauges, _ = kept
    first, last = gauges[0][0], gauges[-1][0]
    if first < start or last > (end or day) or not figures:
        return None
    to_end, lpa, litres, put_in, held = figures
    lost = _litres(lpa)
    return FillRow(
        *whole, date.fromordinal(first), date.fromordinal(last), (last - first) / DAYS_PER_YEAR,
        _litres(litres), lost, _litres(put_in), share, per_year, plus_minus, steady, steady_plus_minus, expected, level, tuple(doubts), cask.supplier, None,
        _litres(held), steady / expected if steady is not None and expected else None, to_end == ALWAYS or to_end >= day, None, None, lost, NONE,
    )  # fmt: skip


def _litres(hundredths: int) -> Decimal:
    return Decimal(hundredths).scaleb(-2)


class Undivided:
    """What adds casks to sums by what their fills come to as a whole: by store each fill to its store, else all to one group."""

    def __init__(self, found: Accounting, day: date) -> None:
        self.found, self.day = found, day.toordinal()

    def take(self, name: str, fills: Sequence[Any], verdicts: Verdicts) -> bool:
        """A cask more, and the name of its group. False, and nothing is added, where some fill of it needs a row."""
        if not is_plain(fills, verdicts):
            return False
        if self.found.by == "store":
            return self._by_store(fills, verdicts)
        sums = self.found.group(name) if self.found.apart is None else self.found.apart
        self._add(sums, fills, verdicts)
        self.found.rows += len(fills)
        return True

    def _by_store(self, fills: Sequence[Any], verdicts: Verdicts) -> bool:
        """Each fill to its store. False, and nothing is added, where one lay in several."""
        stores: dict[str, list[int]] = {}
        for n, fill in enumerate(fills):
            if fill[0] == MOVED:
                return False
            stores.setdefault(named(fill[0], "store"), []).append(n)
        for store, some in stores.items():
            self._add(self.found.group(store), [fills[n] for n in some], [verdicts[n] for n in some])
        if self.found.apart is not None:
            self._add(self.found.apart, fills, verdicts)
        self.found.rows += len(fills)
        return True

    def _add(self, sums: Sums, fills: Sequence[Any], verdicts: Verdicts) -> None:
        sums.casks += 1
        for (_, steady, *known), (level, expected) in zip(fills, verdicts, strict=True):
            counted(sums, level, 1)
            if known:
                gauged(sums, known, steady, expected, self.day)

    def end(self) -> None:
        """Nothing is left to be added."""


def counted(sums: Sums, level: str, count: int) -> None:
    sums.fills += count
    if level == "act":
        sums.act += count
    elif level == "watch":
        sums.watch += count


def gauged(sums: Sums, known: Sequence[int], steady: float | None, expected: float | None, day: int) -> None:
    """The figures of one fill more, litres in hundredths; `steady`: its rate, `expected`: that of its peers; `day`: that of the answer."""
    to_end, lpa, litres, put_in, held = known
    sums.gauged += 1
    sums.lpa += lpa
    sums.litres += litres
    sums.put_in += put_in
    sums.held += held
    if to_end == ALWAYS or to_end >= day:
        sums.complete += 1
    if steady is not None:
        sums.rates.append(steady)
        if expected:
            sums.ratios.append(steady / expected)
