"""Donors both ways: which casks gave parts to which, and what became of those that were broken up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from caskbook.core.period import Period
from caskbook.life.mends import MADE_FROM, STAVE, Broken
from caskbook.stats.parts import Cask


class Gift(NamedTuple):
    """Parts that one cask gave another: STAVE, HEAD or HOOP, or MADE_FROM where the taker was made from its staves; `number` as written, None where nobody counted, and of a lot made into several casks told with each; the first on `day`."""

    giver: str
    taker: str
    part: str
    number: int | None
    day: date


class Giver(NamedTuple):
    """A cask that gave parts, or was broken up for them: what it gave to all casks. `state`: as `list` has it, None of one that is not in the book."""

    cask: str
    state: str | None
    broken: Broken | None
    gave: Mapping[str, int]
    takers: int


@dataclass(frozen=True, slots=True)
class Donors:
    """All that is told: `gifts` in order of giver and taker; `givers` in order of number, those that were broken up and gave nothing yet too; `apart`: those of them
    that were broken up, in the period if there is one."""

    gifts: tuple[Gift, ...]
    givers: tuple[Giver, ...]
    apart: tuple[Giver, ...]

    @property
    def giving(self) -> int:
        """How many casks gave parts."""
        return len({gift.giver for gift in self.gifts})

    @property
    def taking(self) -> int:
        """How many casks have parts of others."""
        return len({gift.taker for gift in self.gifts})

    def count(self, part: str) -> int:
        """How many of a part were given, as far as they were counted."""
        return sum(gift.number or 0 for gift in self.gifts if gift.part == part)


def added(several: Mapping[str, Donors]) -> Donors:
    """Those of several ledgers together, each cask by its number behind its ledger: parts are given within one ledger."""

    def behind(ledger: str, givers: Iterable[Giver]) -> list[Giver]:
        return [giver._replace(cask=f"{ledger}:{giver.cask}") for giver in givers]

    pairs = several.items()
    return Donors(
        tuple(gift._replace(giver=f"{ledger}:{gift.giver}", taker=f"{ledger}:{gift.taker}") for ledger, one in pairs for gift in one.gifts),
        tuple(giver for ledger, one in pairs for giver in behind(ledger, one.givers)),
        tuple(giver for ledger, one in pairs for giver in behind(ledger, one.apart)),
    )


def donors_of(
    casks: Iterable[Cask], states: Mapping[str, str], joined: Mapping[str, str], among: Collection[str] | None = None, period: Period | None = None
) -> Donors:  # fmt: skip
    """Who gave parts to whom, of all casks; `states`: of every cask of the book; `joined`: number → the one that goes on; `among`: only what these casks gave or
    took, None for all; `period`: only what was given, and who was broken up, in these days. What a giver gave in all, and has left, is told of all time."""
    ever, told = _Given(joined), _Given(joined)
    broken: dict[str, Broken] = {}
    for cask, mends in casks:
        if mends.broken is not None:
            broken[cask] = mends.broken
        given = [(one.source, one.part, one.put, one.day) for one in mends.replaced if "-" in one.source]
        for source, part, count, day in [*given, *((parent, MADE_FROM, staves, mends.start) for parent, staves in mends.parents)]:
            ever.add(source, cask, part, count, day)
            if period is None or period.holds(day):
                told.add(source, cask, part, count, day)
    gifts = tuple(gift for gift in told.gifts() if among is None or gift.giver in among or gift.taker in among)
    apart = {cask for cask, one in broken.items() if period is None or period.holds(one.day)}
    numbers = {gift.giver for gift in gifts} | {cask for cask in apart if among is None or cask in among}
    givers = _givers(numbers, ever.gifts(), states, broken)
    return Donors(gifts, givers, tuple(one for one in givers if one.cask in apart))


class _Given:
    """Parts by giver and taker, while they are counted."""

    def __init__(self, joined: Mapping[str, str]) -> None:
        self.joined = joined
        self.counts: Counter[tuple[str, str, str]] = Counter()
        self.first: dict[tuple[str, str, str], date] = {}
        self.unknown: set[tuple[str, str, str]] = set()

    def add(self, source: str, taker: str, part: str, count: int | None, day: date) -> None:
        """Parts more; None where nobody counted them."""
        key = self.joined.get(source, source), taker, part
        self.counts[key] += count or 0
        self.first.setdefault(key, day)
        if count is None:
            self.unknown.add(key)

    def gifts(self) -> tuple[Gift, ...]:
        """In order of giver and taker."""
        return tuple(Gift(*key, None if key in self.unknown else self.counts[key], self.first[key]) for key in sorted(self.counts))


def _givers(numbers: Collection[str], gifts: Iterable[Gift], states: Mapping[str, str], broken: Mapping[str, Broken]) -> tuple[Giver, ...]:
    """Each with all that it gave."""
    gave: dict[str, Counter[str]] = {}
    takers: dict[str, set[str]] = {}
    for gift in gifts:
        if gift.part != MADE_FROM:  # Of a lot the same staves are told with each cask that it became.
            gave.setdefault(gift.giver, Counter())[gift.part] += gift.number or 0
        takers.setdefault(gift.giver, set()).add(gift.taker)
    return tuple(Giver(cask, states.get(cask), broken.get(cask), dict(gave.get(cask, {})), len(takers.get(cask, ()))) for cask in sorted(numbers))


def left_of(giver: Giver) -> int | None:
    """How many staves of a cask that was broken up are left, where those saved were counted: less those given in repairs."""
    if giver.broken is None or giver.broken.staves is None:
        return None
    return giver.broken.staves - giver.gave.get(STAVE, 0)
