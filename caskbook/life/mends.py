"""What was mended of a life: parts replaced and by whose, places that were put right and leaked again, and how long its parts were watched."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from caskbook.life.fold import NO_WORK
from caskbook.life.state import State
from caskbook.life.staves_turned import turned
from caskbook.model.jobs import Event
from caskbook.model.places import Place, PlaceError, contains, parse_place, place_word
from caskbook.words.job_table import jobs_with

STAVE = "stave"
HEAD = "head"
HOOP = "hoop"
MADE_FROM = "made-from"
_ENDS = frozenset(jobs_with("ends"))


class Replaced(NamedTuple):
    """A part that was replaced: STAVE with its number, HEAD (A or B), HOOP (as A-1). `bung`: the bored stave; `source`: a cask, new, reused, unknown, or
    nothing where that is not said; `followed`: not after the cask was retired, nor while it was knocked down, when nobody knows which stave stands where;
    `hoops`: of a hoop, how many there were that day, None where not known; `put`: how many came in for it, as two staves for one, and none for the second
    of two for which one came."""

    day: date
    part: str
    name: str
    bung: bool
    source: str
    followed: bool
    hoops: int | None = None
    put: int = 1


class Repair(NamedTuple):
    """A place that was put right by a job. `again`: the day of the first leak there since, `how` it was seen (leak, test); `until`: the day
    from which it is followed no more, for it was put right anew."""

    day: date
    at: str
    job: str
    again: date | None = None
    how: str = ""
    until: date | None = None


class Broken(NamedTuple):
    """A cask broken up for its parts: when, and how many of each were saved, None where nobody counted."""

    day: date
    staves: int | None
    heads: int | None
    hoops: int | None


class Stretch(NamedTuple):
    """A time for which parts were watched; `end` None while they are; `staves` as counted, None where not known."""

    start: date
    end: date | None
    staves: int | None


class Counts(NamedTuple):
    """How many staves and hoops there are from a day on, None where not known; `numbers`: the highest number that a stave bears."""

    day: date
    staves: int | None
    hoops: int | None
    numbers: int | None


class Mends(NamedTuple):
    """The mends of a life. `start` and `end`: from when to when it was watched, `end` None while it is; `staves` and `hoops` as first counted, None where not known;
    `counts`: these through time; `bungs`: from which day which stave was the bored one; `parents`: the casks that it was made from, and how many staves of each; `raised`: each time
    after it was knocked down and raised again, its staves numbered anew."""

    start: date
    end: date | None
    staves: int | None
    hoops: int | None
    bungs: tuple[tuple[date, int], ...]
    replaced: tuple[Replaced, ...]
    repairs: tuple[Repair, ...]
    parents: tuple[tuple[str, int | None], ...]
    broken: Broken | None
    raised: tuple[Stretch, ...] = ()
    counts: tuple[Counts, ...] = ()

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Each time for which its parts were watched, in order."""
        return Stretch(self.start, self.end, self.staves), *self.raised

    def stretch_on(self, day: date) -> Stretch:
        """The last one that had begun by a day."""
        return next((one for one in reversed(self.raised) if one.start <= day), self.stretches[0])

    def counted_in(self, stretch: Stretch) -> Iterator[Counts]:
        """The counts of such a time in order of their days, the first one from its beginning."""
        staves, hoops, numbers = stretch.staves, self.hoops, stretch.staves
        yield Counts(stretch.start, staves, hoops, numbers)
        for one in self.counts:
            staves, hoops, numbers = one.staves or staves, one.hoops or hoops, one.numbers or numbers
            if one.day >= stretch.start and (stretch.end is None or one.day < stretch.end):
                yield Counts(one.day, staves, hoops, numbers)


@dataclass(slots=True)
class MendWatch:
    """Takes the entries of a life with the state after each (`fold.steps`), and has its mends."""

    start: date | None = None
    end: date | None = None
    missing: date | None = None
    bungs: list[tuple[date, int]] = field(default_factory=list)
    replaced: list[Replaced] = field(default_factory=list)
    repairs: list[tuple[Place, Repair]] = field(default_factory=list)
    parents: list[tuple[str, int | None]] = field(default_factory=list)
    broken: Broken | None = None
    raised: list[Stretch] = field(default_factory=list)
    counts: list[Counts] = field(default_factory=list)
    _down: bool = False
    _earlier: int = 0
    _leaks: dict[tuple[str, int], str] = field(default_factory=dict)
    _defects: dict[tuple[str, int, int], str] = field(default_factory=dict)

    def take(self, event: Event, st: State) -> None:
        """One entry, after its effect."""
        if event.job in NO_WORK and self.start is None:
            return
        if self.start is None:
            self.start = event.date
            self.bungs.append((event.date, st.frame.bung_stave))
        elif st.frame.bung_stave != self.bungs[-1][1]:
            self.bungs.append((event.date, st.frame.bung_stave))
        self._leaked(event, st)
        self._mended(event, st)
        self._replace(event, st)
        self._goes_on(event, st)
        frame = st.frame
        if not self.counts or self.counts[-1][1:] != (frame.staves, frame.hoops, frame.stave_numbers):
            self.counts.append(Counts(event.date, frame.staves, frame.hoops, frame.stave_numbers))

    def mends(self, st: State) -> Mends | None:
        """The mends, `st` being the state at the end; None of a life that has not begun."""
        if self.start is None:
            return None
        *earlier, last = Stretch(self.start, self.end, st.staves_first), *self.raised
        first, *raised = *earlier, last._replace(end=last.end or self.missing)
        repairs = tuple(repair for _, repair in self.repairs)
        hoops = next((one.hoops for one in self.counts if one.hoops), None)
        return Mends(
            self.start, first.end, st.staves_first, hoops, tuple(self.bungs), tuple(self.replaced), repairs, tuple(self.parents), self.broken, tuple(raised), tuple(self.counts),
        )  # fmt: skip

    @property
    def _over(self) -> bool:
        return (self.raised[-1].end if self.raised else self.end) is not None

    def _goes_on(self, event: Any, st: State) -> None:
        """Whether the parts are watched on after this entry, and what it says of where parts come from and go to."""
        job = event.job
        if job in _ENDS or job in ("retire", "knock-down"):
            self._ends(event.date, down=job == "knock-down")
        elif self._down and job == "raise" and st.form == "whole":
            self._down, self._earlier = False, len(self.repairs)
            self.raised.append(Stretch(event.date, None, st.frame.staves))
        elif self.raised and self.raised[-1].staves is None and not self._over:
            self.raised[-1] = self.raised[-1]._replace(staves=st.frame.staves)
        if job in ("missing", "found"):
            self.missing = event.date if job == "missing" else None
        if job == "break-up":
            self.broken = Broken(event.date, event.staves_saved, event.heads_saved, event.hoops_saved)
        elif job == MADE_FROM:
            self.parents += [(share.cask, share.staves) for share in event.parents or [] if share.cask]

    def _ends(self, day: date, *, down: bool) -> None:
        """They are watched no more; once retired or gone, no raising begins anew."""
        if self._over:
            self._down = self._down and down
            return
        self._down = down
        if self.raised:
            self.raised[-1] = self.raised[-1]._replace(end=day)
        else:
            self.end = day

    def _replace(self, event: Any, st: State) -> None:
        if event.job == STAVE and event.action == "replace":
            now = st.turned.get(event.id) or turned(event.staves, frozenset(), None, None)  # Once it is gone, nothing takes effect.
            for number, count in zip(now.out, now.put, strict=True):
                self._put(event, STAVE, str(number), bung=number == st.frame.bung_stave, put=count)
        elif event.job == HEAD and event.action == "replace" and event.head:
            self._put(event, HEAD, event.head)
        elif event.job == HOOP:
            for name in dict.fromkeys(map(place_word, event.hoops)):
                self._put(event, HOOP, name.removeprefix("hoop-"), hoops=self._hoops_at(name, st))

    def _hoops_at(self, name: str, st: State) -> int | None:
        """How many hoops there were when this one came out; where it was none of them, how many there are with it."""
        had, number = self.counts[-1].hoops if self.counts else None, name.rpartition("-")[2]
        return had if had and number.isdecimal() and int(number) <= had // 2 else st.frame.hoops

    def _put(self, event: Any, part: str, name: str, *, bung: bool = False, hoops: int | None = None, put: int = 1) -> None:
        self.replaced.append(Replaced(event.date, part, name, bung, event.from_ or "", not self._over, hoops, put))

    def _leaked(self, event: Any, st: State) -> None:
        """A leak at a place that was put right before belongs to the last repair there, of those since it was raised last."""
        if event.job not in ("leak", "test") or not self.repairs:
            return
        places = [event.at] if event.job == "leak" else [leak.at for leak in event.leaks or []]
        for place in _read(places):
            for n in range(len(self.repairs) - 1, self._earlier - 1, -1):
                at, repair = self.repairs[n]
                if contains(at, place, st.frame):
                    if repair.again is None:
                        self.repairs[n] = at, repair._replace(again=event.date, how=event.job)
                    break

    def _mended(self, event: Any, st: State) -> None:
        """Each place that the entry names as worked at, whose leak it closed or whose defect it answered, is put right by it."""
        leaks = {(leak.event, leak.seq): leak.at for leak in st.leaks}
        defects = {(one.event, one.seq, one.order): one.at for one in st.defects}
        named = list(event.places())
        if event.job not in ("look", "examine") and st.contents != "empty":
            named += [at for key, at in self._leaks.items() if key not in leaks]
        if event.job != "examine":
            named += [at for key, at in self._defects.items() if key not in defects]
        self._leaks, self._defects = leaks, defects
        job = getattr(event, "cured_by", None) or event.job
        for place in dict.fromkeys(_read(named)):
            for n, (at, repair) in enumerate(self.repairs):
                if at == place and repair.until is None:
                    self.repairs[n] = at, repair._replace(until=event.date)
            self.repairs.append((place, Repair(event.date, str(place), job)))


def _read(addresses: list[str]) -> list[Place]:
    """These places, without what nobody could see or read."""
    found = []
    for address in addresses:
        try:
            place = parse_place(address)
        except PlaceError:
            continue
        if place.kind != "unseen":
            found.append(place)
    return found
