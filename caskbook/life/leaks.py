"""The leaks of a life: where the cask lay on the day of each and what came of it, and the spells that it lay filled in each place."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from caskbook.life.state import State
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

OPEN, HEALED, REPAIRED, EMPTIED, LEFT, NO_LEAK = "open", "healed", "repaired", "emptied", "left", "no leak"
_SAID = {"took-up": HEALED, "repaired": REPAIRED, "false": NO_LEAK}
_MAY_CLOSE = frozenset(jobs_with("closes-leak"))


class Lying(NamedTuple):
    """Where a filled cask lies and what is in it. `where`: here, away or missing; `store` and `row` only of one that is here."""

    where: str
    store: str | None
    row: str | None
    spirit: str | None


class Spell(NamedTuple):
    """From which day to which a cask lay filled so; `end` None while it does."""

    lying: Lying
    start: date
    end: date | None


class Leak(NamedTuple):
    """A leak found in a filled cask. `at`: its place on the cask; `severity`: as it was first seen; `lying`: where the cask lay on that day; `event`: the
    id of its entry; `again`: how often it was entered again while it was open; `outcome`: OPEN, HEALED (dry without work), REPAIRED
    (`by` which job, empty where the look alone says so), EMPTIED with it and not mended since, LEFT the book with it, NO_LEAK; `ended`: when, of
    EMPTIED the day of emptying, of one mended on the bench afterwards that of the work; `seen`: the word of the last look at it while it was
    open; `number`: of a cask with several files, that of the file in which its entry stands."""

    day: date
    at: str
    severity: str
    lying: Lying
    event: str
    again: int = 0
    outcome: str = OPEN
    ended: date | None = None
    by: str = ""
    seen: str = ""
    number: str = ""


def row_of(berth: str | None) -> str | None:
    """The row of a berth of store, row and number; of any other the berth itself."""
    head, _, last = (berth or "").rpartition("/")
    return head if "/" in head and last.isdecimal() else berth


@dataclass(slots=True)
class LeakWatch:
    """Takes the entries of a life with the state after each (`fold.steps`), and has its leaks and spells."""

    leaks: list[Leak] = field(default_factory=list)
    spells: list[Spell] = field(default_factory=list)
    _open: dict[tuple[str, int], int] = field(default_factory=dict)
    _bench: dict[int, str] = field(default_factory=dict)
    _worked: dict[int, str] = field(default_factory=dict)
    _now: tuple[Lying, date] | None = None
    _berth: tuple[str | None, str | None, str | None] = (None, None, None)

    def take(self, event: Event, st: State) -> None:
        """One entry, after its effect."""
        if event.job == "leak":
            self._found(event, st)
        if self._open:
            self._look_at_open(event, st)
        if self._bench:
            self._look_at_bench(event, st)
        self._lie(event.date, st)

    def end(self) -> None:
        """The life is over, or the day is: a spell that lasts has no end."""
        if self._now is not None:
            self.spells.append(Spell(*self._now, None))
            self._now = None

    def _lie(self, day: date, st: State) -> None:
        lying = self._lying(st) if st.contents != "empty" and st.form != "gone" else None
        if self._now is not None:
            if self._now[0] == lying:
                return
            if self._now[1] < day:
                self.spells.append(Spell(*self._now, day))
        self._now = None if lying is None else (lying, day)

    def _lying(self, st: State) -> Lying:
        if st.where != "here":
            return Lying(st.where, None, None, st.spirit)
        if st.berth != self._berth[0]:
            self._berth = st.berth, st.settings.store_of(st.berth), row_of(st.berth)
        return Lying("here", self._berth[1], self._berth[2], st.spirit)

    def _found(self, event: Any, st: State) -> None:
        """A leak more; one at a place that is open already is that one again. Of a cask that is gone nothing is found."""
        if not st.leaks or st.leaks[-1].seq != st.seq:
            return
        seen = st.leaks[-1]
        key = (seen.event, seen.seq)
        for one in st.leaks[:-1]:
            known = self._open.get((one.event, one.seq))
            if one.at == seen.at and known is not None:
                self._open[key] = known
                self.leaks[known] = self.leaks[known]._replace(again=self.leaks[known].again + 1, seen=seen.severity)
                return
        self._open[key] = len(self.leaks)
        self.leaks.append(Leak(seen.since, seen.at, seen.severity, self._lying(st), seen.event, seen=seen.severity, number=st.files[-1] if st.files else ""))

    def _look_at_open(self, event: Event, st: State) -> None:
        """What of the open leaks this entry ended, and what it worked at."""
        if st.form == "gone":
            for at in set(self._open.values()):
                self._ends(at, LEFT, event.date, str(getattr(event, "how", event.job)))
            self._open.clear()
            return
        left = {(leak.event, leak.seq): leak.severity for leak in st.leaks}
        closed = [key for key in self._open if key not in left]
        ended = [self._open.pop(key) for key in closed]
        for at in dict.fromkeys(ended):
            if at not in self._open.values():
                self._closed(at, event, st)
        for key, at in self._open.items():
            self.leaks[at] = self.leaks[at]._replace(seen=left[key])
            if _works_at(event, self.leaks[at].at):
                self._worked[at] = event.job

    def _closed(self, at: int, event: Any, st: State) -> None:
        if st.contents == "empty":
            self._bench[at] = self.leaks[at].at
            self.leaks[at] = self.leaks[at]._replace(outcome=EMPTIED, ended=event.date)
        elif event.job == "look":
            worked = self._worked.get(at, "")
            outcome = _SAID.get(event.closed_as or "", REPAIRED if worked else HEALED)
            self._ends(at, outcome, event.date, worked if outcome == REPAIRED else "")
        else:
            self._ends(at, REPAIRED, event.date, event.job)

    def _look_at_bench(self, event: Event, st: State) -> None:
        """A leak with which the cask was emptied is an open defect at its place, until work answers it. An examination that does not find it again, and an
        end of the cask, leave it as it is."""
        places = {defect.at for defect in st.defects}
        for at, place in list(self._bench.items()):
            if place not in places:
                del self._bench[at]
                if event.job != "examine":
                    self._ends(at, REPAIRED, event.date, getattr(event, "cured_by", None) or event.job)

    def _ends(self, at: int, outcome: str, day: date, by: str) -> None:
        self.leaks[at] = self.leaks[at]._replace(outcome=outcome, ended=day, by=by)


def _works_at(event: Event, place: str) -> bool:
    """Whether this is work that may have made a leak at the place dry: hoops driven or changed, a peg, anything at just that place."""
    if event.job in _MAY_CLOSE:
        return getattr(event, "closes", None) is None
    return place in event.places()
