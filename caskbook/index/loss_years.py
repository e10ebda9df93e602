"""What the years of the fills of a cask come to in an account, summed without a row of any being made."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from caskbook.index.loss_sums import ALWAYS, IN_DOUBT, MOVED, NEVER, OUTSIDE, SUMMED, WITHOUT_MORE, Verdicts, counted, gauged, is_plain
from caskbook.loss.account import Accounting, named
from caskbook.loss.account_rows import FillRow
from caskbook.loss.parts import Division
from caskbook.loss.sums import Sums

_HELD = 20_000
"""So many years of fills are held before they are added."""


class ByYear:
    """The same by the figures of their years, those alone that a division counts: each to its year, or all to one group. Nothing is added for a year of
    which nothing is known: how many fills there were in it is counted at the end."""

    def __init__(self, found: Accounting, division: Division, day: date) -> None:
        self.found, self.day = found, day.toordinal()
        self.first, self.last = within(division, day)
        self.lasted: Counter[tuple[int, int, str]] = Counter()
        self.casks: Counter[tuple[int, int]] = Counter()
        self.kept = _Years(found, day)

    def take(self, name: str, fills: Sequence[Any], verdicts: Verdicts) -> bool:
        """A cask more, and the name of its group. False, and nothing is added, where some fill of it needs a row."""
        if not is_plain(fills, verdicts):
            return False
        self.add(name, fills, verdicts)
        return True

    def add(self, name: str, fills: Sequence[Any], verdicts: Verdicts, *, alone: bool = False) -> None:
        """The fills of a cask more, none of which needs a row. `alone`: to its group, where all together are summed apart too."""
        found, by_year, first, last = self.found, self.found.by == "year", self.first, self.last
        whole: Sums | None = None
        until = 0
        for (start, end, *more), (level, expected) in zip(fills, verdicts, strict=True):
            start = start if start > first else first
            end = end if end and end < last else last
            if start > end:
                continue
            if whole is None:
                whole = found.group(name) if alone or found.apart is None else found.apart
            counted(whole, level, 1)
            found.rows += 0 if alone else end - start + 1 if by_year else 1
            steady, known = more or (None, ())
            if known and (known[0][0] < start or known[-1][0] > end):
                known = [one for one in known if start <= one[0] <= end]
            if known and not by_year:
                gauged(whole, _together(known, end - start + 1, self.day), steady, expected, self.day)
            if by_year:
                if end > until:  # The fills of a cask come in time: of a year in which one ended and another began it is counted once.
                    self.casks[max(start, until + 1), end] += 1
                    until = end
                self.lasted[start, end, level] += 1
                if known:
                    whole.complete += _is_complete([one[1] for one in known], end - start + 1, self.day)
                    self.kept.add(known, steady, expected)
        if whole is not None:
            whole.casks += 1

    def take_sound(self, fills: Sequence[Any], verdicts: Verdicts) -> set[int]:
        """Of a cask of which some fill needs a row those fills that need none are added; the numbers of the others. None of them, and nothing is added, where one is in doubt."""
        if IN_DOUBT in fills:
            return set()
        leaking = {n for n, verdict in enumerate(verdicts) if len(verdict) > WITHOUT_MORE}
        sound = [n for n in range(len(fills)) if n not in leaking]
        self.take("", [fills[n] for n in sound], [verdicts[n] for n in sound])
        return leaking

    def once(self, fills: Sequence[Any], leaking: set[int], rows: Sequence[FillRow]) -> None:
        """A cask counts once, of which some fills were added here and others by their rows."""
        spans = [(max(start, self.first), min(end or self.last, self.last)) for n, (start, end, *_) in enumerate(fills) if n not in leaking]
        years = {year for start, end in spans for year in range(start, end + 1)}
        for year in years & {row.year for row in rows}:
            self.found.group(str(year)).casks -= 1
        if years and rows and self.found.apart is not None:
            self.found.apart.casks -= 1

    def end(self) -> None:
        """How many casks and fills there were in each year, and what is still held of them."""
        self.kept.end()
        for (start, end), count in self.casks.items():
            for year in range(start, end + 1):
                self.found.group(str(year)).casks += count
        for (start, end, level), count in self.lasted.items():
            for year in range(start, end + 1):
                counted(self.found.group(str(year)), level, count)


class _Years:
    """What adds the figures of years to their groups, and to all together, many at once, a column after the other: each by itself would take far longer."""

    def __init__(self, found: Accounting, day: date) -> None:
        self.found, self.day, self.held = found, day.toordinal(), 0
        self.whole = Sums() if found.apart is None else found.apart
        self.figures: defaultdict[int, list[Sequence[int]]] = defaultdict(list)
        self.rates: defaultdict[tuple[int, int], list[float]] = defaultdict(list)
        self.ratios: defaultdict[tuple[int, int], list[float]] = defaultdict(list)

    def add(self, known: Sequence[Sequence[int]], steady: float | None, expected: float | None) -> None:
        """The years of one fill more, each once and in time; `steady`: its rate, `expected`: that of its peers."""
        figures = self.figures
        for one in known:
            figures[one[0]].append(one)
        self.held += len(known)
        whole, begun = self.whole, known[0]
        whole.gauged += 1
        whole.held += begun[5] - begun[4]
        if steady is not None:
            whole.rates.append(steady)
            if expected:
                whole.ratios.append(steady / expected)
            first, last = known[0][0], known[-1][0]
            for span in [(first, last)] if last - first < len(known) else [(one[0], one[0]) for one in known]:
                self.rates[span].append(steady)
                if expected:
                    self.ratios[span].append(steady / expected)
        if self.held > _HELD:
            self._sum_up()

    def _sum_up(self) -> None:
        """The figures that are held are added to the sums of their years and of the whole, in hundredths of a litre, and let go."""
        whole = self.whole
        for year, some in self.figures.items():
            sums = self.found.group(str(year))
            _, ends, *columns = zip(*some, strict=True)
            lpa, litres, put_in, held = map(sum, columns)
            sums.gauged += len(some)
            sums.lpa += lpa
            sums.litres += litres
            sums.put_in += put_in
            sums.held += held
            whole.lpa += lpa
            whole.litres += litres
            whole.put_in += put_in
            whole.held += put_in  # What was there when it began is in it already.
            sums.complete += ends.count(ALWAYS) + sum(end >= self.day for end in ends if end != ALWAYS)
        self.figures.clear()
        self.held = 0

    def end(self) -> None:
        """Nothing is held any more."""
        self._sum_up()
        for spans, name in ((self.rates, "rates"), (self.ratios, "ratios")):
            for (first, last), values in spans.items():
                for year in range(first, last + 1):
                    getattr(self.found.group(str(year)), name).extend(values)


class ByPlace:
    """The same of fills that lay in one store alone, all or only those of some stores: by store each to its own. `fills` of a cask are here what they come to as wholes, and by year."""

    def __init__(self, years: ByYear, division: Division) -> None:
        self.years, self.stores, self.by_store = years, division.stores, division.by_store

    def take(self, name: str, fills: Sequence[Any], verdicts: Verdicts) -> bool:
        """A cask more, and the name of its group. False, and nothing is added, where some fill of it needs a row, or lay in several stores."""
        wholes, years = fills
        if not is_plain(wholes, verdicts) or any(fill[0] == MOVED for fill in wholes):
            return False
        if self.stores:
            years = [fill if whole[0] in self.stores else OUTSIDE for whole, fill in zip(wholes, years, strict=True)]
        self.years.add(name, years, verdicts)
        for store in dict.fromkeys(whole[0] for whole in wholes) if self.by_store else ():
            here = [fill if whole[0] == store else OUTSIDE for whole, fill in zip(wholes, years, strict=True)]
            self.years.add(named(store, "store"), here, verdicts, alone=True)
        return True

    def end(self) -> None:
        """What is still held of the years is added."""
        self.years.end()


def within(division: Division, day: date) -> tuple[int, int]:
    """The first and the last year that count up to a day."""
    return division.since.year if division.since else 0, min(division.until or day, day).year


def figures_within(years: tuple[int, int], cask: str, fills: Sequence[Any], verdicts: Verdicts, name: str) -> list[Any]:
    """A figure of each fill of a cask that has some of these years, by the figures of its years; none of them is in doubt. `name`: one of `SUMMED`, litres in hundredths."""
    found: list[Any] = []
    for (start, end, *more), (_, expected) in zip(fills, verdicts, strict=True):
        begun, ended = max(start, years[0]), end if end and end < years[1] else years[1]
        if begun > ended:
            continue
        steady, known = more or (None, ())
        known = [one for one in known if begun <= one[0] <= ended]
        if name == "cask":
            found.append(cask)
        elif not known:
            found.append(None)
        elif SUMMED[name]:
            found.append(_together(known, ended - begun + 1, 0)[SUMMED[name] - SUMMED["lpa"] + 1])
        else:
            found.append(steady if name == "after_in_drink" or steady is None else steady / expected if expected else None)
    return found


def sums_years(division: Division) -> bool:
    """Whether a division counts by time alone, wherever a fill lay, or by the stores of it."""
    return not division.berths and bool(division.by_year or division.since or division.until or division.stores)


def _together(years: Sequence[Sequence[int]], count: int, day: int) -> Sequence[int]:
    """Years that follow on one another, of so many that there are, as one: what was there at the beginning of the first, and what was put in since, was held."""
    _, ends, all_lpa, all_litres, all_in, all_held = zip(*years, strict=True)
    put_in = sum(all_in)
    return ALWAYS if _is_complete(ends, count, day) else NEVER, sum(all_lpa), sum(all_litres), put_in, all_held[0] - all_in[0] + put_in


def _is_complete(ends: Sequence[int], count: int, day: int) -> bool:
    """Whether all is known of so many years, by what is kept of each of which something is."""
    return len(ends) == count and (ends.count(ALWAYS) == count or all(end == ALWAYS or end >= day for end in ends))
