"""What the state of a cask carries from event to event: defects, leaks, stretches of liquor, tests, marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.core.days import UnknownDay


@dataclass(frozen=True, slots=True)
class Own:
    """The file of an entry: its number, the ids in it where the cask has several files, and the id of an entry that was replaced → that of the one that stands in its place.
    `own_reasons`: the replacements that bear the reason of what they replaced, and not only that of the replacement."""

    number: str = ""
    heirs: Mapping[str, str] = field(default_factory=dict)
    ids: frozenset[str] = frozenset()
    own_reasons: frozenset[str] = frozenset()


@dataclass(slots=True)
class Defect:
    """Something wrong and unanswered. `event` is what found it, `seq` and `order` where it stands in the history."""

    at: str
    defect: str
    severity: int | str | None
    event: str
    seq: int
    order: int = 0


def found_once(defects: Iterable[Defect]) -> list[Defect]:
    """The defects of one entry, one that is written twice, word for word, once."""
    return list({(one.at, one.defect, one.severity): one for one in reversed(list(defects))}.values())[::-1]


@dataclass(slots=True)
class OpenLeak:
    """A leak of a full cask, not yet closed; `severity` is the word last seen."""

    at: str
    severity: str
    since: date
    event: str
    seq: int
    look_again: date | None = None
    no_day: bool = False
    looked: date | None = None


@dataclass(slots=True)
class Filling:
    """One stretch of liquor in the cask. `end` None while it lasts; wood time counts for spirit only.

    `seq`, `end_seq`: which of the life's events began and ended it, the first being 1: files that are joined may use one id twice.
    """

    event: str
    spirit: str
    start: date
    litres: float | None
    abv: float | None
    is_spirit: bool
    count: int
    end: date | None = None
    end_event: str | None = None
    short: bool = False
    since_char: bool = True
    vat: str | None = None
    seq: int = 0
    end_seq: int | None = None


@dataclass(slots=True)
class Seasoning:
    """One stretch of a seasoning wine in the cask, from its own entry on. `end` None while it lasts."""

    event: str
    wine: str
    start: date
    until: date | None = None
    end: date | None = None
    end_event: str | None = None


@dataclass(slots=True)
class Tested:
    """A test's outcome."""

    date: date
    result: str
    psi: float | None
    seq: int
    event: str


@dataclass(slots=True)
class MarkSet:
    """Since when, by which event and why a mark stands."""

    since: date
    event: str
    why: str
    seq: int = 0


def oak_since_of(event: Any) -> date | None:
    """From which day the spirit of an entry has been in oak; None where that is unknown, or is said to be later than the day it went into this cask, which is oak."""
    since = event.oak_since
    return since if isinstance(since, date) and (since <= event.date or isinstance(event.date, UnknownDay)) else None
