"""The due rule `hold`: a held or rejected cask waits for a person to decide."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case, brief, by_day
from caskbook.due.rule import Rule
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.carried import MarkSet
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.bench import Nose


def hold(case: Case) -> Opinion:
    """Decide about a held cask.

    What: a cask that is held or rejected waits for somebody to decide.
    Why: a hold that nobody ends fills the yard, or drifts back into the row.
    When it is due: from the day of the mark, or due.hold.after_days later. A cask held for its nose waits for the nose first,
    and is due here once it is nosed clean. A retired cask has been decided about.
    What to do: caskbook enter release CASK --why, retire or dispose; or put the line off with caskbook enter decide.
    """
    if case.rules.hold.off:
        return OFF
    marks = case.st.marks
    name = next((mark for mark in ("rejected", "held") if mark in marks), None)
    if name is None:
        return ok("neither held nor rejected")
    if "retired" in marks:
        return ok(f"retired {marks['retired'].since}")
    by_nose = _noses(case, marks[name])
    if by_nose and "tainted" in marks:
        return ok(f"held for its nose since {marks[name].since}: see nose")
    return _waiting(case, name, marks[name], by_nose)


def _noses(case: Case, mark: MarkSet) -> list[Event]:
    """The nose that set the mark and the clean ones after it; empty where something else set it."""
    at = mark.seq - 1
    if not isinstance(case.life.events[at], Nose):
        return []
    later = [event for event in case.life.events[at + 1 :] if isinstance(event, Nose) and event.verdict == "clean"]
    return [case.life.events[at], *later]


def _waiting(case: Case, name: str, mark: MarkSet, by_nose: list[Event]) -> Opinion:
    since = by_nose[1].date if len(by_nose) > 1 else mark.since
    clean = f", nosed clean {since}" if len(by_nose) > 1 else ""
    to_do = "release, retire or dispose" if name == "rejected" else "release it or decide"

    def waits_from(settings: Settings) -> date:
        return add_days(since, settings.due.hold.after_days)

    return by_day(case, waits_from, f"{name} since {mark.since} ({brief(mark.why)}){clean}: {to_do}")


def _held_again(event: Event) -> bool:
    verdict = getattr(event, "verdict", None)
    return event.job in ("hold", "release") or verdict in ("hold", "reject", "fault")


def _another(case: Case, event: Event, _: int) -> bool:
    """Held or rejected once more; or, of a cask that waited for its nose, nosed clean, so that it waits for a person."""
    if isinstance(event, Nose) and event.verdict == "clean":
        return any(isinstance(case.life.events[mark.seq - 1], Nose) for name, mark in case.st.marks.items() if name in ("held", "rejected"))
    return event.job != "release" and _held_again(event)


HOLD = Rule("hold", 1, hold, _held_again, _another, away=True, jobs=("decide", "release", "retire", "dispose"), kind="must", before_fill=True)
