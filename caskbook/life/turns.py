"""When one cask came empty, was filled, examined, tested, leaked and went: the turns of a life by month, as an outlook counts them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from typing import NamedTuple

from caskbook.core.days import UnknownDay
from caskbook.life.carried import Filling
from caskbook.life.fold import NO_WORK, Life
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with

TIP, GONE, FILLED, RETIRED, STAYS = "t", "g", "f", "r", "-"
"""How a stretch of liquor or of emptiness ended: emptied, gone with the cask, filled again, retired; not at all."""
CAME, FULL = "a", "o"
"""Beside TIP: in which visit a cask was examined, that of its coming, or none, for it was full."""
LOOKED = ("examine", "test")
_ENDS = frozenset(jobs_with("ends"))
_MAY_CLOSE = frozenset(jobs_with("closes-leak"))


def month_of(day: date | None) -> int | None:
    """Which month a day lies in, counted from January of the year 0; None of a day that cannot be read."""
    return None if day is None or isinstance(day, UnknownDay) else day.year * 12 + day.month - 1


class Wood(NamedTuple):
    """What a limit of fills since char asks: the fills since the last char, None not known; whether that char was a re-char, None not known;
    whether the cask is known to have held wine."""

    since: int | None
    again: bool | None
    wine: bool

    def __str__(self) -> str:
        """Three words with a bar between: 3|0|1, ? where it is not known."""
        known = "?" if self.since is None else self.since
        return f"{known}|{'?' if self.again is None else int(self.again)}|{int(self.wine)}"


@dataclass(frozen=True, slots=True)
class Fill:
    """A stretch of liquor. `wood`: as it stood at the emptying, or stands now, this fill counted; `short`: too short to count; `charred`: whether it
    was charred before it was filled again, None while it stands empty."""

    spirit: str
    start: int | None
    end: int | None
    how: str
    wood: Wood
    short: bool
    charred: bool | None = None

    @property
    def counted(self) -> Wood:
        """The wood once the fill is over, of which the length is known then."""
        less = self.short and self.wood.since
        return self.wood._replace(since=self.wood.since - 1) if less and self.wood.since is not None else self.wood


@dataclass(frozen=True, slots=True)
class Turns:
    """The turns of a life, months as `month_of` counts. `first`: its wood when it came; `looks`: (job, in which visit, months since that
    began, month); `leaks`: (found, closed); `chars`: months; `out`: (month, how) of the retirement or leaving that came first."""

    type: str
    came: int
    first: Wood
    fills: tuple[Fill, ...]
    looks: tuple[tuple[str, str, int, int], ...]
    leaks: tuple[tuple[int, int | None], ...]
    chars: tuple[int, ...]
    retired: int | None = None
    out: tuple[int, str] | None = None
    missing: int | None = None
    unread: int = 0

    def up_to(self, month: int) -> Turns | None:
        """The same as it was told at the end of a month; None where the cask had not come. True only where nothing was entered late, and
        nothing put out of force later."""
        if self.came > month:
            return None
        chars = tuple(one for one in self.chars if one <= month)
        fills = [_until(fill, month) for fill in self.fills if fill.start is None or fill.start <= month]
        if fills and fills[-1].how == TIP:  # Whether it is charred before the next fill is not told yet.
            fills[-1] = replace(fills[-1], charred=True if any(one >= (fills[-1].end or 0) for one in chars) else None)
        return replace(
            self, fills=tuple(fills), looks=tuple(one for one in self.looks if one[3] <= month), chars=chars,
            leaks=tuple((found, _before(closed, month)) for found, closed in self.leaks if found <= month), retired=_before(self.retired, month),
            out=self.out if self.out and self.out[0] <= month else None, missing=_before(self.missing, month),
        )  # fmt: skip

    def keys(self) -> Iterator[str]:
        """What is counted of it, as words with bars between; equal words of many casks are counted together (`stats/outlook_book.py` reads them)."""
        yield f"A|{self.type}|{self.came}|{int(self._came_full)}|{self.first}|{self.fills[0].spirit if self._came_full else ''}"
        yield from (f"X|{job}|{visit}|{lag}|{month}" for job, visit, lag, month in self.looks)
        yield from (f"L|{found}|{_word(closed)}" for found, closed in self.leaks)
        yield from (f"R|{self.type}|{self.retired}" for _ in range(self.retired is not None))
        yield from ("U" for _ in range(self.unread))
        yield from self._of_fills()
        yield from self._of_empty()

    @property
    def _came_full(self) -> bool:
        return bool(self.fills) and self.fills[0].start == self.came

    def _of_fills(self) -> Iterator[str]:
        for fill in self.fills:
            if fill.start is None or (fill.end is None and fill.how != STAYS):
                continue
            end, how = fill.end, fill.how
            if end is None and self.missing is not None:
                end, how = max(self.missing, fill.start), GONE
            yield f"F|{self.type}|{fill.start}|{_word(end)}|{how}|{fill.spirit}"
            if how == TIP:
                yield f"N|{self.type}|{end}|{fill.counted}|{'-' if fill.charred is None else int(fill.charred)}"
            elif end is None:
                yield f"O|{self.type}|{fill.start}|{fill.wood}|{fill.spirit}"

    def _of_empty(self) -> Iterator[str]:
        """The stretches of emptiness, and where it stands empty now, as it stands. Its coming begins one too."""
        begun: int | None = self.came
        spirit, wood, charred = "", self.first, any(True for _ in self.chars)
        for fill in self.fills:
            if fill.start is None:
                return
            if begun is not None and not (fill is self.fills[0] and self._came_full):
                yield f"E|{self.type}|{begun}|{fill.start}|{FILLED}"
            begun, spirit, wood, charred = fill.end if fill.how == TIP else None, fill.spirit, fill.counted, bool(fill.charred)
            if begun is None:
                return
        if begun is None:
            return
        charred = any(month >= begun for month in self.chars) if self.fills else charred
        if self.out is not None:
            yield f"E|{self.type}|{begun}|{max(begun, self.out[0])}|{self.out[1]}"
        elif self.missing is not None:
            yield f"E|{self.type}|{begun}|{max(begun, self.missing)}|m"
        else:
            yield f"E|{self.type}|{begun}|-|{STAYS}"
            yield f"Q|{self.type}|{begun}|{Wood(0, True, wood.wine) if charred else wood}|{spirit}"


def _word(month: int | None) -> str:
    return STAYS if month is None else str(month)


def _before(at: int | None, month: int) -> int | None:
    return at if at is not None and at <= month else None


def _until(fill: Fill, month: int) -> Fill:
    """A fill as it was told at the end of a month; whether it was charred after is told only then."""
    if fill.end is None or fill.end > month:
        return replace(fill, end=None, how=STAYS, short=False, charred=None)
    return fill


def turns_of(life: Life) -> Turns | None:
    """The turns of a life up to its day; None of one that has not begun, and of one that is told in part, for nothing of it is known for sure."""
    first = next((event for event in life.events if event.job not in NO_WORK), None)
    came = month_of(first.date) if first is not None else None
    if came is None or life.in_part:
        return None
    walk = _Walk(life, came)
    for seq, event in enumerate(life.events, 1):
        walk.take(event, seq)
    return walk.told()


@dataclass(slots=True)
class _Walk:
    """Goes through the events of a life and notes each turn."""

    life: Life
    came: int
    since: int | None = None
    again: bool | None = None
    wine: bool = False
    held: bool | None = None
    visit: tuple[str, int] | None = None
    counts: bool = True
    fills: list[Fill] = field(default_factory=list)
    looks: list[tuple[str, str, int, int]] = field(default_factory=list)
    leaks: list[tuple[int, int | None]] = field(default_factory=list)
    wet: list[tuple[str, str, int]] = field(default_factory=list)
    chars: list[int] = field(default_factory=list)
    retired: int | None = None
    out: tuple[int, str] | None = None
    missing: int | None = None
    unread: int = 0
    first: Wood = Wood(None, None, False)
    begins: dict[int, Filling] = field(default_factory=dict)
    ends: dict[int, Filling] = field(default_factory=dict)

    def __post_init__(self) -> None:
        past, st = self.life.state.past, self.life.state
        self.since, self.held = past.fills_since_char, past.had_liquor
        self.again = None if past.rechar_count is None else past.rechar_count > 0
        self.wine = bool(past.wine)
        self.visit = (CAME, self.came)
        self.first = Wood(self.since, self.again, self.wine)
        self.begins = {one.seq: one for one in st.fillings}
        self.ends = {one.end_seq: one for one in st.fillings if one.end_seq is not None}

    def take(self, event: Event, seq: int) -> None:
        """One event: what ends by it, what begins."""
        month, job = month_of(event.date), event.job
        if seq in self.ends:
            self._end(self.ends[seq], month, GONE if job in _ENDS else TIP)
        if seq in self.begins:
            self._begin(self.begins[seq], month)
        if month is None:
            self.unread += job in LOOKED or job == "leak"
            return
        if job in LOOKED:
            kind, since = self.visit or (FULL, month)
            self.looks.append((job, kind, max(0, month - since), month))
        elif job == "char":
            self.again = True if self.held else self.held
            self.since, self.counts = 0, False
            self.chars.append(month)
            if self.fills and self.fills[-1].how == TIP:
                self.fills[-1] = replace(self.fills[-1], charred=True)
        elif job == "season":
            self.wine = self.held = True
        elif job in ("missing", "found"):
            self.missing = month if job == "missing" else None
        elif job == "retire" or job in _ENDS:
            self._leave(job, month)
        self._of_leaks(event, month)

    def _begin(self, filling: Filling, month: int | None) -> None:
        if self.fills and self.fills[-1].how == TIP and self.fills[-1].charred is None:
            self.fills[-1] = replace(self.fills[-1], charred=False)
        self.since = None if self.since is None else self.since + 1
        self.counts, self.held, self.visit = True, True, None
        self.wine = self.wine or not filling.is_spirit
        self.unread += month is None
        self.fills.append(Fill(filling.spirit or "?", month, None, STAYS, Wood(self.since, self.again, self.wine), False))

    def _end(self, filling: Filling, month: int | None, how: str) -> None:
        """The fill that runs is over: a short one counts no longer, and what was wet is a matter of the empty cask."""
        if not self.fills:
            return
        short = filling.short and self.counts
        self.unread += month is None
        self.fills[-1] = replace(self.fills[-1], end=month, how=how, short=short)
        if short and self.since is not None:
            self.since -= 1
        if month is not None:
            self.visit = (TIP, month)
            self._close(self.wet, month)

    def _leave(self, job: str, month: int) -> None:
        if job == "retire":
            self.retired = month if self.retired is None else self.retired
        if self.out is None:
            self.out = month, RETIRED if job == "retire" else GONE
        if job in _ENDS:
            self._close(self.wet, month)

    def _of_leaks(self, event: Event, month: int) -> None:
        """A leak opens by `leak`; a dry look, a peg at its place or a job that names it closes it, as the fold has it."""
        if event.job == "leak":
            self.wet.append((event.id, str(getattr(event, "at", None)), month))
            return
        heirs = self.life.state.own.heirs
        named = getattr(event, "of" if event.job == "look" else "closes", None) if event.job == "look" or event.job in _MAY_CLOSE else None
        at = getattr(event, "at", None)
        if event.job == "look" and event.seen == "dry" and not event.lost & {"seen", "of", "at"}:  # type: ignore[attr-defined]
            self._close([one for one in self.wet if (named is None or one[0] == heirs.get(named, named)) and (at is None or one[1] == str(at))], month)
        elif event.job in _MAY_CLOSE:
            pegged = event.job == "peg"
            self._close([one for one in self.wet if (named is not None and one[0] == heirs.get(named, named)) or (pegged and one[1] == str(at))], month)

    def _close(self, dry: list[tuple[str, str, int]], month: int) -> None:
        self.leaks += [(found, max(found, month)) for _, _, found in dry]
        self.wet = [one for one in self.wet if one not in dry]

    def told(self) -> Turns:
        """All that was noted."""
        leaks = [*self.leaks, *((found, None) for _, _, found in self.wet)]
        return Turns(
            self.life.state.type, self.came, self.first, tuple(self.fills), tuple(self.looks), tuple(leaks), tuple(self.chars), self.retired, self.out, self.missing, self.unread
        )  # fmt: skip
