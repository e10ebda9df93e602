"""Decisions of a person that quiet a due rule: which one is in force, and how it reads."""

from __future__ import annotations

from collections.abc import Container
from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case
from caskbook.due.rule import Rule
from caskbook.model.ids import id_minute
from caskbook.model.jobs import Event
from caskbook.model.jobs.custody import Decide

_DONE = {"keep": "kept", "defer": "deferred"}


def decision(case: Case, rule: Rule) -> tuple[Decide | None, tuple[date, ...]]:
    """The decision on this rule in force on the day, and the day on which it runs out.

    The last decision counts, and answers what was there when it was made: another matter entered since is due again. With an `until` it
    holds to the end of that day; without one a decision on a claim or a loss holds for good, any other until something new is entered
    that bears on the rule.
    """
    seq, found = _last(case, rule.name)
    if found is None:
        return None, ()
    later = _since(case, seq, found)
    if any(rule.reopened_by(case, event, place) for place, event in later.items()):
        return None, ()
    if found.until is not None:
        over = add_days(found.until, 1)
        return (found if case.day <= found.until else None), (over,)
    ended = not rule.for_good and any(rule.news(event) for event in later.values())
    return (None if ended else found), ()


def unanswered(case: Case, rule: str) -> Container[int]:
    """The places in the events, from 1, of what came since the last decision on a rule, whose day is not over; all of them without one."""
    seq, found = _last(case, rule)
    over = found is None or (found.until is not None and case.day > found.until)
    return range(1, len(case.life.events) + 1) if found is None or over else _since(case, seq, found)


def _since(case: Case, seq: int, decide: Decide) -> dict[int, Event]:
    """Place → event of all that stands behind a decision, or was entered after it for an earlier day: nobody knew of it then. What replaces
    another entry was known in some form."""
    events, made = case.life.events, id_minute(decide.id)
    late = {}
    if made is not None:
        late = {n: one for n, one in enumerate(events[: seq - 1], 1) if one.replaces is None and (minute := id_minute(one.id)) is not None and minute > made}
    return {**late, **dict(enumerate(events[seq:], seq + 1))}


def _last(case: Case, rule: str) -> tuple[int, Decide | None]:
    """The last decision on a rule, with its place in the events from 1."""
    if not case.decides:
        return 0, None
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
