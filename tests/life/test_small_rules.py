"""Small rules of the fold that only an odd history shows: events out of order, entries that could not be, short fills."""

from __future__ import annotations

from typing import Any

import pytest
from casks import codes, ev, facts_on, life_on
from life.test_full_and_empty import (
    EMPTIED,
    EXAMINED,
    FILLED,
    FOUND,
    FULL,
    OPENED,
    PASSED,
    PROVED,
    RECEIVED,
    facts,
)

from caskbook.model.house import House

CREW = {"crew": [{"initials": "ab"}]}
SOON_EMPTIED = {**EMPTIED, "date": "2020-01-25"}
FAILED = ev("2020-01-13", "test", psi=11, result="fail", leaks=[{"at": "joint-1"}])


def test_a_fail_unproves() -> None:
    found = facts(*PROVED, FAILED, day="2020-01-13")
    assert (found.proved, found.test_valid, found.fails_this_visit) == (False, False, 1)


def test_a_return_begins_a_visit_without_the_fails_work_and_examination_of_the_last() -> None:
    sent, back = ev("2020-01-20", "send", to="weir", why="heads"), ev("2020-01-22", "return", verdict="accept")
    again = ev("2020-01-14", "test", psi=11, result="pass")
    found = facts(*PROVED, FAILED, again, sent, back, day="2020-01-22")
    assert (found.fails_this_visit, found.examined, found.state) == (0, False, "unexamined")
    assert facts(*FULL, SOON_EMPTIED, day="2020-01-26").examined is False


def test_a_filled_or_seasoned_cask_stands_in_no_visit() -> None:
    work = [*PROVED, OPENED, ev("2020-01-13", "close", heads=["A"]), ev("2020-01-14", "test", psi=11, result="pass")]
    assert facts(*work, day="2020-01-14").test_needed is True
    assert facts(*work, FILLED, day="2020-01-15").test_needed is False
    assert facts(*work, ev("2020-01-15", "season", wine="oloroso", litres=190), day="2020-01-15").test_needed is False


def test_a_fill_on_a_full_cask_ends_the_earlier_span_and_counts() -> None:
    found = facts(*FULL, {**FILLED, "date": "2021-01-15"}, EMPTIED)
    assert (found.fills, found.years_in_wood) == (2, 4.0)


def test_events_count_in_the_order_of_their_days_whatever_the_file_says() -> None:
    assert facts(*PROVED, EMPTIED, FILLED).state == "emptied"
    assert (
        facts(RECEIVED, EXAMINED, {**PASSED, "id": "e0000009"}, {**FAILED, "id": "e0000008", "date": "2020-01-12"}, day="2020-01-12").last_test["result"]
        == "pass"
    )


def test_a_repair_is_examined_only_with_a_pass_after_its_answer() -> None:
    answered = ev("2020-01-14", "note", note="glued", answers=["e000exam"])
    passed = ev("2020-01-15", "test", psi=11, result="pass")
    assert facts(*PROVED, FOUND, answered, day="2020-01-15").examined is False
    assert facts(*PROVED, FOUND, answered, passed, day="2020-01-15").examined is True


def test_a_char_that_could_not_be_does_what_its_row_says() -> None:
    charred = ev("2022-01-15", "char", level=3)
    found = facts_on("2024-01-15", *FULL, charred)
    assert (found.years_in_wood, found.years_in_wood_since_char, found.fills_since_char) == (4.0, 1.999, 0)
    # A short fill that began before the char is not taken off what was counted after it.
    early = ev("2020-01-20", "char", level=3)
    assert facts(*FULL, early, SOON_EMPTIED, house=House({**CREW, "short_fill_days": 30})).fills_since_char == 0


def test_a_fill_is_short_by_the_setting_of_the_day_it_began() -> None:
    dated = House({**CREW, "short_fill_days": [{"since": "2000-01-01", "value": 0}, {"since": "2020-01-20", "value": 30}]})
    assert facts(*FULL, SOON_EMPTIED, house=dated).fills_since_char == 2
    assert facts(*FULL, SOON_EMPTIED, house=House({**CREW, "short_fill_days": 30})).fills_since_char == 1


def test_unknown_prior_fills_count_none_in_the_least() -> None:
    found = facts(*FULL, prior=[{"contents": "bourbon"}])
    assert (found.fills_life, found.fills_life_min, found.fills) == (None, 1, 1)


@pytest.mark.parametrize(("head", "known", "least"), [
    ({"prior": "absent"}, None, 1), ({"prior": [{"contents": "bourbon", "fills": 2}, {"contents": "rum"}]}, None, 3), ({"charred": "unknown"}, None, 1),
    ({"charred": "never", "prior": "absent"}, None, 1), ({"prior": [{"contents": "bourbon", "fills": 2}]}, 3, 3),
])  # fmt: skip
def test_fills_since_char_that_are_known_of(head: dict[str, Any], known: int | None, least: int) -> None:
    """Those before us count where the last char is known, and lies before them all."""
    found = facts(*FULL, **head)
    assert (found.fills_since_char, found.fills_since_char_min) == (known, least)


def test_fills_in_the_life_of_a_parent_are_none_since_its_char() -> None:
    for inherited, known, least in (({"fills_life_min": 4}, None, 1), ({"fills_life_min": 4, "fills_since_char": 2}, 3, 3)):
        made = ev("2020-01-01", "made-from", parents=[{"unnumbered": "staves"}], inherited=inherited)
        found = facts(made, *FULL[1:], prior="absent")
        assert (found.fills_since_char, found.fills_since_char_min) == (known, least)


def test_a_child_of_a_wine_cask_is_wine_held() -> None:
    for held, wine in (("wine", True), ("spirit", False)):
        made = ev("2020-01-10", "made-from", parents=[{"unnumbered": "staves"}], inherited={"held": held})
        assert facts_on("2020-01-10", made, prior="absent").wine_held is wine


def test_spirit_racked_onto_another_is_an_error_and_no_fill() -> None:
    racked = ev("2021-01-01", "rack-in", from_=[{"cask": "TH-004219", "litres": 5, "abv": 60}], at_20=True, spirit="rum", oak_since="2019-03-01")
    assert codes(life_on("2021-01-01", *FULL, racked)) == ["rack-in-other-spirit"]
    assert facts(*FULL, racked).fills == 1


@pytest.mark.parametrize("spirit", ["single-malt", "malts", "malt"])
def test_racked_onto_the_same_spirit_in_another_spelling(spirit: str) -> None:
    racked = ev("2021-01-01", "rack-in", from_=[{"cask": "TH-004219", "litres": 5, "abv": 60}], at_20=True, spirit=spirit, oak_since="2019-03-01")
    assert codes(life_on("2021-01-01", *FULL, racked)) == []
    own = House({**CREW, "class_of_spirit": ["single-malt"]})
    assert codes(life_on("2021-01-01", *FULL, racked, house=own)) == ([] if spirit != "single-malt" else ["rack-in-other-spirit"])


@pytest.mark.parametrize(("spirit", "found"), [("grain", ["top-of-other-spirit"]), ("malt", []), ("single-malt", []), (None, [])])
def test_a_top_of_another_spirit_is_a_warning(spirit: str | None, found: list[str]) -> None:
    more = {} if spirit is None else {"spirit": spirit}
    top = ev("2021-01-01", "top", litres=3, abv=62, at_20=True, oak_since="2019-01-01", **more)
    assert codes(life_on("2021-01-02", *FULL, top)) == found
