"""Decisions of a person that quiet a due rule: which one is in force, and how it reads."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case
from caskbook.due.rule import Rule
from caskbook.model.jobs import Event
from caskbook.model.jobs.custody import Decide

_DONE = {"keep": "kept", "defer": "deferred"}


def decision(case: Case, rule: Rule) -> tuple[Decide | None, tuple[date, ...]]:
    """The decision on this rule in force on the day, and the day on which it runs out.

    The last decision counts. With an `until` it holds to the end of that day; without one a decision on a claim or a loss
    holds for good, any other until something new is entered that bears on the rule.
    """
    events = case.life.events
    at = next((n for n in reversed(case.decides) if _is_on(events[n], rule.name)), None)
    if at is None:
        return None, ()
    found, later = events[at], events[at + 1 :]
    assert isinstance(found, Decide)
    if any(rule.reopened_by(event) and not _tops_up(case, event, seq) for seq, event in enumerate(later, at + 2)):
        return None, ()
    if found.until is not None:
        over = add_days(found.until, 1)
        return (found if case.day <= found.until else None), (over,)
    ended = not rule.for_good and any(rule.news(event) for event in later)
    return (None if ended else found), ()


def _tops_up(case: Case, event: Event, seq: int) -> bool:
    """Whether it was racked onto what the cask held, so that no other fill begins."""
    return event.job == "rack-in" and all(filling.seq != seq for filling in case.st.fillings)


def in_words(decide: Decide) -> str:
    """ "deferred until 2026-12-01 by NAME: why"."""
    until = f" until {decide.until}" if decide.until else ""
    ref = f" ({decide.ref})" if decide.ref else ""
    return f"{_DONE.get(decide.outcome, decide.outcome)}{ref}{until} by {decide.approved_by}: {decide.why}"


def _is_on(event: object, name: str) -> bool:
    """Whether it decides on this rule; one of which nobody can read what was decided, by whom or until when, decides nothing."""
    return isinstance(event, Decide) and event.rule == name and not event.lost & {"outcome", "until", "approved_by", "why", "date"}
