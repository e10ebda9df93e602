"""One cask on one day as the due rules see it, and the reckoning that several rules share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from caskbook.core.days import add_days
from caskbook.due.verdict import Opinion, ok
from caskbook.life import Life
from caskbook.life.facts import Facts, facts_of
from caskbook.life.later import stands_on
from caskbook.life.state import State
from caskbook.loss import Losses, losses_of
from caskbook.model.house import DueRules, Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import listed
from caskbook.model.jobs.spirit import RackOut
from caskbook.words.job_table import JOB_TABLE
from caskbook.words.plural import number_of

SOON_DAYS = 7
_VISIT_BEGINS = {row.job: row.visit_begins for row in JOB_TABLE.values() if row.visit_begins}


@dataclass(frozen=True, slots=True)
class Case:
    """A life, its facts, and the day asked about: that of the life, or a later one while nothing is entered.

    Of the facts only those that do not change from day to day may be used. `excess_losses`: how many fills running, the
    latest ones, lost too much. `settings`: the house's, of the day, for this type of cask. `decides`: where in the events the
    decisions stand. `losses`: its fills held against their peers; None where these were not gathered. `known`: what was found
    out about it that is the same on each day under the same settings, by a name, so that no rule works it out day by day.
    """

    life: Life
    facts: Facts
    day: date
    settings: Settings
    decides: tuple[int, ...]
    excess_losses: int = 0
    losses: Losses | None = None
    known: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def st(self) -> State:
        """The cask as the events left it."""
        return self.life.state

    @property
    def rules(self) -> DueRules:
        """The due settings of the day."""
        return self.settings.due

    @property
    def idle(self) -> str | None:
        """Why there is no bench work on the cask at all, if so."""
        for name in ("retired", "rejected"):
            if name in self.st.marks:
                return f"{name} {self.st.marks[name].since}: no more bench work"
        return "knocked down: a bundle of staves" if self.st.form == "shook" else None

    def on(self, day: date) -> Case | None:
        """The case on a later day, nothing entered; None where it cannot be told without the files joined with this one."""
        settings = self.life.house.on(day, self.life.cask.head.type)
        if settings is self.st.settings or settings == self.st.settings:
            known = self.known if settings is self.settings else {}
            return Case(self.life, self.facts, day, settings, self.decides, self.excess_losses, self.losses, known)
        if self.st.joined and not (self.life.others or self.life.unread):
            return None
        life = stands_on(self.life, day)
        losses = losses_of(life, self.losses.peers) if self.losses is not None else None
        return replace(self, life=life, facts=facts_of(life), day=day, settings=settings, losses=losses, known={})


def case_of(life: Life, facts: Facts, excess_losses: int = 0, losses: Losses | None = None) -> Case:
    """The case of a life on its own day."""
    decides = tuple(n for n, event in enumerate(life.events) if event.job == "decide")
    return Case(life, facts, life.day, life.house.on(life.day, life.cask.head.type), decides, excess_losses, losses)


def begins_visit(event: Event) -> bool:
    """Whether with this entry the cask comes to the bench: an arrival, a return, an emptying; a racking that leaves litres is none."""
    return event.job in _VISIT_BEGINS and not (isinstance(event, RackOut) and not event.empties)


def visit_start(case: Case) -> tuple[int, date, str]:
    """(its place in the events, day, "emptied") of what began the present visit; the first entry where nothing did."""
    events = case.life.events
    for at in range(len(events) - 1, -1, -1):
        event = events[at]
        if begins_visit(event):
            return at, event.date, _VISIT_BEGINS[event.job]
    return 0, events[0].date, "first entered"


def due_since(case: Case, due_on: Callable[[Settings], date | None]) -> date:
    """The day since when something due today has been due, dated settings reckoned with.

    `due_on` tells the day it falls due under given settings, None for never; it must be reached under today's.
    """
    on = due_on(case.settings) or case.day
    for start in reversed(case.life.house.starts):
        if start > case.day:
            continue
        if on > start:
            break
        before = add_days(start, -1)
        then = due_on(case.life.house.on(before, case.life.cask.head.type))
        if then is None or then > before:
            return start
        on = then
    return on


def by_day(case: Case, due_on: Callable[[Settings], date], *reasons: str, soon_days: int = SOON_DAYS) -> Opinion:
    """Due from the day `due_on` tells, soon in the days before it, else ok."""
    on = due_on(case.settings)
    soon = add_days(on, -soon_days)
    if case.day >= on:
        return Opinion("due", reasons, due_since(case, due_on), turns=(on,))
    if case.day >= soon:
        return Opinion("soon", reasons, on, turns=(soon, on))
    return ok(*reasons, turns=(soon, on))


def last_of(case: Case, *jobs: str) -> Event | None:
    """The last standing event of these jobs."""
    return case.life.last(*jobs)


def fills(count: int) -> str:
    """ "1 fill", "5 fills"."""
    return number_of(count, "fill")


def days(count: int) -> str:
    """ "1 day", "14 days"."""
    return number_of(count, "day")


def brief(text: str, most: int = 60) -> str:
    """The text, cut to `most` characters."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def several(words: list[str], most: int = 3) -> str:
    """ "a, b and c", or "a, b, c and 4 more"."""
    if len(words) <= most:
        return listed(words)
    return ", ".join(words[:most]) + f" and {len(words) - most} more"
