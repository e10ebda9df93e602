"""What an outlook goes by: the turns of all casks, counted by month, as the lines say that `life/turns.py` makes of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from caskbook.life.turns import FILLED, STAYS, TIP, Wood
from caskbook.stats.hazards import Stretch, Watched

WINDOW = 120
"""So many months, the last ones, are looked at: what a house did longer ago says little of the next year. A choice of this program, no source."""


class Kind(NamedTuple):
    """A type of cask and what it holds, or held last."""

    type: str
    spirit: str


class Tip(NamedTuple):
    """Casks that came empty alike. `charred`: whether before they were filled again, None while they stand empty."""

    type: str
    month: int
    wood: Wood
    charred: bool | None
    many: int


class Standing(NamedTuple):
    """Casks that stand alike now: since which month, full or empty, with what wood."""

    kind: Kind
    since: int
    wood: Wood
    many: int


class Coming(NamedTuple):
    """Casks that came alike: full or empty."""

    kind: Kind
    month: int
    full: bool
    wood: Wood
    many: int


@dataclass
class OutlookBook:
    """The turns of a book up to the end of the month `last`; `standing` are later where the day is. `looks`: (job, visit, lag, month) → how many;
    `retired`: month → how many; `unread`: turns of which the day cannot be read; `casks`: how many are told."""

    last: int
    fills: dict[Kind, list[Stretch]] = field(default_factory=dict)
    empties: dict[str, list[Stretch]] = field(default_factory=dict)
    tips: list[Tip] = field(default_factory=list)
    full: list[Standing] = field(default_factory=list)
    empty: list[Standing] = field(default_factory=list)
    came: list[Coming] = field(default_factory=list)
    looks: Counter[tuple[str, str, int, int]] = field(default_factory=Counter)
    leaks: list[Stretch] = field(default_factory=list)
    retired: Counter[int] = field(default_factory=Counter)
    unread: int = 0
    casks: int = 0

    @cached_property
    def watched(self) -> Watched:
        """The months that are looked at."""
        first = min((one.month for one in self.came), default=self.last + 1)
        return Watched(max(first, self.last - WINDOW + 1), self.last)

    def by_month(self, pairs: Iterable[tuple[int, int]]) -> list[int]:
        """How many in each watched month, of (month, how many)."""
        found = [0] * self.watched.months
        for month, count in pairs:
            if self.watched.first <= month <= self.watched.last:
                found[month - self.watched.first] += count
        return found

    @property
    def tips_by_month(self) -> list[int]:
        """How many came empty."""
        return self.by_month((tip.month, tip.many) for tip in self.tips)

    @property
    def fills_by_month(self) -> list[int]:
        """How many that stood empty were filled."""
        return self.by_month((one.end, one.many) for found in self.empties.values() for one in found if one.how == FILLED and one.end is not None)

    @property
    def leaks_by_month(self) -> list[int]:
        """How many leaks were found."""
        return self.by_month((leak.start, leak.many) for leak in self.leaks)

    @property
    def closed_by_month(self) -> list[int]:
        """How many leaks were closed."""
        return self.by_month((leak.end, leak.many) for leak in self.leaks if leak.end is not None)

    def looks_by_month(self, job: str) -> list[int]:
        """How many examinations, or tests."""
        return self.by_month((month, count) for (word, _, _, month), count in self.looks.items() if word == job)


def read_lines(lines: Mapping[str, int], last: int, casks: int) -> OutlookBook:
    """The book of the lines, each with how many casks say it; `last`: the last whole month. They are read in order of their words, so that sums do not
    hang on the order in which they were kept."""
    book = OutlookBook(last, casks=casks)
    for line, count in sorted(lines.items()):
        word, *rest = line.split("|")
        _READ[word](book, rest, count)
    return book


def _month(word: str) -> int | None:
    return None if word == STAYS else int(word)


def _wood(since: str, again: str, wine: str) -> Wood:
    return Wood(None if since == "?" else int(since), None if again == "?" else again == "1", wine == "1")


def _came(book: OutlookBook, words: list[str], count: int) -> None:
    kind, month, full, since, again, wine, *spirit = words
    book.came.append(Coming(Kind(kind, "|".join(spirit)), int(month), full == "1", _wood(since, again, wine), count))


def _fill(book: OutlookBook, words: list[str], count: int) -> None:
    kind, start, end, how, *spirit = words
    book.fills.setdefault(Kind(kind, "|".join(spirit)), []).append(Stretch(int(start), _month(end), how, count))


def _tip(book: OutlookBook, words: list[str], count: int) -> None:
    kind, month, since, again, wine, charred = words
    book.tips.append(Tip(kind, int(month), _wood(since, again, wine), None if charred == STAYS else charred == "1", count))


def _stands(book: OutlookBook, words: list[str], count: int, *, full: bool) -> None:
    kind, since, fills, again, wine, *spirit = words
    (book.full if full else book.empty).append(Standing(Kind(kind, "|".join(spirit)), int(since), _wood(fills, again, wine), count))


def _empty(book: OutlookBook, words: list[str], count: int) -> None:
    kind, start, end, how = words
    book.empties.setdefault(kind, []).append(Stretch(int(start), _month(end), how, count))


def _look(book: OutlookBook, words: list[str], count: int) -> None:
    job, visit, lag, month = words
    book.looks[job, visit, int(lag), int(month)] += count


def _leak(book: OutlookBook, words: list[str], count: int) -> None:
    closed = _month(words[1])
    book.leaks.append(Stretch(int(words[0]), closed, STAYS if closed is None else TIP, count))


def _retired(book: OutlookBook, words: list[str], count: int) -> None:
    book.retired[int(words[1])] += count


def _unread(book: OutlookBook, words: list[str], count: int) -> None:
    book.unread += count


_READ = {
    "A": _came,
    "F": _fill,
    "N": _tip,
    "O": lambda book, words, count: _stands(book, words, count, full=True),
    "Q": lambda book, words, count: _stands(book, words, count, full=False),
    "E": _empty,
    "X": _look,
    "L": _leak,
    "R": _retired,
    "U": _unread,
}
