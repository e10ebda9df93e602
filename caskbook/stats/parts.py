"""Parts of casks: how often each position is replaced in how many years, which places leaked again after they were put right, who gave parts to whom."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple, get_args

from caskbook.core.days import DAYS_PER_YEAR
from caskbook.core.period import Period, whole_time
from caskbook.life.mends import HEAD, HOOP, STAVE, Counts, Mends, Replaced, Stretch
from caskbook.model.places import hoop_name
from caskbook.stats.intervals import Interval, rate_exact
from caskbook.stats.report_head import most_first

By = Literal["part", "position"]
BY: tuple[By, ...] = get_args(By)
SMALL_YEARS = 100
"""A rate over fewer years of a part is said to be of few: common practice, no source."""
BUNG_STAVE, OTHER_STAVES, NEW = "bung stave", "each other stave", "new"
NO_STAVES, NO_HOOPS, NOT_FOLLOWED = "number of staves not known", "number of hoops not known", "after it was retired or while it was knocked down"


class Cask(NamedTuple):
    """A cask and its mends."""

    cask: str
    mends: Mends


class Line(NamedTuple):
    """A part or position: how often it was replaced in how many years of one such part; with new ones, with those of other casks, with others."""

    name: str
    replaced: int
    years: float
    new: int = 0
    given: int = 0

    @property
    def other(self) -> int:
        """With used ones of the house, or of which nobody said where they came from."""
        return self.replaced - self.new - self.given

    @property
    def rate(self) -> float | None:
        """Replaced per 1,000 years of one such part; None in no time."""
        return 1000 * self.replaced / self.years if self.years > 0 else None

    @property
    def interval(self) -> Interval | None:
        """The exact interval of the rate."""
        return rate_exact(self.replaced, self.years)

    @property
    def small(self) -> bool:
        """Whether it is of few years."""
        return self.years < SMALL_YEARS


@dataclass(frozen=True, slots=True)
class Parts:
    """What was replaced, in the period. `by`: of which the lines are; `casks` and `years`: how many were watched for how many cask-years; `left_out`: why → how
    many replaced parts are in no line; `no_staves`, `no_hoops`: casks whose staves or hoops nobody counted, which are in no years of these but the bung stave's."""

    by: By
    lines: tuple[Line, ...]
    casks: int
    years: float
    left_out: Mapping[str, int]
    no_staves: int
    no_hoops: int


class _Watched:
    """Days for which parts were watched, and what was replaced of them, while casks are added."""

    def __init__(self, period: Period) -> None:
        self.period = period
        self.casks = self.days = 0
        self.by_staves: Counter[int] = Counter()
        self.by_numbers: Counter[int] = Counter()
        self.by_hoops: Counter[int] = Counter()
        self.bung: Counter[int] = Counter()
        self.bung_known: Counter[int] = Counter()
        self.found: dict[tuple[str, str], list[str]] = {}
        self.left_out: Counter[str] = Counter()
        self.no_staves = self.no_hoops = 0

    def add(self, mends: Mends) -> None:
        """One cask more, as far as it was watched in the period."""
        for one in mends.replaced:
            if self.period.holds(one.day):
                self._replaced(one, mends)
        watched = [one for one in mends.stretches if self.period.meets(one.start, one.end)]
        if not watched:
            return
        self.casks += 1
        self.no_staves += any(not one.staves for one in watched)
        self.no_hoops += not mends.hoops
        for stretch in watched:
            self._lasted(stretch, mends)

    def _lasted(self, stretch: Stretch, mends: Mends) -> None:
        """The days of one time for which its parts were watched, as far as they lie in the period, by how many there were."""
        start, end = self.period.part_of(stretch.start, stretch.end)
        self.days += (end - start).days
        counts = list(mends.counted_in(stretch))
        for one, until in zip(counts, [*(later.day for later in counts[1:]), end], strict=True):
            first, last = max(one.day, start), min(until, end)
            if first < last:
                self._counted(one, first, last, mends)

    def _counted(self, one: Counts, start: date, end: date, mends: Mends) -> None:
        """Days for which there were so many staves and hoops."""
        days = (end - start).days
        self.by_staves[one.staves or 0] += days
        self.by_numbers[one.numbers or 0] += days
        self.by_hoops[one.hoops or 0] += days
        turns = [*mends.bungs, (end, 0)]
        for (since, number), (until, _) in zip(turns, turns[1:], strict=False):
            held = max(0, (min(until, end) - max(since, start)).days)
            self.bung[number] += held
            if one.numbers and number <= one.numbers:
                self.bung_known[number] += held

    def _replaced(self, one: Replaced, mends: Mends) -> None:
        if not one.followed:
            self.left_out[NOT_FOLLOWED] += 1
        elif one.part == STAVE and not one.bung and not mends.stretch_on(one.day).staves:
            self.left_out[NO_STAVES] += 1
        elif one.part == HOOP and not mends.hoops:
            self.left_out[NO_HOOPS] += 1
        else:
            name = BUNG_STAVE if one.bung else _hoop(one.name, one.hoops or mends.hoops) if one.part == HOOP else one.name
            self.found.setdefault((one.part, name), []).append(one.source)

    def line(self, name: str, days: int, *keys: tuple[str, str]) -> Line:
        """What was replaced under these keys, over so many days of one part."""
        sources = [source for key in keys for source in self.found.get(key, ())]
        new, given = sources.count(NEW), sum(_is_cask(source) for source in sources)
        return Line(name, len(sources), days / DAYS_PER_YEAR, new, given)

    def position_days(self, number: int) -> int:
        """Days for which a stave of this number was watched that was not the bored one."""
        return sum(days for numbers, days in self.by_numbers.items() if numbers >= number) - self.bung_known[number]


def _is_cask(source: str) -> bool:
    return "-" in source


def _hoop(name: str, hoops: int | None) -> str:
    """The hoop by its kind: chime, quarter or bulge."""
    number = name.rpartition("-")[2]
    return hoop_name(int(number), (hoops or 0) // 2) if number.isdecimal() else name


def parts_of(casks: Iterable[Cask], by: By, day: date, period: Period | None = None) -> Parts:
    """What was replaced up to a day, in the period if there is one, by kind of part or by position of the staves."""
    watched = _Watched(period or whole_time(day))
    for cask in casks:
        watched.add(cask.mends)
    staves = sorted({int(name) for part, name in watched.found if part == STAVE and name.isdecimal()})
    bung = watched.line(BUNG_STAVE, sum(watched.bung.values()), (STAVE, BUNG_STAVE))
    if by == "position":
        last = max([*watched.by_numbers, *staves], default=0)
        lines = [
            bung,
            *(watched.line(f"stave {n}", watched.position_days(n), (STAVE, str(n))) for n in range(1, last + 1) if n in staves or watched.position_days(n)),
        ]
    else:
        others = sum(staves * days for staves, days in watched.by_staves.items()) - sum(watched.bung_known.values())
        lines = [bung, watched.line(OTHER_STAVES, others, *((STAVE, str(n)) for n in staves))]
    lines += [watched.line(f"head {name}", watched.days, (HEAD, name)) for name in ("A", "B")]
    lines += [watched.line(f"each {name}", days, (HOOP, name)) for name, days in _hoop_days(watched.by_hoops).items()]
    return Parts(by, tuple(lines), watched.casks, watched.days / DAYS_PER_YEAR, most_first(watched.left_out), watched.no_staves, watched.no_hoops)


def _hoop_days(by_hoops: Mapping[int, int]) -> dict[str, int]:
    """Kind of hoop → days for which one of them was watched."""
    found = dict.fromkeys(("chime hoop", "quarter hoop", "bulge hoop"), 0)
    for hoops, days in by_hoops.items():
        for number in range(1, hoops // 2 + 1):
            found[hoop_name(number, hoops // 2)] += 2 * days
    return {name: days for name, days in found.items() if days}
