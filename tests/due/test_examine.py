"""Looking over empty casks: on arrival, on emptying, every so many days."""

from __future__ import annotations

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, emptied, examined, filled, of, passed, said


def test_due_on_arrival_and_on_emptying() -> None:
    assert day_of(of("examine", "2020-01-10", RECEIVED)) == "due 2020-01-10"
    life = [RECEIVED, examined("2020-01-10"), filled("2020-01-20"), emptied("2026-11-20")]
    verdict = of("examine", "2026-11-25", *life)
    assert day_of(verdict) == "due 2026-11-20"
    assert said(verdict) == "emptied 2026-11-20, not examined since"


@pytest.mark.parametrize(
    ("day", "word"),
    [
        ("2020-02-02", "ok"),  # 30 days good to 9 February, inclusive; soon from 7 days before it is due
        ("2020-02-03", "soon 2020-02-10"),
        ("2020-02-09", "soon 2020-02-10"),
        ("2020-02-10", "due 2020-02-10"),
    ],
)
def test_the_days_are_inclusive(day: str, word: str) -> None:
    assert day_of(of("examine", day, RECEIVED, examined("2020-01-10"))) == word


def test_a_later_pass_counts_as_an_examination() -> None:
    verdict = of("examine", "2020-02-15", RECEIVED, examined("2020-01-10"), passed("2020-02-01"))
    assert (verdict.verdict, str(verdict.changes_on)) == ("ok", "2020-02-25")
    assert said(verdict) == "looked over and passed 2020-02-01: good to 2020-03-02; house limit 30 days"


def test_a_filled_cask_waits_for_its_emptying() -> None:
    assert of("examine", "2020-02-15", RECEIVED, examined("2020-01-10"), filled("2020-01-20")).verdict == "at-emptying"


def test_a_hold_of_the_examination_waits_for_its_release() -> None:
    held = [RECEIVED, examined("2020-01-11", verdict="hold", why="smells of tar")]
    assert of("examine", "2020-03-11", *held).verdict == "ok"
    released = ev("2020-03-12", "release", why="aired", approved_by="K. Dunmore")
    assert day_of(of("examine", "2020-03-12", *held, released)) == "due 2020-03-12"


@pytest.mark.parametrize(
    "last",
    [
        ev("2020-01-12", "retire", reasons=["spent"], approved_by="K. Dunmore"),
        ev("2020-01-12", "knock-down"),
        examined("2020-01-12", verdict="reject"),
    ],
)
def test_no_bench_work_on_a_cask_that_is_done_with(last: dict[str, object]) -> None:
    assert of("examine", "2020-06-01", RECEIVED, last).verdict == "ok"


def test_a_limit_lowered_last_week_counts_from_its_day_and_is_foreseen() -> None:
    dated = [{"since": "2019-01-01", "value": 90}, {"since": "2020-03-01", "value": 10}]
    house = House({**HOUSE.raw, "examine_valid_days": dated})
    life = [RECEIVED, examined("2020-01-10")]
    assert day_of(of("examine", "2020-03-05", *life, house=house)) == "due 2020-03-01"
    before = of("examine", "2020-02-20", *life, house=house)
    assert (before.verdict, str(before.changes_on)) == ("ok", "2020-03-01")


def test_a_limit_raised_while_it_was_due_leaves_the_day() -> None:
    dated = [{"since": "2019-01-01", "value": 10}, {"since": "2020-02-20", "value": 30}]
    house = House({**HOUSE.raw, "examine_valid_days": dated})
    assert day_of(of("examine", "2020-03-05", RECEIVED, examined("2020-01-10"), house=house)) == "due 2020-01-21"


def test_a_type_of_its_own() -> None:
    house = House({**HOUSE.raw, "types": {"butt": {"examine_valid_days": 100}}})
    life = [RECEIVED, examined("2020-01-10")]
    assert of("examine", "2020-03-10", *life, house=house).verdict == "due"
    assert of("examine", "2020-03-10", *life, house=house, type="butt").verdict == "ok"


def test_off_and_put_off() -> None:
    assert said(of("examine", "2020-02-10", RECEIVED, house=due_house(examine={"off": True}))) == "off in house.yaml"
    put_off = [RECEIVED, decided("2020-01-11", "examine", "defer", until="2020-02-01")]
    quiet = of("examine", "2020-02-01", *put_off)
    assert (quiet.verdict, quiet.since, str(quiet.changes_on)) == ("ok", None, "2020-02-02")
    assert quiet.decided == "deferred until 2020-02-01 by K. Dunmore: seen by us"
    assert day_of(of("examine", "2020-02-02", *put_off)) == "due 2020-01-10"


def test_a_keep_without_a_day_ends_with_the_next_news() -> None:
    kept = [RECEIVED, decided("2020-01-11", "examine")]
    assert of("examine", "2021-01-01", *kept).verdict == "ok"
    away = [ev("2021-02-01", "send", to="shop-hollow", why="work"), ev("2021-03-01", "return", verdict="accept")]
    assert day_of(of("examine", "2021-03-01", *kept, *away)) == "due 2021-03-01"
