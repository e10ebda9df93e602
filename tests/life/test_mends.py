"""The mends of a life: parts replaced, how long they were watched, places put right that leaked again, parents and parts saved."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from casks import ev, life_on

from caskbook.index.report_facts import _READ, told_row
from caskbook.life.fold import steps
from caskbook.life.mends import Counts, Mends, MendWatch, Repair, Stretch

RECEIVED = ev("2020-01-01", "receive", verdict="accept")
OPENED, CLOSED = ev("2020-01-02", "open", heads=["A", "B"]), ev("2020-01-04", "close", heads=["A", "B"])
FILLED = ev("2020-02-01", "fill", spirit="malt", litres=190, abv=63.5, at_20=True)
LEAK = ev("2020-03-01", "leak", at="joint-4", severity="weep")


def mends(*events: dict[str, Any], day: str = "2022-01-01", **head: Any) -> Mends:
    watch, state = MendWatch(), life_on(day, *events, **head).state
    for event, state in steps(life_on(day, *events, **head)):
        watch.take(event, state)
    found = watch.mends(state)
    assert found is not None
    return found


def stave(day: str, *staves: int | str, source: str = "new", **more: Any) -> dict[str, Any]:
    return ev(day, "stave", staves=list(staves), action="replace", from_=source, **more)


def test_each_part_is_replaced_once_by_an_entry_and_says_where_it_came_from() -> None:
    head = ev("2020-01-03", "head", head="B", action="replace", from_="TH-000009")
    piece = ev("2020-01-03", "head", head="A", action="piece", which=[2])
    hoop = ev("2020-01-03", "hoop", hoops=["A-1", "B-3"], from_="reused")
    found = mends(RECEIVED, OPENED, stave("2020-01-03", 1, "14b", source="unknown"), head, piece, hoop, CLOSED).replaced
    assert [(one.part, one.name, one.bung, one.source, one.followed) for one in found] == [
        ("stave", "1", True, "unknown", True), ("stave", "14", False, "unknown", True), ("head", "B", False, "TH-000009", True),
        ("hoop", "A-1", False, "reused", True), ("hoop", "B-3", False, "reused", True),
    ]  # fmt: skip
    assert not mends(RECEIVED, OPENED, ev("2020-01-03", "stave", staves=[3], action="rejoint"), CLOSED).replaced


def test_the_bored_stave_is_the_one_it_was_moved_to() -> None:
    found = mends(RECEIVED, OPENED, stave("2020-01-03", 16), ev("2020-01-03", "bung", action="moved", to=16), stave("2020-01-03", 16, 1), CLOSED)
    assert [(one.name, one.bung) for one in found.replaced] == [("16", False), ("16", True), ("1", False)]
    assert found.bungs == ((date(2020, 1, 1), 1), (date(2020, 1, 3), 16))


@pytest.mark.parametrize("two_for_one", [(5, "5b"), (5,)])
def test_two_staves_for_one_are_one_that_was_replaced_and_two_that_were_given(two_for_one: tuple[int | str, ...]) -> None:
    """However it is written; both of them replaced later are two."""
    first = stave("2020-01-03", *two_for_one, source="TH-000009", staves_after=32)
    found = mends(RECEIVED, OPENED, first, stave("2020-01-04", 5, "5b"), stave("2020-01-05", 5, "5b", 13, source="TH-000009", staves_after=30), CLOSED)
    assert [(one.day.day, one.name, one.put) for one in found.replaced] == [(3, "5", 2), (4, "5", 1), (4, "5", 1), (5, "5", 1), (5, "5", 0), (5, "13", 0)]


def test_staves_and_hoops_are_counted_through_time() -> None:
    """Six hoops and 31 staves at first, eight from 2021 on, and of two staves one; a hoop knows how many there were when it came out."""
    two_hoops = ev("2020-01-03", "hoop", hoops=["A-3", "B-3"], from_="new")
    more_hoops = ev("2021-03-01", "hoop", hoops=["A-2", "A-4"], from_="new", hoops_after=8)
    found = mends(RECEIVED, two_hoops, more_hoops, ev("2021-04-01", "open", heads=["A", "B"]), stave("2021-04-02", 13, 14, staves_after=30))
    assert found.counts == (Counts(date(2020, 1, 1), 31, 6, 31), Counts(date(2021, 3, 1), 31, 8, 31), Counts(date(2021, 4, 2), 30, 8, 31))
    assert [(one.name, one.hoops) for one in found.replaced if one.part == "hoop"] == [("A-3", 6), ("B-3", 6), ("A-2", 6), ("A-4", 8)]
    assert (found.staves, found.hoops) == (31, 6)


@pytest.mark.parametrize(("events", "end"), [
    ((), None), ((ev("2021-01-01", "retire", reasons=["x"], approved_by="ab"), ev("2021-02-01", "dispose", how="scrapped")), "2021-01-01"),
    ((ev("2021-02-01", "dispose", how="sold"),), "2021-02-01"), ((ev("2021-03-01", "missing"),), "2021-03-01"),
    ((ev("2021-03-01", "missing"), ev("2021-04-01", "found")), None), ((ev("2021-05-01", "knock-down", staves=31),), "2021-05-01"),
])  # fmt: skip
def test_it_is_watched_to_its_end(events: tuple[dict[str, Any], ...], end: str | None) -> None:
    found = mends(RECEIVED, *events)
    assert (str(found.start), found.end and str(found.end), found.staves, found.hoops) == ("2020-01-01", end, 31, 6)


DOWN, RAISED = ev("2021-05-01", "knock-down", staves=31), ev("2021-06-01", "raise", staves=30)
RETIRED = ev("2021-05-20", "retire", reasons=["x"], approved_by="ab")


def test_what_is_replaced_while_it_is_knocked_down_is_not_followed() -> None:
    assert [one.followed for one in mends(RECEIVED, DOWN, ev("2021-05-03", "hoop", hoops=["A-1"])).replaced] == [False]


def test_raised_again_it_is_watched_anew_with_the_staves_it_has_then() -> None:
    opened, gone = ev("2021-06-02", "open", heads=["A"]), ev("2021-08-01", "dispose", how="sold")
    found = mends(RECEIVED, DOWN, RAISED, opened, stave("2021-06-03", 4))
    assert (str(found.end), found.staves, [one.followed for one in found.replaced]) == ("2021-05-01", 31, [True])
    assert found.raised == (Stretch(date(2021, 6, 1), None, 30),)
    assert mends(RECEIVED, DOWN, RAISED, gone).raised == (Stretch(date(2021, 6, 1), date(2021, 8, 1), 30),)
    again = ev("2021-07-01", "knock-down", staves=29), ev("2021-07-05", "raise"), ev("2021-07-09", "missing")
    assert mends(RECEIVED, DOWN, RAISED, *again).raised[1:] == (Stretch(date(2021, 7, 5), date(2021, 7, 9), 29),)
    uncounted = ev("2021-05-01", "knock-down"), ev("2021-06-01", "raise"), ev("2021-07-01", "measure", staves=33)
    assert mends(RECEIVED, *uncounted, staves="absent").raised == (Stretch(date(2021, 6, 1), None, 33),)


def test_what_was_retired_is_not_watched_anew() -> None:
    for events in ((RETIRED, ev("2021-05-25", "knock-down", staves=31), RAISED), (DOWN, RETIRED, RAISED), (RAISED,)):
        assert mends(RECEIVED, *events).raised == ()


def test_a_leak_after_it_was_raised_is_none_of_what_was_put_right_before() -> None:
    flagged = ev("2021-04-01", "flag", at=["joint-4"])
    later = ev("2021-06-10", "flag", at=["joint-4"]), ev("2021-06-20", "test", psi=11, result="fail", leaks=[{"at": "joint-4", "kind": "drip"}])
    before, after = mends(RECEIVED, flagged, DOWN, RAISED, *later).repairs
    assert (before.again, after.again) == (None, date(2021, 6, 20))
    (only,) = mends(RECEIVED, flagged, DOWN, RAISED, later[1]).repairs
    assert only.again is None


def test_parents_and_what_was_saved() -> None:
    made = ev(
        "2020-01-01",
        "made-from",
        parents=[{"cask": "TH-000008", "staves": 20}, {"unnumbered": "an old butt"}, {"cask": "TH-000009"}],
        inherited={"fills_life": 1},
    )
    assert mends(made, staves="absent").parents == (("TH-000008", 20), ("TH-000009", None))
    retired, broken = ev("2021-01-01", "retire", reasons=["x"], approved_by="ab"), ev("2021-02-01", "break-up", staves_saved=24)
    assert mends(RECEIVED, retired, broken).broken == (date(2021, 2, 1), 24, None, None)


def repairs(*events: dict[str, Any]) -> list[Repair]:
    return list(mends(RECEIVED, *events).repairs)


def test_a_leak_within_what_was_put_right_is_the_same_again() -> None:
    flagged = ev("2020-01-02", "flag", at=["joint-4", "joint-9"])
    first, other = repairs(flagged, FILLED, LEAK, LEAK | {"date": "2020-06-01"})
    assert (first.at, first.again, first.how, other.again) == ("joint-4", date(2020, 3, 1), "leak", None)
    (new,) = repairs(OPENED, stave("2020-01-03", 5), CLOSED, FILLED, LEAK)
    assert (new.at, new.again) == ("stave-5", date(2020, 3, 1))
    (elsewhere,) = repairs(OPENED, stave("2020-01-03", 7), CLOSED, FILLED, LEAK)
    assert elsewhere.again is None
    fail = ev("2020-01-05", "test", psi=10, result="fail", leaks=[{"at": "joint-4"}, {"at": "unseen"}])
    assert [(one.at, one.again and str(one.again), one.how) for one in repairs(flagged, fail)][:1] == [("joint-4", "2020-01-05", "test")]


def test_it_belongs_to_the_last_work_there_and_the_one_before_is_followed_to_that() -> None:
    first, second = repairs(ev("2020-01-02", "flag", at=["joint-4"]), ev("2020-01-10", "flag", at=["joint-4"]), FILLED, LEAK)
    assert (first.until, first.again, second.until, second.again) == (date(2020, 1, 10), None, None, date(2020, 3, 1))


def test_what_closes_a_leak_or_answers_a_defect_puts_its_place_right() -> None:
    closes = ev("2020-03-02", "drive", closes="e0000003")
    assert [(one.at, one.job) for one in repairs(FILLED, LEAK, closes)] == [("joint-4", "drive")]
    found = ev("2020-01-02", "examine", verdict="repair", findings=[{"at": "croze-A-3", "defect": "leak"}])
    answers = ev("2020-01-03", "drive", answers="e0000002")
    assert [(one.at, one.job) for one in repairs(found, answers)] == [("croze-A-3", "drive")]
    cured = ev("2020-01-04", "test", psi=10, result="pass", cured_by="drive", leaks=[{"at": "joint-4"}])
    assert [(one.at, one.job) for one in repairs(cured)] == [("joint-4", "drive")]
    assert repairs(FILLED, LEAK, ev("2020-03-09", "look", seen="dry", closed_as="took-up")) == []
    assert repairs(ev("2020-01-02", "drive"), found, ev("2020-01-09", "examine", verdict="sound")) == []


def test_emptying_puts_nothing_right() -> None:
    assert repairs(FILLED, LEAK, ev("2020-04-01", "empty", litres=180, abv=63, at_20=True)) == []


def test_the_index_keeps_all_of_it() -> None:
    flagged, opened = ev("2021-04-01", "flag", at=["joint-4"]), ev("2021-06-02", "open", heads=["A"])
    for events in ((RECEIVED,), (RECEIVED, flagged, DOWN, RAISED, opened, stave("2021-06-03", 4, source="TH-000009"))):
        kept = told_row(life_on("2022-01-01", *events))[2]
        assert kept is not None and _READ["mends"](json.loads(kept)) == mends(*events)
