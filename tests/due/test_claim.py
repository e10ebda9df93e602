"""Claims on suppliers."""

from __future__ import annotations

from datetime import date

import pytest
from casks import HOUSE, cask_of, ev

from caskbook.due import judge
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, examined, failed, filled, nosed, of, passed, said

FOUND = {"at": "stave-14", "defect": "cracked", "severity": 2}


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (examined("2020-01-20", verdict="repair", findings=[FOUND]), "examined 2020-01-20: stave-14 cracked (2)"),
        (examined("2020-01-20", verdict="reject"), "examined 2020-01-20: rejected"),
        (failed("2020-01-20", "croze-A"), "failed test 2020-01-20: leaked at croze-A"),
        (nosed("2020-01-20", "fault", "musty"), "nosed 2020-01-20: musty"),
        (
            ev("2020-01-20", "test", psi=10, result="pass", cured_by="drive", leaks=[{"at": "joint-2"}]),
            "failed test 2020-01-20: leaked at joint-2, cured on the spot",
        ),
    ],
)
def test_what_can_be_claimed(event: dict[str, object], words: str) -> None:
    verdict = of("claim", "2020-02-09", RECEIVED, event, supplier="northquay")
    assert day_of(verdict) == "due 2020-01-20"
    assert verdict.reasons == (words, "claims on northquay to 2020-02-09")
    assert str(verdict.changes_on) == "2020-02-10"
    assert of("claim", "2020-02-10", RECEIVED, event).verdict == "ok"


def test_found_on_the_dock_or_leaking_when_filled() -> None:
    dock = ev("2020-01-10", "receive", verdict="accept", findings=[FOUND])
    assert day_of(of("claim", "2020-01-10", dock)) == "due 2020-01-10"
    leaks = [RECEIVED, examined("2020-01-10"), filled("2020-01-12"), ev("2020-01-15", "leak", at="joint-3", severity="weep")]
    assert said(of("claim", "2020-01-15", *leaks)) == "weep at joint-3 2020-01-15 | claims to 2020-02-09"


def test_nothing_found_or_too_late() -> None:
    assert said(of("claim", "2020-01-15", RECEIVED, passed("2020-01-12"))) == "nothing found to claim; claims to 2020-02-09"
    assert of("claim", "2020-03-01", RECEIVED, failed("2020-02-10")).verdict == "ok"
    late = of("claim", "2020-03-01", RECEIVED, failed("2020-02-09"))
    assert (late.verdict, late.well_past, late.changes_on) == ("ok", False, None)
    assert said(late).startswith("claim date 2020-02-09 passed; found in time: failed test 2020-02-09")
    assert of("claim", "2020-03-01", ev("2020-01-10", "raise")).verdict == "ok"


@pytest.mark.parametrize(
    ("fields", "house", "last"),
    [
        ({"claim_by": "2020-03-31"}, HOUSE, "2020-03-31"),
        ({}, House({**HOUSE.raw, "suppliers": {"northquay": {"claim_days": 60}}}), "2020-03-10"),
        ({}, House({**HOUSE.raw, "suppliers": {"eastmere": {"claim_days": 60}}}), "2020-02-09"),
        ({}, due_house(claim={"days": 10}), "2020-01-20"),
    ],
)
def test_the_last_day(fields: dict[str, object], house: House, last: str) -> None:
    receipt = ev("2020-01-10", "receive", verdict="accept", findings=[FOUND], **fields)
    verdict = of("claim", last, receipt, house=house, supplier="northquay")
    assert (verdict.verdict, verdict.reasons[-1]) == ("due", f"claims on northquay to {last}")
    assert verdict.changes_on is not None
    assert of("claim", str(verdict.changes_on), receipt, house=house, supplier="northquay").verdict == "ok"


def test_decided_for_good_and_off() -> None:
    claimed = [RECEIVED, failed("2020-01-20"), decided("2020-01-21", "claim", "claimed")]
    verdict = of("claim", "2020-01-25", *claimed, passed("2020-01-25"))
    assert (verdict.verdict, verdict.decided) == ("ok", "claimed by K. Dunmore: seen by us")
    assert of("claim", "2020-01-25", RECEIVED, failed("2020-01-20"), house=due_house(claim={"off": True})).verdict == "ok"
    away = [RECEIVED, failed("2020-01-20"), ev("2020-01-22", "send", to="northquay", why="to be looked at")]
    assert of("claim", "2020-01-25", *away).verdict == "due"


def test_what_a_joined_number_was_found_with_before_the_receipt_is_no_claim() -> None:
    """The days of a claim begin with the receipt: no supplier pays for what was found here years before he delivered."""
    joined = ev("2020-01-12", "same-as", of="TH-004218", why="two numbers")
    old = cask_of(ev("2015-01-10", "raise"), {**failed("2015-02-01"), "id": "e1000002"}, cask="TH-004218")
    for found, told in (
        ([], "nothing found to claim; claims to 2020-02-09"),
        ([failed("2020-01-20")], "failed test 2020-01-20: leaked at joint-1 | claims to 2020-02-09"),
    ):
        life = live(cask_of(RECEIVED, joined, *found), HOUSE, date(2020, 1, 25), [old])
        verdict = next(v for v in judge(life, facts_of(life)) if v.rule == "claim")
        assert said(verdict) == told
