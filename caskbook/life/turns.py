"""When one cask came empty, was filled, examined, tested, leaked and went: the turns of a life by month, as an outlook counts them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from caskbook.core.days import UnknownDay

TIP, GONE, FILLED, RETIRED, MISSED, STAYS = "t", "g", "f", "r", "m", "-"
"""How a stretch of liquor or of emptiness ended: emptied, gone with the cask, filled again, retired, missed; not at all."""
CAME, FULL = "a", "o"
"""Beside TIP: in which visit a cask was examined, that of its coming, or none, for it was full."""
LOOKED = ("examine", "test")


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
    """A stretch of liquor. `wood`: as it stood once it was over, None while it lasts; `charred`: whether it was charred before it was filled again,
    None while it stands empty."""

    spirit: str
    start: int | None
    end: int | None = None
    how: str = STAYS
    wood: Wood | None = None
    charred: bool | None = None


@dataclass(frozen=True, slots=True)
class Turns:
    """The turns of a life, months as `month_of` counts. `woods`: its wood from each month on, that with which it came first; `looks`: (job, in which visit, months since that
    began, month); `leaks`: (found, closed); `chars`: months; `out`: (month, how) of the retirement or leaving that came first; `missed`: (missing from, found)."""

    type: str
    came: int
    woods: tuple[tuple[int, Wood], ...]
    fills: tuple[Fill, ...]
    looks: tuple[tuple[str, str, int, int], ...]
    leaks: tuple[tuple[int, int | None], ...]
    chars: tuple[int, ...]
    retired: int | None = None
    out: tuple[int, str] | None = None
    missed: tuple[tuple[int, int | None], ...] = ()
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
            self, woods=tuple(one for one in self.woods if one[0] <= month), fills=tuple(fills), looks=tuple(one for one in self.looks if one[3] <= month), chars=chars,
            leaks=_open_until(self.leaks, month), retired=_before(self.retired, month),
            out=self.out if self.out and self.out[0] <= month else None, missed=_open_until(self.missed, month),
        )  # fmt: skip

    def lines(self) -> Iterator[str]:
        """What is counted of it, as words with bars between; equal words of many casks are counted together (`stats/outlook_book.py` reads them)."""
        yield f"A|{self.type}|{self.came}|{int(self._came_full)}|{self.woods[0][1]}|{self.fills[0].spirit if self._came_full else ''}"
        yield from (f"X|{job}|{visit}|{lag}|{month}" for job, visit, lag, month in self.looks)
        yield from (f"L|{found}|{_word(closed)}" for found, closed in self.leaks)
        yield from (f"R|{self.type}|{self.retired}" for _ in range(self.retired is not None))
        yield from ("U" for _ in range(self.unread))
        yield from self._of_fills()
        yield from self._of_empty()

    @property
    def wood(self) -> Wood:
        """Its wood as it stands."""
        return self.woods[-1][1]

    @property
    def missing(self) -> int | None:
        """Since when it is missing; None where it is not."""
        return self.missed[-1][0] if self.missed and self.missed[-1][1] is None else None

    @property
    def _came_full(self) -> bool:
        return bool(self.fills) and self.fills[0].start == self.came

    def _of_fills(self) -> Iterator[str]:
        """Each stretch of liquor, with what it left where it came empty; the one that lasts also as it stands. A missing cask is followed no further."""
        for fill in self.fills:
            if fill.start is None or (fill.end is None and fill.how != STAYS):
                continue
            end, how = fill.end, fill.how
            if end is None and self.missing is not None:
                end, how = max(self.missing, fill.start), GONE
            yield f"F|{self.type}|{fill.start}|{_word(end)}|{how}|{fill.spirit}"
            if how == TIP:
                yield f"N|{self.type}|{end}|{fill.wood}|{'-' if fill.charred is None else int(fill.charred)}"
            elif end is None:
                yield f"O|{self.type}|{fill.start}|{self.wood}|{fill.spirit}"

    def _of_empty(self) -> Iterator[str]:
        """The stretches of emptiness, and where it stands empty now, as it stands. Its coming begins one too."""
        begun: int | None = self.came
        spirit = ""
        for fill in self.fills:
            if fill.start is None:
                return
            if begun is not None and not (fill is self.fills[0] and self._came_full):
                yield f"E|{self.type}|{begun}|{fill.start}|{FILLED}"
            begun, spirit = fill.end if fill.how == TIP else None, fill.spirit
        if begun is None:
            return
        if self.out is not None:
            yield f"E|{self.type}|{begun}|{max(begun, self.out[0])}|{self.out[1]}"
        elif self.missing is not None:
            yield f"E|{self.type}|{begun}|{max(begun, self.missing)}|{MISSED}"
        else:
            yield f"E|{self.type}|{begun}|-|{STAYS}"
            yield f"Q|{self.type}|{begun}|{self.wood}|{spirit}"


def _word(month: int | None) -> str:
    return STAYS if month is None else str(month)


def _open_until(stretches: tuple[tuple[int, int | None], ...], month: int) -> tuple[tuple[int, int | None], ...]:
    """Stretches as they were told at the end of a month."""
    return tuple((begun, _before(over, month)) for begun, over in stretches if begun <= month)


def _before(at: int | None, month: int) -> int | None:
    return at if at is not None and at <= month else None


def _until(fill: Fill, month: int) -> Fill:
    """A fill as it was told at the end of a month; whether it was charred after is told only then."""
    if fill.end is None or fill.end > month:
        return Fill(fill.spirit, fill.start)
    return fill
