"""What became of a received cask: its first test, its last day for a claim, what was found in time."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import ev, life_on

from caskbook.due.receipts import FAILED, FILLED_FIRST, LEFT, NOT_YET, PASSED, Received, received_of
from caskbook.model.house import House

HOUSE = House({"crew": [{"initials": "ab"}], "suppliers": {"northquay": {"claim_days": 10}}, "due": {"claim": {"days": 20}}})
RECEIPT = ev("2026-01-01", "receive", verdict="accept")
FAIL = ev("2026-01-05", "test", psi=10, result="fail", leaks=[{"at": "joint-3"}])
PASS = ev("2026-01-06", "test", psi=10, result="pass")
FILL = ev("2026-01-07", "fill", spirit="malt", litres=190, abv=63.5, at_20=True)


def received(*events: dict[str, Any], day: str = "2026-02-01", **head: Any) -> Received:
    found = received_of(life_on(day, *events, house=HOUSE, **head))
    assert found is not None and Received.of_row(found.as_row()) == found
    return found


@pytest.mark.parametrize(("events", "tested", "result"), [
    ((RECEIPT, FAIL, PASS), date(2026, 1, 5), FAILED), ((RECEIPT, PASS, FAIL | {"date": "2026-01-07"}), date(2026, 1, 6), PASSED),
    ((RECEIPT, PASS | {"cured_by": "drive", "leaks": [{"at": "joint-3"}]}), date(2026, 1, 6), FAILED), ((RECEIPT,), None, NOT_YET),
    ((RECEIPT, FILL), None, FILLED_FIRST), ((RECEIPT | {"contents": "spirit", "spirit": "malt", "litres": 190, "abv": 60},), None, FILLED_FIRST),
    ((RECEIPT, FILL, ev("2026-01-20", "empty", litres=0, why="drawn"), PASS | {"date": "2026-01-21"}), None, FILLED_FIRST),
    ((RECEIPT, ev("2026-01-08", "dispose", how="returned")), None, LEFT), ((RECEIPT, ev("2026-01-08", "retire", reasons=["x"], approved_by="ab")), None, NOT_YET),
])  # fmt: skip
def test_the_first_test_is_that_before_anything_is_filled_in(events: Any, tested: date | None, result: str) -> None:
    found = received(*events)
    assert (found.tested, found.result) == (tested, result)


def test_the_last_day_for_a_claim_is_that_of_the_entry_else_of_the_supplier_else_of_the_house() -> None:
    assert received(RECEIPT).claims_to == date(2026, 1, 21)
    assert received(RECEIPT, supplier="northquay").claims_to == date(2026, 1, 11)
    assert received(RECEIPT | {"claim_by": "2026-03-01"}, supplier="northquay").claims_to == date(2026, 3, 1)


def test_with_the_rule_off_only_the_entry_or_the_supplier_tells_of_a_last_day() -> None:
    off = House({"suppliers": {"northquay": {"claim_days": 10}}, "due": {"claim": {"off": True}}})
    for events, head, last in (((RECEIPT, FAIL), {}, None), ((RECEIPT, FAIL), {"supplier": "northquay"}, date(2026, 1, 11)),
                               ((RECEIPT | {"claim_by": "2026-02-01"}, FAIL), {}, date(2026, 2, 1))):  # fmt: skip
        found = received_of(life_on("2026-02-01", *events, house=off, **head))
        assert found is not None and Received.of_row(found.as_row()) == found
        assert (found.claims_to, bool(found.faults)) == (last, last is not None)


def test_what_was_found_counts_up_to_that_day_and_a_decision_is_told() -> None:
    fails = [FAIL | {"date": f"2026-01-{day}"} for day in ("05", "11", "12")]
    decided = ev("2026-01-13", "decide", rule="claim", outcome="claimed", why="leaks", approved_by="ab")
    other = ev("2026-01-14", "decide", rule="loss", outcome="explained", why="leaks", approved_by="ab")
    found = received(RECEIPT, *fails, decided, other, supplier="northquay")
    assert found.faults == (date(2026, 1, 5), date(2026, 1, 11)) and found.decided == "claimed"
    assert received(RECEIPT, *fails, supplier="northquay").decided == ""


def test_it_is_examined_from_its_first_examination_and_gone_when_it_left() -> None:
    look, left = ev("2026-01-03", "examine", verdict="sound"), ev("2026-01-09", "dispose", how="sold")
    found = received(RECEIPT, look, left)
    assert (found.examined, found.left) == (date(2026, 1, 3), date(2026, 1, 9))
    assert (received(RECEIPT).examined, received(RECEIPT).left) == (None, None)


def test_of_a_cask_that_nobody_sent_there_is_none() -> None:
    made = ev("2026-01-01", "made-from", parents=[{"cask": "TH-000009", "staves": 31}], inherited={"fills_life": 1})
    assert received_of(life_on("2026-02-01", made)) is None
