"""The due rule `look`: open leaks of full casks are looked at again, and new fills where the house asks for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import SOON_DAYS, Case, days, due_since
from caskbook.due.rule import Rule, any_of
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.carried import OpenLeak
from caskbook.model.house import LookRule, Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.spirit import Leak, Look
from caskbook.words.job_table import jobs_with

_RANKS = {"weep": 1, "drip": 2, "run": 3}
_SHOWN = 3


@dataclass(frozen=True, slots=True)
class _Visit:
    """One thing to go and look at: from which day, why, and how grave it is."""

    on: date
    since: date
    severity: int
    reason: str


_LEAK_SEEN = jobs_with("leak-seen")


def look(case: Case) -> Opinion:
    """Look again at a leak.

    What: a full cask with an open leak is looked at again; a new fill too, where due.look.new_fill_days names days.
    Why: a leak told by word of mouth is forgotten; most weeps take up by themselves, a drip or a run does not wait.
    When it is due: a weep 14 days after it was last seen, a drip and a run the same day, or on the leak's own look_again day.
    Soon in the 7 days before. A new fill on each of its days until somebody looks; when as many days again as the last of
    them have gone by it is no longer new.
    What to do: caskbook enter look CASK --seen dry, weep, drip or run.
    """
    if case.rules.look.off:
        return OFF
    if not case.st.filled:
        return ok("empty: nothing to leak")
    visits = [_at_leak(case, leak) for leak in case.st.leaks]
    fresh, turns = _new_fill(case)
    visits += fresh
    if not visits:
        return ok("no open leak", turns=turns)
    turns += tuple(day for visit in visits for day in (add_days(visit.on, -SOON_DAYS), visit.on))
    return _most_urgent(case, visits, turns)


def _most_urgent(case: Case, visits: list[_Visit], turns: tuple[date, ...]) -> Opinion:
    now = [visit for visit in visits if visit.on <= case.day]
    soon = [visit for visit in visits if add_days(visit.on, -SOON_DAYS) <= case.day]
    chosen = sorted(now or soon or visits, key=lambda visit: (-visit.severity, visit.since, visit.reason))
    reasons = tuple(visit.reason for visit in chosen[:_SHOWN])
    if len(chosen) > _SHOWN:
        reasons += (f"and {len(chosen) - _SHOWN} more to look at",)
    if not (now or soon):
        return ok(*reasons, turns=turns)
    since = min(visit.since for visit in chosen)
    return Opinion("due" if now else "soon", reasons, since, severity=chosen[0].severity, turns=turns)


def _wait(rule: LookRule, severity: str) -> int:
    # A leak of which nobody can read how bad it is, is looked at as soon as the worst.
    return {"weep": rule.weep_days, "drip": rule.drip_days}.get(severity, rule.run_days)


def _at_leak(case: Case, leak: OpenLeak) -> _Visit:
    """The visit that one open leak wants: the day, since when it is due, and the reason with the house's own days."""
    seen = leak.looked or leak.since
    what = f"{leak.severity} at {leak.at} seen {seen}"
    if leak.no_day:
        return _Visit(seen, seen, _RANKS.get(leak.severity, _RANKS["run"]), f"{what}: the day to look again cannot be read")

    def look_on(settings: Settings) -> date:
        return leak.look_again or add_days(seen, _wait(settings.due.look, leak.severity))

    on, wait = look_on(case.settings), _wait(case.rules.look, leak.severity)
    if leak.look_again:
        reason = f"{what}: to be looked at again {on}"
    else:
        reason = f"{what}: house looks again {f'after {days(wait)}, {on}' if wait else 'the same day'}"
    since = due_since(case, look_on) if on <= case.day else on
    return _Visit(on, since, _RANKS.get(leak.severity, _RANKS["run"]), reason)


def _new_fill(case: Case) -> tuple[list[_Visit], tuple[date, ...]]:
    """The first look at a new fill that nobody has made yet, and the days on which that changes."""
    wanted, filling = sorted(case.rules.look.new_fill_days), case.st.filling
    if not wanted or filling is None or case.st.contents != "spirit":
        return [], ()
    over = add_days(filling.start, 2 * wanted[-1] + 1)
    if case.day >= over:
        return [], ()
    seen = [event.date for event in case.life.events if event.job in _LEAK_SEEN and event.date >= filling.start]
    looks = [(n, add_days(filling.start, n)) for n in wanted]
    left = [(n, on) for n, on in looks if not seen or on > seen[-1]]
    if not left:
        return [], (over,)
    count, on = left[0]
    return [_Visit(on, on, 0, f"filled {filling.start}: house looks at a new fill after {days(count)}, {on}")], (over,)


def _new_leak(case: Case, event: Event, seq: int) -> bool:
    """Another leak, or one that was seen to run, or to be worse than at the look before."""
    if not isinstance(event, Look):
        return event.job == "leak"
    before = next((one for one in reversed(case.life.events[: seq - 1]) if isinstance(one, Leak | Look)), None)
    was = before.seen if isinstance(before, Look) else before.severity if before is not None else None
    return event.seen == "run" or _RANKS.get(event.seen or "run", 0) > _RANKS.get(was or "run", 0)


LOOK = Rule("look", 1, look, any_of("leak", "look", "fill", "rack-in"), reopened_by=_new_leak, jobs=("look",), kind="must")
