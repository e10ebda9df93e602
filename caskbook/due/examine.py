"""The due rule `examine`: an empty cask is looked over on arrival, on emptying, and again while it stands empty."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case, by_day, days, last_of, visit_start
from caskbook.due.rule import Rule, any_of
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.fitness import exam_day
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.words.job_table import jobs_with, row_of

_WITH_VERDICT = jobs_with("verdict")


def examine(case: Case) -> Opinion:
    """Look over an empty cask.

    What: an examination of the empty cask, inside and out.
    Why: a cask dries and opens in the yard; what was sound a month ago need not be sound today.
    When it is due: on arrival, on return and on emptying; again when the last examination (or a pass with no work since) is
    older than examine_valid_days, 30 unless the house says otherwise; after the release of a cask that an examination held.
    Soon in the 7 days before. On a filled cask it waits for the emptying. A retired, rejected or knocked-down cask has none.
    What to do: caskbook enter examine CASK --verdict sound, or repair with what was found.
    """
    if case.rules.examine.off:
        return OFF
    if case.idle:
        return ok(case.idle)
    if case.st.filled:
        return Opinion("at-emptying", ("examined whenever it is emptied",))
    exam, since = case.st.exam, exam_day(case.st)
    if exam is None or since is None:
        return _not_examined(case)
    if exam.verdict in ("hold", "reject"):
        return _held_by_it(case, exam.date)
    return _by_age(case, since)


def _not_examined(case: Case) -> Opinion:
    """Not since its visit began; or so that nobody can read what was found then, or afterwards at the nose."""
    at, start, word = visit_start(case)
    visit = [event for event in reversed(case.life.events[at:]) if event.job in _WITH_VERDICT]
    last = next((event for event in visit if event.job == "examine"), None)
    if last is None:
        return Opinion("due", (f"{word} {start}, not examined since",), start)
    lost = next((event for event in visit if event.lost), last)
    unread = "what was found" if lost is last else f"the {row_of(lost.job).noun} of {lost.date}"
    return Opinion("due", (f"{word} {start}, examined {last.date}, but {unread} cannot be read: examine again",), start)


def _held_by_it(case: Case, examined: date) -> Opinion:
    if "held" in case.st.marks:
        return ok(f"held by the examination of {examined}: again once it is released")
    release = last_of(case, "release")
    day = release.date if release else examined
    return Opinion("due", (f"held by the examination of {examined}, released {day}: examine again",), day)


def _by_age(case: Case, since: date) -> Opinion:
    valid = case.settings.examine_valid_days

    def lapses(settings: Settings) -> date:
        return add_days(since, settings.examine_valid_days + 1)

    word = "examined" if case.st.exam and case.st.exam.date == since else "looked over and passed"
    return by_day(case, lapses, f"{word} {since}: good to {add_days(since, valid)}; house limit {days(valid)}")


def _another(case: Case, event: Event, seq: int) -> bool:
    """Another visit, or an examination or a release since, from which its days count anew."""
    return seq == case.st.visit_seq or event.job in ("examine", "release")


EXAMINE = Rule(
    "examine",
    3,
    examine,
    any_of("receive", "return", "raise", "made-from", "examine", "empty", "rack-out", "release"),
    _another,
    jobs=("examine",),
    kind="examine",
    before_fill=True,
)
