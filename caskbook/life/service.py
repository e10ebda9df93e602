"""How long a char, a cask and its staves served: the spans of one life, as far as they were watched by this book."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from sys import intern
from typing import Any, Literal, NamedTuple

from caskbook.core.days import DayError, When, parse_when
from caskbook.life.fold import NO_WORK, Life
from caskbook.model.jobs import Event
from caskbook.model.places import stave_number
from caskbook.words.job_table import jobs_with

What = Literal["char", "cask", "stave"]
RECHARRED, GONE, REPLACED, RETIRED = "re-charred", "retired or gone", "replaced", "retired"
FIRST, AGAIN, UNSURE = "first char", "re-char", "?"
BUNG, OTHER = "bung stave", "other staves"
_LEFT = {"kept-by-shop": "returned", "stolen": "lost", "break-up": "broken up", "convert": "converted"}
"""How a cask ended where the entry has another word for it."""
NO_CHAR_DAY, NEVER_CHARRED = "last char not known", "never charred"
MADE_LATER, CHARRED_LATER = "said to be made after it came", "said to be charred after it came"
NO_COUNT, OF_OTHERS = "number of staves not known", "staves of other casks, of an age not known"
_ENDS, _BERTHED = frozenset(jobs_with("ends")), frozenset(jobs_with("berthed"))
_TAKES_AWAY = frozenset(jobs_with("takes-away"))


class Service(NamedTuple):
    """One span of service, or `weight` alike. `start`: the day it began, None where `lacks` says why no span can be told; `entry`: the day from
    which it was watched, None from the start; `end`: the day it ended or was last seen, None while it serves; `kind`: how it ended,
    empty where it did not. `fills` and `fills_in`: of a char the fills since it at the end and at `entry`, None where not known.
    `sort`: of a char FIRST or AGAIN, of a stave BUNG or OTHER. `about`: `start` is known to the month or year only; `received`: it is the
    day of receipt, for nobody knows when the cask was made."""

    what: str
    start: date | None
    entry: date | None = None
    end: date | None = None
    kind: str = ""
    sort: str = ""
    store: str | None = None
    fills_in: int | None = None
    fills: int | None = None
    weight: int = 1
    about: bool = False
    received: bool = False
    lacks: str = ""

    def as_row(self) -> list[Any]:
        """The span as JSON has it, days as ISO text."""
        return [value.isoformat() if isinstance(value, date) else value for value in self]

    @classmethod
    def of_row(cls, row: list[Any]) -> Service:
        """The span back from `as_row`."""
        what, start, entry, end, kind, sort, *rest = row
        return cls(intern(what), _day(start), _day(entry), _day(end), intern(kind), intern(sort), *rest)


@lru_cache(65_536)
def _day(text: str | None) -> date | None:
    """A day out of a row: many spans begin and end on the same days, which are then held once."""
    return None if text is None else date.fromisoformat(text)


WEIGHT = Service._fields.index("weight")
"""Where in a row the weight stands."""


def services_of(life: Life) -> tuple[Service, ...]:
    """The spans of a life up to its day, none of one that has not begun. Of a life that is told in part nothing is known for sure: none."""
    events = [event for event in life.events if event.job not in NO_WORK]
    if not events or life.in_part:
        return ()
    walk = _Walk(life, events[0])
    walk.begin()
    for seq, event in enumerate(life.events, 1):
        walk.take(event, seq)
        if walk.over:
            break
    walk.last_seen()
    return tuple(one._replace(weight=count) for one, count in walk.found.items())


@dataclass(slots=True)
class _Char:
    """The char that serves, `fills_in` and `entry` of one that was there when the cask came; `seq`: which of the events made it, 0 none here."""

    start: date
    entry: date | None
    sort: str
    fills_in: int | None
    seq: int = 0
    about: bool = False


class _Put(NamedTuple):
    """When a stave was put in, and from which day it was watched if not from then."""

    day: date
    entry: date | None = None
    about: bool = False
    received: bool = False


@dataclass(slots=True)
class _Walk:
    """Goes through the events of a life and closes each span where it ends."""

    life: Life
    first: Event
    found: dict[Service, int] = field(default_factory=dict)
    made: tuple[date | None, bool] = (None, False)
    char: _Char | None = None
    staves: dict[str, _Put] = field(default_factory=dict)
    counted: bool = False
    bung: int = 1
    berth: str | None = None
    held: bool | None = None
    missing: date | None = None
    over: bool = False

    @property
    def arrived(self) -> date:
        """The day from which the book watches the cask."""
        return self.first.date

    def begin(self) -> None:
        """What the cask was when it came: made, charred, with its first staves."""
        st, head = self.life.state, self.life.cask.head
        self.held = st.past.had_liquor
        built = self.first.job in ("raise", "made-from")
        self.made = (self.arrived, False) if built else self._since(_when(head.made))
        if self.made[0] is None and head.made is not None:
            self._lack("cask", MADE_LATER)
        self._first_char()
        if self.first.job == "made-from":
            self._lack("stave", OF_OTHERS, st.staves_first or 1)
        elif not st.staves_first:
            self._lack("stave", NO_COUNT)
        elif self.made[0] is None and head.made is not None:
            self._lack("stave", MADE_LATER, st.staves_first)
        else:
            start = self.made[0] or self.arrived
            entry = self.arrived if start < self.arrived else None
            first = _Put(start, entry, self.made[1], received=self.made[0] is None)
            self.counted = True
            self.staves = {str(n): first for n in range(1, st.staves_first + 1)}

    def _since(self, when: When | None) -> tuple[date | None, bool]:
        """(the day to reckon from, whether it is about) of something before the arrival: of a year it is its July, or the arrival where that came
        before; None where it is said to be after the arrival."""
        if when is None or when.first > self.arrived:
            return None, False
        return min(when.day, self.arrived), when.approximate

    def _first_char(self) -> None:
        """The char with which the cask came, of its head or of its parents."""
        past = self.life.state.past
        if past.last_char is None:
            if not past.never_charred:
                self._lack("char", NO_CHAR_DAY)
        else:
            start, about = self._since(past.last_char)
            sort = UNSURE if past.rechar_count is None else AGAIN if past.rechar_count else FIRST
            if start is None:
                self._lack("char", CHARRED_LATER)
            else:
                self.char = _Char(start, self.arrived, sort, past.fills_since_char, 0, about)

    def take(self, event: Event, seq: int) -> None:
        """One event: what ends by it, what begins."""
        job = event.job
        if job in _BERTHED and getattr(event, "berth", None):
            self.berth = event.berth  # type: ignore[attr-defined]
        if job in ("missing", "found"):
            self.missing = event.date if job == "missing" else None
        if job in _ENDS or job == "retire":
            self._end_all(event, seq)
        elif job == "char":
            self._end_char(event.date, RECHARRED, seq)
            sort = UNSURE if self._held(seq) is None else AGAIN if self._held(seq) else FIRST
            self.char = _Char(event.date, None, sort, 0, seq)
        elif job == "season":
            self.held = True
        elif job == "stave" and event.action == "replace":  # type: ignore[attr-defined]
            self._replace(event)
        elif job == "bung" and event.to is not None:  # type: ignore[attr-defined]
            self.bung = stave_number(event.to)[0]  # type: ignore[attr-defined]
        elif job == "knock-down":  # Raised again, nobody knows which stave stands where.
            self._end_staves(event.date)

    def _held(self, seq: int) -> bool | None:
        """Whether the cask had held liquor before this entry."""
        return True if any(filling.seq < seq for filling in self.life.state.fillings) else self.held

    def _end_all(self, event: Event, seq: int) -> None:
        how = getattr(event, "how", event.job)
        kind = RETIRED if event.job == "retire" else _LEFT.get(how, how)
        self._end_char(event.date, GONE, seq)
        self._end_cask(event.date, kind)
        self._end_staves(event.date)
        self.over = True

    def last_seen(self) -> None:
        """What had not ended by the life's day serves still; of a cask that is missing nobody knows, since it was missed."""
        if not self.over:
            self._end_char(self.missing, "", len(self.life.events) + 1)
            self._end_cask(self.missing, "")
            self._end_staves(self.missing)
        if self.life.state.past.never_charred and not self.life.state.chars:
            self._lack("char", NEVER_CHARRED)

    def _end_cask(self, day: date | None, kind: str) -> None:
        start, about = self.made
        if start is not None:
            entry = self.arrived if start < self.arrived else None
            self._put("cask", start, entry, day, kind, about=about)
        elif self.life.cask.head.made is None:
            self._put("cask", self.arrived, None, day, kind, received=True)

    def _end_char(self, day: date | None, kind: str, seq: int) -> None:
        char = self.char
        if char is None:
            return
        own = sum(char.seq < filling.seq < seq and not filling.short for filling in self.life.state.fillings)
        fills = None if char.fills_in is None else char.fills_in + own
        entry = char.entry if char.entry is not None and char.start < char.entry else None
        self._put("char", char.start, entry, day, kind, char.sort, fills_in=char.fills_in if char.entry is not None else None, fills=fills, about=char.about)
        self.char = None

    def _replace(self, event: Any) -> None:
        """Staves out and new ones in: of two that one stands for one goes in, of one that two stand for two."""
        names = list(dict.fromkeys(_stave_name(name) for name in event.staves))
        out = [name for name in names if name in self.staves]
        if self.counted and event.staves_after is not None:
            wanted = max(0, event.staves_after - len(self.staves) + len(out))
            names = [*names, *(f"{name}b" for name in names if f"{name}b" not in names)][:wanted]
        for name in out:
            self._end_stave(self.staves.pop(name), self._sort(name), event.date, REPLACED)
        self.staves |= dict.fromkeys(names, _Put(event.date))

    def _end_staves(self, day: date | None) -> None:
        alike: dict[tuple[_Put, str], int] = {}
        for name, put in self.staves.items():
            key = put, self._sort(name)
            alike[key] = alike.get(key, 0) + 1
        for (put, sort), count in alike.items():
            self._end_stave(put, sort, day, "", count)
        self.staves, self.counted = {}, False

    def _sort(self, name: str) -> str:
        return BUNG if stave_number(name)[0] == self.bung else OTHER

    def _end_stave(self, put: _Put, sort: str, day: date | None, kind: str, count: int = 1) -> None:
        self._put("stave", put.day, put.entry, day, kind, sort, about=put.about, received=put.received, weight=count)

    def _put(self, what: What, start: date, entry: date | None, day: date | None, kind: str, sort: str = "", *, weight: int = 1, **more: Any) -> None:
        """A span, or as many as are just the same. What began after the cask was missed was seen as it began."""
        day = None if day is None else max(day, start)
        self._count(Service(what, start, entry, day, kind, sort, self.life.state.settings.store_of(self.berth), **more), weight)

    def _lack(self, what: What, why: str, count: int = 1) -> None:
        self._count(Service(what, None, lacks=why), count)

    def _count(self, one: Service, count: int = 1) -> None:
        self.found[one] = self.found.get(one, 0) + count


def _stave_name(name: str | int) -> str:
    """14 of 14, "14a" and "stave-14"; 14b of the second of two that replaced one."""
    number, suffix = stave_number(name)
    return f"{number}{suffix.removeprefix('a')}"


def _when(value: object) -> When | None:
    """When something was, None where that is not said."""
    try:
        return None if value is None else parse_when(value)
    except DayError:
        return None
