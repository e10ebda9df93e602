"""Held and rejected casks wait for a person."""

from __future__ import annotations

from pathlib import Path

import pytest
from casks import ev
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

from due.judged import RECEIVED, day_of, decided, due_house, examined, filled, nosed, of, said

HELD = ev("2020-02-01", "hold", why="number unreadable")


def test_held_since_the_mark() -> None:
    verdict = of("hold", "2020-02-05", RECEIVED, HELD)
    assert day_of(verdict) == "due 2020-02-01"
    assert said(verdict) == "held since 2020-02-01 (number unreadable): release it or decide"
    assert of("hold", "2020-02-05", RECEIVED).verdict == "ok"


def test_held_while_full_and_while_away() -> None:
    full = [RECEIVED, examined("2020-01-10"), filled("2020-01-20"), HELD]
    assert of("hold", "2020-02-05", *full).verdict == "due"
    assert of("hold", "2020-02-09", *full, ev("2020-02-08", "send", to="shop-hollow", why="work")).verdict == "due"


def test_rejected_until_released_or_retired() -> None:
    rejected = [ev("2020-01-10", "receive", verdict="reject", why="broken chime")]
    assert said(of("hold", "2020-01-10", *rejected)) == "rejected since 2020-01-10 (broken chime): release, retire or dispose"
    assert of("hold", "2020-01-12", *rejected, ev("2020-01-12", "release", why="mended", approved_by="K. Dunmore")).verdict == "ok"
    assert of("hold", "2020-01-12", *rejected, ev("2020-01-12", "retire", reasons=["broken"], approved_by="K. Dunmore")).verdict == "ok"


def test_held_for_its_nose_waits_for_the_nose() -> None:
    fault = [RECEIVED, nosed("2020-02-01", "fault", "acetic")]
    verdict = of("hold", "2020-02-02", *fault)
    assert (verdict.verdict, said(verdict)) == ("ok", "held for its nose since 2020-02-01: see nose")
    clean = of("hold", "2020-03-02", *fault, nosed("2020-03-01", "clean"))
    assert day_of(clean) == "due 2020-03-01"
    assert "nosed clean 2020-03-01" in said(clean)
    assert of("hold", "2020-02-02", RECEIVED, HELD, nosed("2020-02-01", "fault", "acetic")).verdict == "due"


def test_after_days_and_off() -> None:
    house = due_house(hold={"after_days": 10})
    assert of("hold", "2020-02-03", RECEIVED, HELD, house=house).verdict == "ok"
    assert day_of(of("hold", "2020-02-04", RECEIVED, HELD, house=house)) == "soon 2020-02-11"
    assert day_of(of("hold", "2020-02-11", RECEIVED, HELD, house=house)) == "due 2020-02-11"
    assert of("hold", "2020-02-11", RECEIVED, HELD, house=due_house(hold={"off": True})).verdict == "ok"


def test_quiet_until_the_day_or_the_next_hold() -> None:
    kept = [RECEIVED, HELD, decided("2020-02-02", "hold")]
    assert of("hold", "2020-06-01", *kept).verdict == "ok"
    assert of("hold", "2020-06-01", *kept, examined("2020-05-01")).verdict == "ok"
    assert of("hold", "2020-06-01", *kept, ev("2020-06-01", "hold", why="again")).verdict == "due"
    until = [RECEIVED, HELD, decided("2020-02-02", "hold", "defer", until="2020-03-01")]
    assert [of("hold", day, *until).verdict for day in ("2020-03-01", "2020-03-02")] == ["ok", "due"]


@pytest.mark.parametrize(
    ("first", "second", "reason"),
    [
        ({"why": "cracked stave"}, {"why": "a day late"}, "at receive"),
        ({}, {"why": "a day late", "note": "to be seen"}, "to be seen"),
        ({"why": "cracked stave"}, {"why": "cracked stave", "note": "wrong day: 2020-01-11"}, "cracked stave"),
    ],
)
def test_the_reason_of_a_replacement_is_none_of_the_hold(first: dict[str, str], second: dict[str, str], reason: str) -> None:
    """But for one that says once more what the entry before gave as its reason, as `redate` does."""
    old = ev("2020-01-11", "receive", verdict="hold", **first) | {"id": "e0000001"}
    new = ev("2020-01-10", "receive", verdict="hold", replaces="e0000001", **second) | {"id": "e0000002"}
    assert said(of("hold", "2020-02-05", new, old)) == f"held since 2020-01-10 ({reason}): release it or decide"
    looked = ev("2020-01-12", "examine", verdict="hold", replaces="e0000002", why="misread")
    assert "(examined)" in said(of("hold", "2020-02-05", RECEIVED, ev("2020-01-12", "examine", verdict="sound"), looked))


@pytest.mark.thorough
def test_a_receipt_put_right_or_on_another_day_in_the_book(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put({"date": days_ago(5), "job": "receive", "verdict": "hold", "why": "cracked stave"})
    where = ("--by", "ab", "--yes", "--records", str(shop.root))
    assert caskbook("redate", CASK, "e0000001", "--date", str(days_ago(6)), *where[2:]).returncode == 0
    assert "(cracked stave)" in caskbook("due", "hold", *where[3:]).stdout
    old = next(event["id"] for event in shop.data()["events"] if event.get("replaces"))
    assert caskbook("enter", "receive", CASK, "hold", "--replaces", old, "--why", "misread", *where).returncode == 0
    told = caskbook("due", "hold", *where[3:]).stdout + caskbook("show", CASK, *where[3:]).stdout.partition("in place of")[0]
    assert "held since" in told and "misread)" not in told, told
