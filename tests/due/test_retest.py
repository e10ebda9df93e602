"""Testing again after work, after a fail, and when a needed pass has grown old."""

from __future__ import annotations

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import (
    RECEIVED,
    day_of,
    decided,
    due_house,
    emptied,
    examined,
    failed,
    filled,
    of,
    passed,
    said,
)

OPENED = [ev("2020-02-01", "open", heads=["A"]), ev("2020-02-02", "stave", staves=[14], action="rejoint")]
CLOSED = [*OPENED, ev("2020-02-03", "close", heads=["A"])]


def test_nothing_calls_for_a_pass() -> None:
    assert of("retest", "2020-02-01", RECEIVED, examined("2020-01-10")).verdict == "ok"


def test_worked_on_and_not_tested() -> None:
    verdict = of("retest", "2020-02-05", RECEIVED, *CLOSED)
    assert day_of(verdict) == "due 2020-02-01"
    assert said(verdict) == "opened 2020-02-01, closed 2020-02-03: no pass since; test before it is filled"
    assert "close it first" in said(of("retest", "2020-02-02", RECEIVED, *OPENED))


def test_a_fail_stays_until_a_pass() -> None:
    verdict = of("retest", "2020-02-05", RECEIVED, failed("2020-02-01", "croze-A"))
    assert day_of(verdict) == "due 2020-02-01"
    assert "failed 2020-02-01 at croze-A" in said(verdict)
    assert of("retest", "2020-02-05", RECEIVED, failed("2020-02-01"), passed("2020-02-01")).verdict == "ok"
    refilled = [RECEIVED, failed("2020-02-01"), filled("2020-02-02"), emptied("2020-05-01"), examined("2020-05-01")]
    # Full in between, it became due again when it was emptied.
    assert day_of(of("retest", "2020-05-02", *refilled)) == "due 2020-05-01"


@pytest.mark.parametrize(
    ("day", "word"),
    # passed on 4 February: good for 60 days, to 4 April
    [("2020-03-28", "ok"), ("2020-03-29", "soon 2020-04-05"), ("2020-04-04", "soon 2020-04-05"), ("2020-04-05", "due 2020-04-05")],
)
def test_a_needed_pass_grows_old(day: str, word: str) -> None:
    assert day_of(of("retest", day, RECEIVED, *CLOSED, passed("2020-02-04"))) == word


def test_a_pass_that_nothing_needs_does_not_grow_old() -> None:
    assert of("retest", "2021-01-01", RECEIVED, passed("2020-02-04")).verdict == "ok"


def test_a_repair_not_done_blocks_and_is_tested_once_done() -> None:
    found = examined("2020-02-01", verdict="repair", findings=[{"at": "hoop-A-1", "defect": "loose-hoop", "severity": 2}])
    verdict = of("retest", "2020-02-05", RECEIVED, found)
    assert (verdict.verdict, verdict.since) == ("blocked", None)
    assert (
        said(verdict)
        == "to be repaired since 2020-02-01, still open: hoop-A-1 loose-hoop (2) | answered by a job at its place, or by one with --answers EVENT/place; then a pass"
    )
    house = House({**HOUSE.raw, "drive_unproves": False})
    driven = ev("2020-02-03", "drive")
    assert day_of(of("retest", "2020-02-05", RECEIVED, found, driven, house=house)) == "due 2020-02-03"
    assert of("retest", "2020-02-05", RECEIVED, found, driven, passed("2020-02-03"), house=house).verdict == "ok"


def test_driving_alone_as_the_house_says() -> None:
    driven = [RECEIVED, passed("2020-01-12"), ev("2020-02-03", "drive")]
    assert day_of(of("retest", "2020-02-05", *driven)) == "due 2020-02-03"
    assert of("retest", "2020-02-05", *driven, house=House({**HOUSE.raw, "drive_unproves": False})).verdict == "ok"


def test_a_house_that_tests_every_cask() -> None:
    house = House({**HOUSE.raw, "fill_needs": [{"since": "2020-02-01", "value": "test"}]})
    assert of("retest", "2020-01-31", RECEIVED, house=house).verdict == "ok"
    verdict = of("retest", "2020-02-05", RECEIVED, house=house)
    assert day_of(verdict) == "due 2020-02-01"
    assert "house tests every cask before filling" in said(verdict)
    assert of("retest", "2020-02-05", RECEIVED, passed("2020-01-12"), house=house).verdict == "ok"
    assert of("retest", "2020-02-05", RECEIVED, passed("2020-01-12"), filled("2020-01-13"), house=house).verdict == "at-emptying"


def test_hoops_changed_while_full_wait_for_the_emptying() -> None:
    full = [RECEIVED, passed("2020-01-12"), filled("2020-01-13"), ev("2020-05-01", "hoop", hoops=["A-2"])]
    assert of("retest", "2020-06-01", RECEIVED, passed("2020-01-12"), filled("2020-01-13")).verdict == "ok"
    assert of("retest", "2020-06-01", *full).verdict == "at-emptying"
    assert day_of(of("retest", "2020-07-05", *full, emptied("2020-07-01"))) == "due 2020-07-01"


def test_a_bung_hole_rebored_while_full_waits_for_the_emptying_and_is_then_due() -> None:
    full = [RECEIVED, passed("2020-01-12"), filled("2020-01-13"), ev("2020-05-01", "bung", action="rebore")]
    waits = of("retest", "2020-06-01", *full)
    assert (waits.verdict, said(waits)) == ("at-emptying", "bung hole worked on 2020-05-01 while full: to be tested once emptied")
    empty = of("retest", "2020-07-05", *full, emptied("2020-07-01"), examined("2020-07-02"))
    assert (day_of(empty), said(empty)) == ("due 2020-07-01", "bung hole worked on 2020-05-01: no pass since; test before it is filled")
    assert of("retest", "2020-07-05", *full, emptied("2020-07-01"), passed("2020-07-02")).verdict == "ok"


def test_a_return_wants_a_pass() -> None:
    away = [ev("2020-02-01", "send", to="shop-hollow", why="work"), ev("2020-03-01", "return", verdict="accept")]
    assert said(of("retest", "2020-03-02", RECEIVED, passed("2020-01-12"), *away)).startswith("came back 2020-03-01: no pass since")


def test_quiet_and_off() -> None:
    assert of("retest", "2020-02-05", RECEIVED, *CLOSED, decided("2020-02-04", "retest")).verdict == "ok"
    again = [RECEIVED, *CLOSED, decided("2020-02-04", "retest"), failed("2020-02-05")]
    assert of("retest", "2020-02-05", *again).verdict == "due"
    assert of("retest", "2020-02-05", RECEIVED, *CLOSED, house=due_house(retest={"off": True})).verdict == "ok"


def test_work_of_an_earlier_visit_is_no_work_of_this_one() -> None:
    # Opened and closed, filled without a test, emptied: by the fold no pass is needed in the new visit, so none is due.
    work = [ev("2020-01-13", "open", heads=["A"]), ev("2020-01-14", "close", heads=["A"])]
    full = [RECEIVED, passed("2020-01-12"), *work, filled("2020-01-15")]
    assert of("retest", "2020-06-01", *full).verdict == "ok"
    assert of("retest", "2020-07-05", *full, emptied("2020-07-01"), examined("2020-07-02")).verdict == "ok"


def test_drive_and_peg_on_a_full_cask_call_for_no_test() -> None:
    full = [RECEIVED, passed("2020-01-12"), filled("2020-01-15"), ev("2020-02-01", "drive"), ev("2020-02-01", "peg", at="joint-3", kind="wedge")]
    assert of("retest", "2020-06-01", *full).verdict == "ok"
    assert of("retest", "2020-07-05", *full, emptied("2020-07-01")).verdict == "ok"


def test_a_repair_that_passed_but_is_not_answered_says_what_stands_open() -> None:
    found = examined("2020-02-01", verdict="repair", findings=[{"at": "joint-4", "defect": "leak", "severity": 1}])
    verdict = of("retest", "2020-02-05", RECEIVED, found, ev("2020-02-02", "drive"), passed("2020-02-03"))
    assert verdict.verdict == "blocked"
    assert "joint-4 leak (1)" in said(verdict) and "2020-02-01" in said(verdict) and "--answers" in said(verdict)
