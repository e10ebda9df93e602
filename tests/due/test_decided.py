"""What a decision of a person answers: what was there when it was made, and nothing that came behind it."""

from __future__ import annotations

from typing import Any

import pytest
from casks import ev

from due.judged import RECEIVED, decided, due_house, emptied, examined, failed, filled, fills, nosed, of, passed, said

FAR = "2030-01-01"
HELD = ev("2020-02-01", "hold", why="number unreadable")
RELEASED = ev("2020-02-20", "release", why="read", approved_by="K. Dunmore")
OPENED = [ev("2020-02-01", "open", heads=["A"]), ev("2020-02-01", "close", heads=["A"])]
WINE = {"prior": [{"contents": "oloroso"}]}
SOUND = [RECEIVED, examined("2020-01-10")]
FULL = [*SOUND, filled("2020-01-12")]


def leak(day: str, severity: str) -> dict[str, Any]:
    return ev(day, "leak", at="joint-4", severity=severity)


LATER: dict[str, tuple[str, list[dict[str, Any]], list[dict[str, Any]], str, dict[str, Any]]] = {
    # What was decided about, what came behind it, the day, the head.
    "a hold after the release": ("hold", [RECEIVED, HELD], [RELEASED, ev("2020-03-05", "hold", why="cracked")], "2020-03-10", {}),
    "held once more": ("hold", [RECEIVED, HELD], [ev("2020-03-05", "hold", why="cracked")], "2020-03-10", {}),
    "rejected at an examination": ("hold", [RECEIVED, HELD], [ev("2020-03-05", "examine", verdict="reject")], "2020-03-10", {}),
    "held for its nose, nosed clean": ("hold", [RECEIVED, nosed("2020-02-01", "fault")], [nosed("2020-03-05", "clean")], "2020-03-10", {}),
    "tainted": ("nose", [RECEIVED], [nosed("2020-03-05", "fault", "musty")], "2020-03-10", WINE),
    "tainted again": ("nose", [RECEIVED, nosed("2020-02-01", "fault")], [nosed("2020-03-05", "fault")], "2020-03-10", {}),
    "sulphured": ("nose", [RECEIVED], [ev("2020-03-05", "sulphur", grams=5, why="kept")], "2020-03-10", WINE),
    "a wine cask emptied": ("nose", [RECEIVED], [filled("2020-03-05"), emptied("2020-04-01")], "2020-04-02", WINE),
    "opened": ("retest", [RECEIVED, *OPENED], [passed("2020-03-04"), ev("2020-03-05", "open", heads=["A"])], "2020-03-10", {}),
    "more work of another kind": ("retest", [RECEIVED, *OPENED], [ev("2020-03-05", "flag", at=["joint-3"])], "2020-03-10", {}),
    "failed": ("retest", [RECEIVED, *OPENED], [failed("2020-03-05")], "2020-03-10", {}),
    "a repair called for": ("retest", SOUND, [ev("2020-03-05", "examine", verdict="repair", findings=[{"at": "stave-3", "defect": "cracked", "severity": 2}])], "2020-03-10", {}),
    "a fault found later": ("claim", [RECEIVED, failed("2020-01-12")], [failed("2020-02-07")], "2020-02-08", {}),
    "emptied": ("examine", [RECEIVED], [*SOUND[1:], filled("2020-03-05"), emptied("2020-04-01")], "2020-04-02", {}),
    "an examination grown old": ("examine", [RECEIVED], [examined("2020-03-05")], "2020-04-10", {}),
    "charred, and filled twice": (
        "rechar", [RECEIVED, *fills(2010, 2011, 2012, 2013, 2014)], [ev("2020-03-05", "char", level=3), *fills(2021, 2022)], "2023-01-01", {},
    ),
    "another fill": ("regauge", FULL, [emptied("2020-04-01"), filled("2020-05-01")], "2026-01-01", {}),
    "soaked through": ("retire", [RECEIVED], [ev("2020-03-05", "examine", verdict="sound", soaked=0.9)], "2020-03-10", {}),
    "a drip where it wept": ("look", [*FULL, leak("2020-02-01", "weep")], [ev("2020-03-05", "look", seen="drip")], "2020-03-10", {}),
}  # fmt: skip


@pytest.mark.parametrize("name", LATER)
@pytest.mark.parametrize("until", [FAR, None])
def test_a_decision_answers_nothing_that_came_behind_it(name: str, until: str | None) -> None:
    rule, before, later, day, head = LATER[name]
    decision = decided("2020-02-09" if rule != "claim" else "2020-01-20", rule, "claimed" if rule == "claim" else "defer", until)
    verdict = of(rule, day, *before, decision, *later, **head)
    assert verdict.decided is None and verdict.verdict in ("due", "blocked")
    answered = decided(day, rule, "claimed" if rule == "claim" else "defer", until)
    assert of(rule, day, *before, decision, *later, answered, **head).verdict == "ok", "what is decided about last"


@pytest.mark.parametrize(
    ("rule", "before", "later", "day", "head"),
    [
        ("hold", [RECEIVED, HELD], [examined("2020-03-01"), ev("2020-03-02", "move", berth="Y2"), nosed("2020-03-03", "clean")], "2020-03-10", {}),
        ("nose", [RECEIVED, nosed("2020-02-01", "fault")], [ev("2020-03-01", "treat", method="steam", **{"for": "taint"})], "2020-03-10", {}),
        ("nose", [RECEIVED], [ev("2020-03-01", "move", berth="Y2"), examined("2020-03-02")], "2020-03-10", WINE),
        ("retest", [RECEIVED, *OPENED], [examined("2020-03-01"), ev("2020-03-02", "move", berth="Y2")], "2020-03-10", {}),
        ("claim", [RECEIVED, failed("2020-01-12")], [passed("2020-01-25"), ev("2020-01-26", "move", berth="Y2")], "2020-02-01", {}),
        ("examine", [RECEIVED], [nosed("2020-03-01", "clean"), ev("2020-03-02", "move", berth="Y2")], "2020-03-10", {}),
        ("rechar", [RECEIVED, *fills(2010, 2011, 2012, 2013, 2014)], fills(2021), "2022-01-01", {}),
        ("retire", [RECEIVED, ev("2020-02-01", "measure", stave_mm=12)], [ev("2020-03-02", "measure", stave_mm=25), failed("2020-03-03")], "2020-03-10", {}),
        ("look", [*FULL, leak("2020-02-01", "drip")], [ev("2020-03-05", "look", seen="drip")], "2020-03-10", {}),
    ],
)
def test_a_dated_decision_stands_where_nothing_else_came(
    rule: str, before: list[dict[str, Any]], later: list[dict[str, Any]], day: str, head: dict[str, Any]
) -> None:
    decision = decided("2020-02-09" if rule != "claim" else "2020-01-20", rule, "claimed" if rule == "claim" else "defer", FAR)
    assert of(rule, day, *before, decision, *later, **head).decided is not None


@pytest.mark.parametrize(
    ("rule", "before", "later", "day"),
    [
        ("nose", [RECEIVED, nosed("2020-02-01", "fault")], [ev("2020-03-01", "treat", method="steam", **{"for": "taint"})], "2020-03-10"),
        ("retest", [RECEIVED, *OPENED], [examined("2020-03-01")], "2020-03-10"),
        ("rechar", [RECEIVED, *fills(2010, 2011, 2012, 2013, 2014)], fills(2021), "2022-01-01"),
        ("look", [*FULL, leak("2020-02-01", "drip")], [ev("2020-03-05", "look", seen="drip")], "2020-04-10"),
    ],
)
def test_without_a_day_it_ends_with_news_of_the_same_matter_and_with_a_day_it_does_not(
    rule: str, before: list[dict[str, Any]], later: list[dict[str, Any]], day: str
) -> None:
    for until, stands in ((None, False), (FAR, True)):
        decision = decided("2020-02-09", rule, "defer", until)
        assert of(rule, day, *before, decision).decided is not None, "nothing came"
        verdict = of(rule, day, *before, decision, *later)
        assert (verdict.decided is not None) == stands and (verdict.verdict in ("due", "blocked")) != stands


def test_a_claim_tells_what_was_found_since_the_decision() -> None:
    events = [RECEIVED, failed("2020-01-12"), failed("2020-01-13", "joint-2"), decided("2020-01-20", "claim", "claimed"), failed("2020-02-01", "joint-9")]
    verdict = of("claim", "2020-02-05", *events)
    assert said(verdict) == "failed test 2020-02-01: leaked at joint-9 | claims to 2020-02-09" and str(verdict.since) == "2020-02-01"
    put_off = [*events[:3], decided("2020-01-20", "claim", "defer", "2020-02-01")]
    assert said(of("claim", "2020-02-05", *put_off)).startswith("failed test 2020-01-12: leaked at joint-1 | failed test 2020-01-13")


def test_what_is_found_after_the_last_day_for_claims_leaves_a_decision_as_it_was() -> None:
    events = [RECEIVED, failed("2020-01-12"), decided("2020-01-20", "claim", "claimed"), failed("2020-03-01")]
    assert of("claim", "2020-03-05", *events).decided == "claimed by K. Dunmore: seen by us"
    assert of("claim", "2020-03-05", *events, house=due_house(claim={"days": 90})).verdict == "due"


def test_what_is_entered_late_for_an_earlier_day_was_not_there_when_it_was_decided() -> None:
    """The minute of an id tells which was entered first; a replacement was known in some form, and an imported row says no minute."""
    decision = {**decided("2020-01-20", "claim", "claimed"), "id": "e5000000"}
    first, late = {**failed("2020-01-12"), "id": "e4000000"}, {**failed("2020-01-18", "joint-9"), "id": "e6000000"}
    told = of("claim", "2020-01-25", RECEIVED, first, late, decision)
    assert told.verdict == "due" and said(told) == "failed test 2020-01-18: leaked at joint-9 | claims to 2020-02-09"
    for known in ({**late, "id": "e4000001"}, {**late, "replaces": "e4000009", "why": "wrong day"}, {**late, "id": "a0000900"}):
        assert of("claim", "2020-01-25", RECEIVED, first, known, decision).verdict == "ok"
