"""The rule `loss` for a whole book: each cask is gone through once, and judged when the losses of all are known."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from caskbook.due.case import case_of
from caskbook.due.decided import decision, in_words
from caskbook.due.loss import LOSS, opinion_of
from caskbook.due.verdict import OFF, Verdict, told_in_part
from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.loss import Losses, PeerTable
from caskbook.loss.fill_summary import EarlierFill, FillSummary, RowSummaries, summaries_of
from caskbook.model.house import House, Settings


@dataclass(frozen=True, slots=True)
class LossCase:
    """What the rule needs of a cask beside its peers. `changes_on`: the first later day on which its answer may be another.

    `decided`: the decision in force, in words, and `decided_on` its day; `off`: the rule is off; `limit`: fills running with too great a loss that are a
    sign for retiring, 0 where nobody looks at it; `summaries`: its fills, the latest first, of the earlier ones what judging needs.
    `asked`: whether the rule is asked; where it is not, its fills may be in doubt all the same. `unread`: what of its files cannot be read, in words.
    """

    decided: str | None
    changes_on: date | None
    off: bool
    limit: int
    summaries: Sequence[FillSummary]
    asked: bool = True
    unread: tuple[str, ...] = ()
    decided_on: date | None = None

    def as_row(self, fills: Sequence[FillSummary | EarlierFill] | None = None) -> list[Any]:
        """In plain values. `fills`: its summaries, where some of them are only known by their rows."""
        summaries = [summary.as_row(brief=n > 0) for n, summary in enumerate(self.summaries if fills is None else fills)]
        return [self.decided, _ordinal(self.changes_on), self.off, self.limit, summaries, self.asked, list(self.unread), _ordinal(self.decided_on)]

    @classmethod
    def from_row(cls, row: list[Any], cask: str, cask_type: str) -> LossCase:
        """The inverse of `as_row`."""
        decided, changes, off, limit, summaries, asked, unread, decided_on = row
        return cls(decided, _day(changes), off, limit, RowSummaries(summaries, cask, cask_type), asked, tuple(unread), _day(decided_on))

    @classmethod
    def of_fills(cls, summaries: tuple[FillSummary, ...]) -> LossCase:
        """The case of a cask of which the rule is not asked."""
        return cls(None, None, True, 0, summaries, False)

    def losses(self, peers: PeerTable, settings: Settings) -> Losses:
        """Its fills held against their peers."""
        return Losses(self.summaries, peers, settings)


def _ordinal(day: date | None) -> int | None:
    return None if day is None else day.toordinal()


def _day(ordinal: int | None) -> date | None:
    return None if ordinal is None else date.fromordinal(ordinal)


@dataclass(frozen=True, slots=True)
class About:
    """The cask a verdict is about."""

    cask: str
    type: str
    berth: str | None


def loss_case(life: Life, facts: Facts, summaries: tuple[FillSummary, ...] | None = None) -> LossCase | None:
    """The case of a life on its day; None where the rule is not asked: the cask is not here, or has not begun."""
    if not life.begun or life.state.form == "gone" or life.state.where != "here":
        return None
    case = case_of(life, facts)
    decide, turns = decision(case, LOSS)
    rules = case.rules
    settings = [start for start in life.house.starts if start > life.day]
    later = () if life.next_event is None else (life.next_event,)
    days = [day for day in (*turns, *settings, *later) if day > life.day]
    return LossCase(
        None if decide is None else in_words(decide), min(days, default=None), rules.loss.off, 0 if rules.retire.off else rules.retire.loss_fills,
        tuple(summaries_of(life)) if summaries is None else summaries, unread=life.unread,
        decided_on=None if decide is None else decide.date,
    )  # fmt: skip


def loss_verdict(case: LossCase, about: About, losses: Losses) -> tuple[Verdict, int]:
    """(the verdict, how many fills running lost too much where they are enough to be a sign for retiring, else 0)."""
    opinion = told_in_part(OFF if case.off else opinion_of(losses.latest()), case.unread, about.cask)
    running = losses.running() if case.limit else 0
    quiet = case.decided is not None and (case.decided_on is None or opinion.answered_by(case.decided_on))
    verdict = Verdict(
        about.cask, about.type, about.berth, LOSS.name, "ok" if quiet else opinion.verdict, None if quiet else opinion.since, False,
        opinion.reasons, case.decided if quiet else None, case.changes_on,
    )  # fmt: skip
    return verdict, running if running >= case.limit else 0


@dataclass
class BookLosses:
    """All casks of a book, added one by one; then judged."""

    house: House
    day: date
    peers: PeerTable = field(default_factory=PeerTable)
    _cases: list[tuple[About, str | None]] = field(default_factory=list)

    def add(self, life: Life, facts: Facts) -> None:
        """One cask more."""
        summaries = tuple(summaries_of(life))
        for summary in summaries:
            self.peers.add(summary.figure)
        case = loss_case(life, facts, summaries)
        head = life.cask.head
        # Cases are kept as text: a hundred thousand of them as objects would take a gigabyte.
        self._cases.append((About(head.cask, head.type, life.state.berth), None if case is None else json.dumps(case.as_row())))

    def judged(self) -> Iterator[tuple[str, Verdict | None, int]]:
        """(number, verdict, fills running that are a sign for retiring) of each cask, in the order in which they were added."""
        for about, row in self._cases:
            if row is None:
                yield about.cask, None, 0
                continue
            case = LossCase.from_row(json.loads(row), about.cask, about.type or "?")
            yield about.cask, *loss_verdict(case, about, case.losses(self.peers, self.house.on(self.day, about.type)))
