"""Where a cask lay as each of its entries was done, and what is known of its receipt."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import HOUSE, cask_data, cask_of, ev, facts_on

from caskbook.life.berths import berth_stays, entry_berths
from caskbook.model.cask import read_cask
from caskbook.model.house import House

RECEIVED = ev("2020-01-01", "receive", verdict="accept", berth="Y2")


def lay(*events: dict[str, Any]) -> list[str | None]:
    """The berth at each entry."""
    return list(entry_berths(cask_of(*events)).values())


def test_a_job_that_puts_it_somewhere_tells_where_and_one_that_takes_it_away_from_where() -> None:
    assert lay(
        ev("2020-01-01", "note", note="comes tomorrow"),
        ev("2020-01-02", "receive", verdict="accept", berth="Y2"),
        ev("2020-01-03", "examine", verdict="sound"),
        ev("2020-01-04", "move", berth="W1/01"),
        ev("2020-01-05", "send", to="shop-kiln", why="heads"),
        ev("2020-01-06", "char", level=3, seconds=30),
        ev("2020-01-07", "return", verdict="accept"),
        ev("2020-01-08", "move", berth="W1/02"),
        ev("2020-01-09", "dispose", how="sold"),
        ev("2020-01-10", "note", note="paid"),
    ) == [None, "Y2", "Y2", "W1/01", "W1/01", None, None, "W1/02", "W1/02", None]


def test_entries_of_one_day_each_lie_where_the_one_before_left_them() -> None:
    assert lay(RECEIVED, ev("2020-02-01", "test", psi=9, result="pass"), ev("2020-02-01", "move", berth="W1/01"), ev("2020-02-01", "note", note="x")) == [
        "Y2", "Y2", "W1/01", "W1/01",
    ]  # fmt: skip


def test_an_entry_out_of_force_moves_nothing_and_is_told_where_it_stands() -> None:
    moved = ev("2020-01-02", "move", berth="W9")
    assert lay(RECEIVED, moved, ev("2020-01-03", "note", note="x"), ev("2020-01-04", "void", of="e0000002", why="wrong cask")) == ["Y2"] * 4
    again = ev("2020-01-02", "move", berth="W1/01", replaces="e0000002", why="slip")
    assert lay(RECEIVED, moved, again, ev("2020-01-03", "note", note="x")) == ["Y2", "Y2", "W1/01", "W1/01"]


def test_what_cannot_be_read_is_unknown_until_it_is_said_again() -> None:
    cask, _ = read_cask(cask_data(RECEIVED, ev("2020-01-02", "move", berth=7), ev("2020-01-03", "note", note="x"), ev("2020-01-04", "move", berth="W1")))
    assert cask is not None and list(entry_berths(cask).values()) == ["Y2", None, None, "W1"]
    undated, _ = read_cask(cask_data(RECEIVED, ev("20-01-02", "move", berth="W1"), ev("2020-01-03", "note", note="x")))
    assert undated is not None and list(entry_berths(undated).values()) == ["Y2", None, "W1"]


def test_entries_out_of_order_are_told_in_the_order_of_the_work() -> None:
    cask, _ = read_cask(cask_data(RECEIVED, ev("2020-03-01", "note", note="x"), ev("2020-02-01", "move", berth="W1")))
    assert cask is not None and entry_berths(cask) == {0: "Y2", 1: "W1", 2: "W1"}


def test_stays_are_found_by_day_and_id_also_where_an_id_was_made_longer() -> None:
    events = cask_of(RECEIVED, ev("2020-01-02", "send", to="shop-kiln", why="heads"), ev("2020-01-03", "return", verdict="accept", berth="W1")).events
    stays = list(berth_stays(events))
    assert [berth for _, _, berth in stays] == ["Y2", None, "W1"]

    def at(day: str, event_id: str) -> str | None:
        return [berth for since, first, berth in stays if (since, first) <= (day, event_id)][-1]

    assert (at("2020-01-02", "e0000002"), at("2020-01-02", "e00000021"), at("2020-01-02", "e0000003"), at("2020-01-03", "e0000003")) == ("Y2", None, None, "W1")


CLAIMS = House({**HOUSE.raw, "suppliers": {"northquay": {"claim_days": 45}}})


@pytest.mark.parametrize(
    ("received", "head", "house", "claim_by"),
    [
        ({}, {}, HOUSE, date(2020, 1, 31)),
        ({}, {"supplier": "northquay"}, CLAIMS, date(2020, 2, 15)),
        ({}, {"supplier": "northquay"}, HOUSE, date(2020, 1, 31)),
        ({"claim_by": "2020-03-01"}, {"supplier": "northquay"}, CLAIMS, date(2020, 3, 1)),
        ({}, {}, House({**HOUSE.raw, "due": {"claim": {"off": True}}}), None),
        ({}, {"supplier": "northquay"}, House({**CLAIMS.raw, "due": {"claim": {"off": True}}}), date(2020, 2, 15)),
    ],
)
def test_the_last_day_for_a_claim(received: dict[str, Any], head: dict[str, Any], house: House, claim_by: date | None) -> None:
    facts = facts_on("2020-02-01", {**RECEIVED, **received}, house=house, **head)
    assert (facts.received, facts.claim_by) == (date(2020, 1, 1), claim_by)


def test_what_was_made_here_was_received_from_nobody_and_before_the_receipt_nothing_is_known() -> None:
    facts = facts_on("2020-02-01", ev("2020-01-01", "raise", staves=31))
    assert facts.received is None and facts.claim_by is None
    before = facts_on("2019-12-31", RECEIVED, made=2011)
    assert (before.received, before.made) == (None, "2011")


@pytest.mark.parametrize(
    ("head", "prior"),
    [
        ({"prior": [{"contents": "bourbon", "fills": 1}, {"contents": "oloroso"}]}, "bourbon 1; oloroso ?"),
        ({"prior": []}, "virgin"),
        ({"prior": "absent"}, None),
    ],
)
def test_what_it_held_before(head: dict[str, Any], prior: str | None) -> None:
    facts = facts_on("2020-02-01", RECEIVED, made="absent", **head)
    assert (facts.prior, facts.made) == (prior, None)


def test_a_corrected_head_tells_its_own_days() -> None:
    facts = facts_on("2020-02-01", RECEIVED, ev("2020-01-05", "correct", made="2012-06", why="stamp on the head"), made=2011)
    assert facts.made == "2012-06"
