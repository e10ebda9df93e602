"""A seasoning is held against the house's rules as a filling is: no cask is seasoned without a word that a mark bars, or that was never proved after work."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_of, ev
from due.judged import emptied, examined, failed, nosed, of, passed, said
from entry.shop import CASK, Shop, days_ago

from caskbook.life import live
from caskbook.model.house import House

RECEIVED = ev("2020-01-10", "receive", verdict="accept")
SOUND = [RECEIVED, examined("2020-01-11")]
OPENED = [ev("2020-01-12", "open", heads=["A"]), ev("2020-01-13", "close", heads=["A"])]
SEASON = ev("2020-02-01", "season", wine="oloroso", litres=190.0)
REPAIR = ev("2020-01-14", "examine", verdict="repair", findings=[{"at": "stave-3", "defect": "cracked", "severity": 2}])


def codes(*events: dict[str, Any], house: House = HOUSE) -> list[str]:
    return [fault.code for fault in live(cask_of(*events), house, date(2020, 3, 1)).faults]


@pytest.mark.parametrize(
    ("before", "code"),
    [
        ([*SOUND, ev("2020-01-20", "retire", reasons=["spent"], approved_by="KD")], "fill-while-retired"),
        ([*SOUND, ev("2020-01-20", "hold", why="number unreadable")], "fill-while-held"),
        ([RECEIVED, ev("2020-01-11", "examine", verdict="reject")], "fill-while-rejected"),
        ([*SOUND, nosed("2020-01-20", "fault"), ev("2020-01-21", "release", why="kept", approved_by="KD")], "fill-while-tainted"),
        ([*SOUND, *OPENED], "fill-while-unproved"),
        ([*SOUND, *OPENED, failed("2020-01-20")], "fill-while-failed"),
        ([RECEIVED, REPAIR], "fill-while-unrepaired"),
        (SOUND, None),
        ([RECEIVED], None),
        ([*SOUND, ev("2020-01-20", "sulphur", grams=5, why="kept")], None),
        ([*SOUND, *OPENED, passed("2020-01-20")], None),
    ],
)
def test_what_bars_a_filling_bars_a_seasoning_but_for_the_looking_over(before: list[dict[str, Any]], code: str | None) -> None:
    assert codes(*before, SEASON) == ([code] if code else [])


def test_where_the_house_tests_every_cask_it_tests_before_a_seasoning() -> None:
    always = House({**HOUSE.raw, "fill_needs": "test"})
    assert codes(*SOUND, SEASON, house=always) == ["fill-while-unproved"] and codes(*SOUND, passed("2020-01-20"), SEASON, house=always) == []


def test_a_seasoning_against_the_rules_is_refused_and_the_next_filling_asked_about(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    shop = Shop(tmp_path)
    done = [
        {"date": days_ago(29), "job": "receive", "verdict": "accept"}, {"date": days_ago(28), "job": "examine", "verdict": "sound"},
        {"date": days_ago(27), "job": "open", "heads": ["A"]}, {"date": days_ago(26), "job": "close", "heads": ["A"]},
    ]  # fmt: skip
    shop.put(*done)
    ran = shop.enter("season", CASK, "--wine", "oloroso", "--litres", "190", "--yes")
    assert ran.code == 1 and "seasoned while it is not proved tight since work on it" in ran.err and "add --anyway" in ran.err
    shop.put(
        *done,
        {"date": days_ago(20), "job": "season", "wine": "oloroso", "litres": 190}, {"date": days_ago(9), "job": "empty", "litres": 180, "abv": 17, "at_20": True},
        {"date": days_ago(8), "job": "examine", "verdict": "sound"}, {"date": days_ago(8), "job": "nose", "verdict": "clean"},
    )  # fmt: skip
    words = ("fill", CASK, "--spirit", "malt", "--litres", "190", "--abv", "63", "--at-20")
    ran = shop.enter(*words)
    assert ran.code == 1 and f"nobody knows that it is tight: closed {days_ago(26)}, before it was last filled, and no pass since" in ran.err
    shop.put(
        *done, {"date": days_ago(25), "job": "test", "psi": 9, "result": "pass"}, *({"date": days_ago(20), "job": "season", "wine": "oloroso", "litres": 190},)
    )
    assert "nobody knows" not in shop.enter(*words).err


def test_the_list_of_what_is_due_says_that_an_earlier_visit_ended_without_a_pass() -> None:
    events = [*SOUND, *OPENED, SEASON, emptied("2020-03-01"), examined("2020-03-02"), nosed("2020-03-02", "clean")]
    full = said(of("retest", "2020-02-03", *events[:-3]))
    assert full == "filled: no pass is called for by its next visit; closed 2020-01-13, before it was last filled, and no pass since"
    told = said(of("retest", "2020-03-03", *events))
    assert told == "no work or fail in this visit that calls for a pass; closed 2020-01-13, before it was last filled, and no pass since"
