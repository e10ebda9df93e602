"""What the due rules answer: a verdict per cask and rule, and a rule's opinion of a case, with reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

_MOST_UNREAD = 3
Word = Literal["due", "soon", "at-emptying", "blocked", "unknown", "ok"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """One rule's answer about one cask on a day.

    `since`: the day since when it has been due; for soon the day it becomes due, where that can be known; else None.
    `decided`: the decision in force on this rule, in words; it turns any other verdict into ok. `changes_on`: the first
    later day on which any of the other fields would differ if nothing is entered, or on which the file has a later event, up to
    which the whole stands; `turns_on`: the first on which the word of the verdict is another, if nothing is entered, later events
    of the file included; None is never. `severity` orders leaks: 3 run, 2 drip, 1 weep.
    """

    cask: str
    type: str
    berth: str | None
    rule: str
    verdict: Word
    since: date | None
    well_past: bool
    reasons: tuple[str, ...]
    decided: str | None
    changes_on: date | None
    severity: int = 0
    turns_on: date | None = None

    def as_dict(self) -> dict[str, Any]:
        """The keys of the machine-readable answer; the day as text."""
        return {
            "cask": self.cask, "rule": self.rule, "verdict": self.verdict, "since": self.since.isoformat() if self.since else None,
            "well_past": self.well_past, "reasons": list(self.reasons), "decided": self.decided,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Opinion:
    """What a rule says of a case by itself. `turns`: days on which it may say something else, earlier ones included.

    Reasons name days, never ages, so that an opinion stays the same from one turn to the next. `begun`: the day on which the matter began at the
    earliest, where the rule knows it; a decision made before that day, or on it, does not answer it.
    """

    verdict: Word
    reasons: tuple[str, ...]
    since: date | None = None
    well_past: bool = False
    severity: int = 0
    turns: tuple[date, ...] = ()
    begun: date | None = None

    def answered_by(self, decided_on: date) -> bool:
        """Whether a decision of that day is about this matter, as far as its day tells."""
        return self.begun is None or self.begun < decided_on


def told_in_part(opinion: Opinion, unread: Sequence[str], cask: str, *, for_ever: bool = False, lacks_entries: bool = False) -> Opinion:
    """What a rule says of a cask of whose files something cannot be read (`unread`, in words): what is due stays due, and is blocked where its
    work cannot be undone (`for_ever`); that nothing is due, nobody can tell. Where whole entries are among it (`lacks_entries`), what is
    counted in a reason, or said not to have been done, is so only of what is read."""
    if not unread:
        return opinion
    told = f"cannot be read: {', '.join(unread[:_MOST_UNREAD])}{' …' if len(unread) > _MOST_UNREAD else ''}; caskbook check {cask}"
    if opinion.verdict in ("due", "blocked"):
        read = f"as far as can be read: {opinion.reasons[0]}" if lacks_entries and opinion.reasons else None
        kept = replace(opinion, reasons=(*((read, *opinion.reasons[1:]) if read else opinion.reasons), told))
        return replace(kept, verdict="blocked", since=None) if for_ever else kept
    return Opinion("unknown", (told,), turns=opinion.turns)


def ok(*reasons: str, turns: tuple[date, ...] = ()) -> Opinion:
    """Nothing to do."""
    return Opinion("ok", reasons, turns=turns)


OFF = ok("off in house.yaml")
