"""The rule `loss` for a whole book: each cask is gone through once, and judged when the losses of all are known."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from typing import Any

from caskbook.due.case import Case, case_of
from caskbook.due.decided import decision, in_words
from caskbook.due.loss import LOSS, opinion_of
from caskbook.due.verdict import OFF, Opinion, Verdict, told_in_part
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
    `over`: the day on which the decision holds no longer; `later`: the case under the settings of later days, each with the day from which on they hold.
    """

    decided: str | None
    changes_on: date | None
    off: bool
    limit: int
    summaries: Sequence[FillSummary]
    asked: bool = True
    unread: tuple[str, ...] = ()
    decided_on: date | None = None
    over: date | None = None
    later: tuple[tuple[date, LossCase], ...] = ()

    def as_row(self, fills: Sequence[FillSummary | EarlierFill] | None = None) -> list[Any]:
        """In plain values. `fills`: its summaries, where some of them are only known by their rows."""
        summaries = [summary.as_row(brief=n > 0) for n, summary in enumerate(self.summaries if fills is None else fills)]
        later = [[_ordinal(day), case.as_row()] for day, case in self.later]
        days = [_ordinal(self.decided_on), _ordinal(self.over)]
        return [self.decided, _ordinal(self.changes_on), self.off, self.limit, summaries, self.asked, list(self.unread), *days, later]

    @classmethod
    def from_row(cls, row: list[Any], cask: str, cask_type: str) -> LossCase:
        """The inverse of `as_row`."""
        decided, changes, off, limit, summaries, asked, unread, decided_on, over, later = row
        fills = RowSummaries(summaries, cask, cask_type)
        cases = tuple((date.fromordinal(day), cls.from_row(case, cask, cask_type)) for day, case in later)
        return cls(decided, _day(changes), off, limit, fills, asked, tuple(unread), _day(decided_on), _day(over), cases)

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
    settings = [start for start in life.house.starts if start > life.day]
    found = _at(case, tuple(summaries_of(life)) if summaries is None else summaries)
    days = [day for day in (found.over, *settings, life.next_event) if day is not None and day > life.day]
    alike = all(_alike(life.house, life.day, start, life.cask.head.type) for start in settings)
    later = [] if alike else [(start, then) for start in settings if (then := case.on(start)) is not None]
    return replace(found, changes_on=min(days, default=None), later=tuple((start, _at(then, tuple(summaries_of(then.life)))) for start, then in later))


@lru_cache(maxsize=1000)
def _alike(house: House, one: date, other: date, cask_type: str | None) -> bool:
    """Whether what the house has set for a type of cask, and bears on its losses, is the same on both days: all but the due rules of other work."""
    before, after = house.on(one, cask_type), house.on(other, cask_type)
    return before is after or _bearing(before) == _bearing(after)


def _bearing(settings: Settings) -> list[object]:
    others = [getattr(settings, name) for name, about in type(settings).model_fields.items() if about.alias != "due" and name != "due"]
    return [*others, settings.due.loss, settings.due.retire]


def _at(case: Case, summaries: tuple[FillSummary, ...]) -> LossCase:
    """The case under the settings of its day."""
    (decide, turns), rules = decision(case, LOSS), case.rules
    words, made = (None, None) if decide is None else (in_words(decide), decide.date)
    limit, over = 0 if rules.retire.off else rules.retire.loss_fills, turns[0] if turns else None
    return LossCase(words, None, rules.loss.off, limit, summaries, unread=case.life.unread, decided_on=made, over=over)


def loss_verdict(case: LossCase, about: About, losses: Losses, house: House) -> tuple[Verdict, int]:
    """(the verdict, how many fills running lost too much where they are enough to be a sign for retiring, else 0)."""
    running = losses.running() if case.limit else 0
    opinion, quiet = _opinion(case, about, losses)
    verdict = Verdict(
        about.cask, about.type, about.berth, LOSS.name, "ok" if quiet else opinion.verdict, None if quiet else opinion.since, False,
        opinion.reasons, case.decided if quiet else None, case.changes_on, turns_on=_turns_on(case, about, losses, house),
    )  # fmt: skip
    return verdict, running if running >= case.limit else 0


def _opinion(case: LossCase, about: About, losses: Losses, day: date | None = None) -> tuple[Opinion, bool]:
    """(what the rule says, whether a decision quiets it); `day`: a later one than that of the case, when the decision may be over."""
    opinion = told_in_part(OFF if case.off else opinion_of(losses.latest()), case.unread, about.cask)
    quiet = case.decided is not None and (case.decided_on is None or opinion.answered_by(case.decided_on))
    return opinion, quiet and not (day is not None and case.over is not None and day >= case.over)


def _turns_on(case: LossCase, about: About, losses: Losses, house: House) -> date | None:
    """The first later day on which the verdict is another word, nothing entered and the peers as they are; None is never."""

    def word(case: LossCase, losses: Losses, day: date | None = None) -> str:
        opinion, quiet = _opinion(case, about, losses, day)
        return "ok" if quiet else opinion.verdict

    if not case.later and case.decided is None:
        return None
    spans = [(None, case, losses), *((day, then, then.losses(losses.peers, house.on(day, about.type))) for day, then in case.later)]
    now = word(case, losses)
    for at, (since, then, theirs) in enumerate(spans):
        until = spans[at + 1][0] if at + 1 < len(spans) else None
        over = then.over if then.over is not None and (since is None or then.over > since) and (until is None or then.over < until) else None
        for day in (since, over):
            if day is not None and word(then, theirs, day) != now:
                return day
    return None


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
            yield about.cask, *loss_verdict(case, about, case.losses(self.peers, self.house.on(self.day, about.type)), self.house)
