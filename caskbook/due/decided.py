"""Decisions of a person that quiet a due rule: which one is in force, and how it reads."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case
from caskbook.due.rule import Rule
from caskbook.model.jobs.custody import Decide

_DONE = {"keep": "kept", "defer": "deferred"}


def decision(case: Case, rule: Rule) -> tuple[Decide | None, tuple[date, ...]]:
    """The decision on this rule in force on the day, and the day on which it runs out.

    The last decision counts, and answers what was there when it was made: another matter entered behind it is due again. With an `until` it
    holds to the end of that day; without one a decision on a claim or a loss holds for good, any other until something new is entered
    that bears on the rule.
    """
    seq, found = _last(case, rule.name)
    if found is None:
        return None, ()
    later = case.life.events[seq:]
    if any(rule.reopened_by(case, event, place) for place, event in enumerate(later, seq + 1)):
        return None, ()
    if found.until is not None:
        over = add_days(found.until, 1)
        return (found if case.day <= found.until else None), (over,)
    ended = not rule.for_good and any(rule.news(event) for event in later)
    return (None if ended else found), ()


def answered(case: Case, rule: str) -> int:
    """The place in the events, from 1, of the last decision on a rule whose day is not over: it answered what stands before it. 0 without one."""
    seq, found = _last(case, rule)
    return 0 if found is None or (found.until is not None and case.day > found.until) else seq


def _last(case: Case, rule: str) -> tuple[int, Decide | None]:
    """The last decision on a rule, with its place in the events from 1."""
    events = case.life.events
    return next(((n + 1, one) for n in reversed(case.decides) if (one := _on(events[n], rule)) is not None), (0, None))


def in_words(decide: Decide) -> str:
    """ "deferred until 2026-12-01 by NAME: why"."""
    until = f" until {decide.until}" if decide.until else ""
    ref = f" ({decide.ref})" if decide.ref else ""
    return f"{_DONE.get(decide.outcome, decide.outcome)}{ref}{until} by {decide.approved_by}: {decide.why}"


def _on(event: object, name: str) -> Decide | None:
    """The event where it decides on this rule; one of which nobody can read what was decided, by whom or until when, decides nothing."""
    decides = isinstance(event, Decide) and event.rule == name and not event.lost & {"outcome", "until", "approved_by", "why", "date"}
    return event if decides else None  # type: ignore[return-value]
