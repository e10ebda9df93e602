"""The house's own rules that an event breaks: written all the same where a person says so, and a warning with a remedy."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from caskbook.core.finding import Fault
from caskbook.life.fitness import fitness, unanswered, untested
from caskbook.life.needs import fault_at
from caskbook.life.state import State
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.model.jobs.bench import Test
from caskbook.model.jobs.spirit import Fill, RackIn, Top
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.model.jobs.arrival import Raise
    from caskbook.model.jobs.repair import KnockDown

_SPIRIT_IN = jobs_with("spirit-in")
WITH_POLICY = jobs_with("policy")
_UNFIT = {
    "rejected": ("fill-while-rejected", "it is rejected", "enter its release before, or void the fill"),
    "retired": ("fill-while-retired", "it is retired", "void the retirement if it was wrong"),
    "held": ("fill-while-held", "it is held", "enter its release before the fill"),
    "tainted": ("fill-while-tainted", "its nose is at fault", "treat it and enter a clean nose before the fill"),
    "sulphured": ("fill-while-sulphured", "it was sulphured and not nosed since", "enter a clean nose before the fill"),
    "unexamined": ("fill-while-unexamined", "it is not examined for this fill", "enter the examination (and the nose of a wine cask)"),
    "repair": ("fill-while-unrepaired", "a defect of its examination is unanswered", "enter the repair, or `answers` on the job that made it good"),
    "failed": ("fill-while-failed", "its last test failed", "enter the test that passed"),
    "untested": ("fill-while-unproved", "it is not proved tight since work on it", "enter the test that passed"),
}  # fmt: skip


def policy_broken(event: Event, row: int, st: State) -> list[Fault]:
    """The house's own rules that the event breaks: warnings. Imported events are not judged."""
    if event.source == "register":
        return []
    if event.job in _SPIRIT_IN:
        return _fill_policy(cast("Fill | RackIn", event), row, st)
    if event.job == "season":
        return _season_policy(event, row, st)
    if event.job == "test":
        return _pressure_policy(cast(Test, event), row, st)
    if event.job == "top":
        return _top_policy(cast(Top, event), row, st)
    if event.job == "convert":
        return _convert_policy(event, row, st)
    if event.job == "char":
        return _char_policy(event, row, st)
    if event.job in ("knock-down", "raise"):
        return _more_staves(cast("KnockDown | Raise", event), row, st)
    if event.job == "break-up" and not {"retired", "rejected"} & st.marks.keys():
        return [fault_at(event, row, "break-up-unretired", "broken up, but neither retired nor rejected", "enter the retirement before it", severity="warning")]
    if event.job == "release" and not {"held", "rejected"} & st.marks.keys():
        return [fault_at(event, row, "release-without-hold", "released, but it was not held", "void it, or enter the hold it answers", severity="warning")]
    return []


def _more_staves(event: KnockDown | Raise, row: int, st: State) -> list[Fault]:
    """More staves than the book has of the cask came from somewhere, or were miscounted; who says so in words has answered."""
    had, count = st.frame.staves, event.staves
    if count is None or had is None or count <= had or event.why or event.note or "staves" in st.unsure or (event.job == "raise" and st.form != "shook"):
        return []
    message = f"{count} staves of {'a bundle' if st.form == 'shook' else 'a cask'} of {had}"
    remedy = "correct the count if it is wrong; else say in `note` where the others came from"
    return [fault_at(event, row, "more-staves-than-it-had", message, remedy, "staves", severity="warning")]


def _top_policy(event: Top, row: int, st: State) -> list[Fault]:
    """What is added without a word of its spirit is taken for more of the same."""
    if event.spirit is None or st.spirit is None or st.settings.same_spirit(event.spirit, st.spirit):
        return []
    message = f"topped with {event.spirit}; it holds {st.spirit}, and is told as that"
    return [fault_at(event, row, "top-of-other-spirit", message, "correct the spirit, or void it if another cask was meant", "spirit", severity="warning")]


def _pressure_policy(event: Test, row: int, st: State) -> list[Fault]:
    limit = st.house.on(event.date, st.type).test_limit_psi
    if event.method != "air" or event.psi is None or event.psi <= limit:
        return []
    message = f"`psi` is {event.psi:g}: the house limit is {limit:g} psi"
    return [fault_at(event, row, "test-over-house-limit", message, "correct the figure if misread; heads can be blown out", "psi", severity="warning")]


_BARS_CONVERSION = {
    "rejected": ("convert-while-rejected", "it is rejected", "enter its release before, or void the conversion"),
    "held": ("convert-while-held", "it is held", "enter its release before the conversion"),
    "tainted": ("convert-while-tainted", "its nose is at fault", "treat it and enter a clean nose before the conversion: the taint goes with the wood"),
}


def _convert_policy(event: Event, row: int, st: State) -> list[Fault]:
    """What waits for a decision, or is tainted, is not made into other casks without a word; that a nose held it, its taint tells. A retired one may be."""
    marks = st.marks
    by_nose = "held" in marks and "tainted" in marks and marks["held"].seq == marks["tainted"].seq
    return [
        fault_at(event, row, code, f"converted while {why}", remedy, "job", severity="warning")
        for mark, (code, why, remedy) in _BARS_CONVERSION.items()
        if mark in marks and not (mark == "held" and by_nose)
    ]


def _char_policy(event: Event, row: int, st: State) -> list[Fault]:
    """A cask is charred again no more often than the house lets it be, and not on staves that are known to be under its floor.

    Only what is known counts: a char that may have been a first one, and staves that nobody measured, are held against nothing. Types that
    the house does not char, and casks that held wine, have no such number, as for the due rule.
    """
    if "date" in event.lost:
        return []
    settings, found = st.house.on(event.date, st.type), []
    rule, number = settings.due.rechar, st.least_rechars + 1
    if st.had_liquor and number > rule.most_rechars and not (rule.off or st.type in rule.off_types or st.wine_held):
        message = f"{'at least ' if st.rechars is None else ''}re-char {number} of this cask: the house limit is {rule.most_rechars}"
        remedy = "void it if it was not done; `caskbook report retirement` tells what else can be done"
        found.append(fault_at(event, row, "rechar-over-house-limit", message, remedy, "job", severity="warning"))
    floor, mm = settings.stave_floor_mm, st.stave_mm
    if floor is not None and mm is not None and mm < floor:
        message = f"staves {plain(mm)} mm: the house floor is {plain(floor)} mm"
        remedy = "correct the thickness if misread; void the char if it was not done"
        found.append(fault_at(event, row, "char-under-stave-floor", message, remedy, "job", severity="warning"))
    return found


def _season_policy(event: Event, row: int, st: State) -> list[Fault]:
    """Wine leaks out of an unproved cask too, and no tainted or retired one is seasoned; whether it was looked over is left to the bench."""
    if st.filled or st.form != "whole":
        return []
    fit = next((mark for mark in _UNFIT if mark in st.marks and mark != "sulphured"), None)
    if fit is None and unanswered(st):
        fit = "repair"
    if fit is None and st.last_test is not None and st.last_test.result == "fail":
        fit = "failed"
    if fit is None and untested(st, event.date):
        fit = "untested"
    if fit is None:
        return []
    code, why, remedy = _UNFIT[fit]
    return [fault_at(event, row, code, f"seasoned while {why}", remedy.replace("the fill", "the seasoning"), severity="warning")]


def _fill_policy(event: Fill | RackIn, row: int, st: State) -> list[Fault]:
    """A fill that finds the cask empty wants it ready, and room for the litres."""
    if st.filled or st.form == "gone":
        return []
    found = []
    fit = fitness(st, event.date) if st.form == "whole" else "ready"
    if fit in _UNFIT:
        code, why, remedy = _UNFIT[fit]
        found.append(fault_at(event, row, code, f"filled while {why}", remedy, severity="warning"))
    room = st.capacity_l
    if room is not None and event.litres is not None and event.litres > room:
        message = f"{event.litres:g} L in a cask of {room:g} L"
        field = "litres" if event.job == "fill" else "from"
        found.append(fault_at(event, row, "over-capacity", message, "correct the litres, or measure the cask", field, severity="warning"))
    return found
