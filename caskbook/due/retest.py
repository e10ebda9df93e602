"""The due rule `retest`: a cask that was worked on, or leaked, is tested before it goes back to the row."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case, by_day, days, due_since, several, visit_start
from caskbook.due.rule import Rule, any_of
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.carried import Defect
from caskbook.life.fitness import passed_since_repair, unanswered
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.bench import Test
from caskbook.words.job_table import JOB_TABLE
from caskbook.words.repairs import mended_by

_WORK = {row.job: row.loosens for row in JOB_TABLE.values() if row.loosens}
_ANSWERED_BY = "answered by a job at its place, or by one with --answers EVENT/place; then a pass"


def retest(case: Case) -> Opinion:
    """Test again.

    What: a test for tightness, with air or water.
    Why: repaired and rolled away without a test is how a leak gets into the warehouse; an old pass says little of a dry cask.
    When it is due: after structural work in this visit, or a failed test in any, until a pass; after a repair's last answer;
    when a needed pass is older than test_valid_days, 60 unless the house says otherwise (soon in the 7 days before); always
    before filling where the house says fill_needs: test. Blocked while a repair that was called for is not done. On a filled
    cask it waits for the emptying. A retired, rejected or knocked-down cask has none.
    What to do: caskbook enter test CASK --psi … --result pass, or fail with the leaks.
    """
    if case.rules.retest.off:
        return OFF
    if case.idle:
        return ok(case.idle)
    st = case.st
    if st.filled:
        return _when_emptied(case)
    if st.last_test and st.last_test.result == "fail":
        return _unproved(case)
    worked = st.in_visit and (st.visit_structural or st.visit_fails > 0)
    if worked and not st.proved:
        return _unproved(case)
    if _repair_waits(case):
        return _repair(case)
    if worked or case.settings.fill_needs == "test":
        return _by_age(case, worked)
    before = f"; {owed}" if (owed := unproved_before(case)) else ""
    return ok(f"no work or fail in this visit that calls for a pass{before}")


def unproved_before(case: Case) -> str:
    """What unproved the cask in an earlier visit that ended without a pass, in words; empty where nothing did. No pass is called for, by the
    contract, but nobody knows that it is tight."""
    return f"{_loosened(case)[-1][1]}, before it was last filled, and no pass since" if case.st.loosened and not case.st.proved else ""


def _when_emptied(case: Case) -> Opinion:
    """The opinion about a filled cask: at-emptying with what it is to be tested for, else ok."""
    st = case.st
    reasons = []
    if st.hoop_pending:
        reasons.append("hoops changed while full: to be tested once emptied")
    if st.pass_owed and not st.proved:
        reasons.append(f"{_loosened(case)[-1][1]} while full: to be tested once emptied")
    if st.last_test and st.last_test.result == "fail":
        reasons.append(f"failed {st.last_test.date} and never passed since")
    if case.settings.fill_needs == "test":
        reasons.append("house tests every cask before filling")
    if reasons:
        return Opinion("at-emptying", tuple(reasons))
    before = unproved_before(case)
    return ok(f"filled: no pass is called for by its next visit; {before}" if before else "filled, nothing to be tested for")


def _unproved(case: Case) -> Opinion:
    """Why, and since when, the cask is not proved: the first and the last work or fail since the last pass."""
    st = case.st
    _, start, _ = visit_start(case)
    done = _loosened(case)
    if not done and st.last_test and st.last_test.result == "fail":
        done = [(st.last_test.date, f"failed {st.last_test.date}")]
    elif not done and (faulty := [one for one in case.life.events if isinstance(one, Test) and one.lost and one.date >= start]):
        done = [(one.date, "a test that cannot be read") for one in faulty]
    elif not done:
        done = [(start, f"hoops changed while full, emptied {start}")]
    told = [done[0][1]] + ([done[-1][1]] if len(done) > 1 else [])
    still = f"; {several([f'{d.at} {d.defect}' for d in st.defects])} still open" if _repair_waits(case) and st.defects else ""
    first = "close it first" if st.form == "open" else "test before it is filled"
    return Opinion("due", (f"{', '.join(told)}: no pass since; {first}{still}",), max(start, done[0][0]))


def _loosened(case: Case) -> list[tuple[date, str]]:
    """What the fold says unproved the cask since its last pass: when, and what."""
    return [(event.date, _work(event)) for event in (case.life.events[seq - 1] for seq in case.st.loosened)]


def _work(event: Event) -> str:
    if isinstance(event, Test):
        return f"failed {event.date} at {several([leak.at or '?' for leak in event.leaks or []])}"
    return f"{_WORK.get(event.job, event.job)} {event.date}"


def _repair_waits(case: Case) -> bool:
    exam = case.st.exam
    return exam is not None and exam.verdict == "repair" and (unanswered(case.st) or not passed_since_repair(case.st))


def _repair(case: Case) -> Opinion:
    st = case.st
    assert st.exam is not None
    if unanswered(st):
        left = [f"{d.at} {d.defect}" + (f" ({d.severity})" if d.severity else "") for d in st.defects if d.seq == st.exam_seq]
        return Opinion("blocked", (f"to be repaired since {st.exam.date}, still open: {several(left)}", _ANSWERED_BY))
    if st.answer_seq:
        day = case.life.events[st.answer_seq - 1].date
        return Opinion("due", (f"repair of {st.exam.date} done {day}: no pass since",), day)
    return Opinion("due", (f"to be repaired since {st.exam.date}: no pass since",), st.exam.date)


def _by_age(case: Case, worked: bool) -> Opinion:
    """A pass is needed: by work in this visit, which it followed, or by the house always."""
    _, start, word = visit_start(case)
    last = case.st.last_pass if case.st.proved else None
    if last is None:
        since = due_since(case, lambda settings: start if settings.fill_needs == "test" else None)
        return Opinion("due", (f"{word} {start}, not proved: house tests every cask before filling",), since)

    def lapses(settings: Settings) -> date:
        return max(start, add_days(last.date, settings.test_valid_days + 1))

    valid = case.settings.test_valid_days
    reason = f"passed {last.date}: good to {add_days(last.date, valid)}; house limit {days(valid)}"
    return by_day(case, lapses, reason if worked else f"{reason}, and a pass before every filling")


def repairs_open(case: Case) -> tuple[Defect, ...]:
    """What the examination that called for a repair found and nobody has answered yet, of a cask that is mended at all; in its order."""
    if case.idle or case.st.filled or not _repair_waits(case):
        return ()
    return tuple(defect for defect in case.st.defects if defect.seq == case.st.exam_seq)


def _jobs(case: Case, _: str) -> tuple[str, ...]:
    """A test; before it what mends the findings of the examination, and the heads put in where they are out."""
    mending = dict.fromkeys(mended_by(defect.defect, defect.at) for defect in repairs_open(case))
    return (*mending, *(["close"] if case.st.form == "open" else []), "test")


def _another(case: Case, event: Event, seq: int) -> bool:
    """Another visit, other work or another test in it, another repair called for or done: a decision before it was about what was there then."""
    st = case.st
    repair = seq == st.exam_seq and st.exam is not None and st.exam.verdict == "repair"
    return repair or event.job == "test" or seq in (st.visit_seq, st.answer_seq, *st.loosened)


RETEST = Rule("retest", 3, retest, any_of(*_WORK, "test", "examine"), _another, jobs=("test",), kind="test", calls=_jobs, if_kept=True, before_fill=True)
