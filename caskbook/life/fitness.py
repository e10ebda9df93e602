"""Whether an empty cask may be filled, and the one word for what it is: fitness and state."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import UnknownDay
from caskbook.life.state import State


def exam_day(st: State) -> date | None:
    """The day the examination of this visit counts from: its own, or a later pass with nothing structural since."""
    if st.exam is None:
        return None
    later = st.last_pass
    if st.proved and later is not None and later.seq > st.exam_seq:
        return max(st.exam.date, later.date)
    return st.exam.date


def nose_lacking(st: State) -> bool:
    """A wine-held or sulphured cask, and one with wood of a tainted one, wants a clean nose after its last emptying here, or receipt."""
    return (st.wine_held is True or "sulphured" in st.marks or bool(st.tainted_parts)) and not st.clean_nose


def unanswered(st: State) -> bool:
    """Whether a finding of the examination is still open."""
    return st.exam is not None and any(defect.seq == st.exam_seq for defect in st.defects)


def passed_since_repair(st: State) -> bool:
    """Whether a pass came after the last answer to the examination's findings."""
    return st.proved and st.last_pass is not None and st.last_pass.seq > st.exam_seq and st.last_pass.seq >= st.answer_seq


def unexamined(st: State, day: date) -> bool:
    """No examination since receipt, return or emptying, or too old, or its clean nose lacking, or its hold released."""
    since = exam_day(st)
    if since is None or isinstance(since, UnknownDay) or st.exam is None or st.exam.verdict in ("hold", "reject", None):
        return True
    valid = st.house.on(day, st.type).examine_valid_days
    return (day - since).days > valid or nose_lacking(st)


def examined(st: State, day: date) -> bool:
    """Examined and found sound, or repaired with every finding answered and a pass after."""
    if unexamined(st, day) or st.exam is None:
        return False
    return st.exam.verdict == "sound" or (not unanswered(st) and passed_since_repair(st))


def pass_needed(st: State, day: date) -> bool:
    """A pass is called for by structural work or a fail in this visit, or by the house always."""
    return (st.in_visit and (st.visit_structural or st.visit_fails > 0)) or st.house.on(day, st.type).fill_needs == "test"


def test_valid(st: State, day: date) -> bool:
    """Proved, and the pass not too old."""
    if not st.proved or st.last_pass is None or isinstance(st.last_pass.date, UnknownDay):
        return False
    return (day - st.last_pass.date).days <= st.house.on(day, st.type).test_valid_days


def untested(st: State, day: date) -> bool:
    """A needed pass is lacking or too old, or none has come after a repair's last answer."""
    if st.exam is not None and st.exam.verdict == "repair" and not passed_since_repair(st):
        return True
    return pass_needed(st, day) and not test_valid(st, day)


_MARKS = ("rejected", "retired", "held", "tainted", "sulphured")


def fitness(st: State, day: date) -> str:
    """The first that applies, of an empty cask."""
    for mark in _MARKS:
        if mark in st.marks:
            return mark
    if unexamined(st, day):
        return "unexamined"
    if st.exam is not None and st.exam.verdict == "repair" and unanswered(st):
        return "repair"
    if st.last_test is not None and st.last_test.result == "fail":
        return "failed"
    return "untested" if untested(st, day) else "ready"


def nose_unknown(st: State) -> bool:
    """Whether nobody knows that it never held wine, and it was not nosed clean since it was last emptied or came."""
    return st.wine_held is None and not st.clean_nose


def fitness_known(st: State, day: date) -> str | None:
    """The fitness as far as it is known: what would be ready is unknown where a cask that held wine would want a clean nose first."""
    word = fitness(st, day)
    return None if word == "ready" and nose_unknown(st) else word


def state_word(st: State, day: date) -> str | None:
    """gone, missing, away, filled, seasoning, shook, open, emptied, or the fitness, None where that is unknown."""
    if st.form == "gone":
        return "gone"
    if st.where != "here":
        return st.where
    if st.filled:
        return "filled" if st.contents == "spirit" else "seasoning"
    if st.form != "whole":
        return st.form
    return fitness_known(st, day) if st.examined_since_empty else "emptied"
