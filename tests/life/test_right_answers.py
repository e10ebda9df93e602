"""What the record says of leaving, of counting and of voided receipts, each sentence by itself."""

from __future__ import annotations

from typing import Any

import pytest
from casks import codes, ev, facts_on, life_on

from caskbook.due import judge
from caskbook.life.facts import facts_of
from caskbook.model.house import House
from caskbook.render.card import card

ARRIVED = ev("2020-01-01", "receive", verdict="accept")
FILLED = ev("2020-01-10", "fill", spirit="malt", litres=190.0, abv=63.0)
LEAVINGS: dict[str, dict[str, Any]] = {
    "dispose": {"how": "sold"}, "break-up": {}, "convert": {"children": ["TH-000009"], "staves": 30},
}  # fmt: skip


@pytest.mark.parametrize("job", LEAVINGS)
def test_every_way_of_leaving_ends_the_span_and_is_final(job: str) -> None:
    gone = [ARRIVED, FILLED, ev("2022-01-10", job, **LEAVINGS[job])]
    facts = facts_on("2026-01-01", *gone)
    assert (facts.state, facts.age_years, facts.in_this_cask_years) == ("gone", None, None)
    assert facts.years_in_wood == 2.001
    later = [ev("2023-01-01", "fill", spirit="rum", litres=100.0, abv=60.0), ev("2023-02-01", "receive", verdict="accept")]
    life = life_on("2026-01-01", *gone, *later)
    assert {"job-on-gone-cask", "arrival-not-first"} <= set(codes(life))
    assert facts_of(life) == facts


def test_fills_of_class_are_fills_of_spirit() -> None:
    wine = ev("2020-01-01", "receive", verdict="accept", contents="oloroso", litres=190.0, abv=17.0)
    facts = facts_on("2021-01-01", wine)
    assert (facts.fills, facts.fills_of_class) == (1, 0)  # what was before us is not of the house's class
    emptied = [wine, ev("2020-02-01", "empty", litres=180.0, abv=17.0), {**FILLED, "date": "2020-03-01"}]
    assert facts_on("2021-01-01", *emptied).fills_of_class == 1


def test_prior_contents_unknown_leave_the_class_unknown() -> None:
    facts = facts_on("2021-01-01", ARRIVED, prior=[{"contents": "unknown", "fills": 2}])
    assert (facts.fills_life, facts.fills_of_class) == (2, None)


def test_season_on_a_full_cask_does_not_end_its_years_in_wood() -> None:
    facts = facts_on("2024-01-10", ARRIVED, FILLED, ev("2022-01-10", "season", wine="oloroso", litres=10.0))
    assert facts.years_in_wood == 4.0
    assert facts.age_years is None


@pytest.mark.parametrize("abv, found", [(17.0, []), (4.0, ["out-of-range"]), (31.0, ["out-of-range"]), (26.0, [])])
def test_wine_has_a_strength_of_its_own(abv: float, found: list[str]) -> None:
    seasoned = [ARRIVED, ev("2020-01-02", "season", wine="oloroso", litres=190.0)]
    for job, more in (("empty", {}), ("regauge", {"method": "dip"}), ("draw", {}), ("top", {})):
        assert codes(life_on("2021-01-01", *seasoned, ev("2020-06-01", job, litres=5.0, abv=abv, **more))) == found


@pytest.mark.parametrize("rest", [[], [ev("2020-01-03", "note", note="x")], [ev("2020-01-03", "move", berth="W1")],
                                  [ev("2020-01-03", "mark", text="7", kind="paint", at="head-A")]])  # fmt: skip
def test_a_voided_receipt_leaves_no_live_cask(rest: list[dict[str, Any]]) -> None:
    life = life_on("2021-01-01", ARRIVED, ev("2020-01-02", "void", of="e0000001", why="another's paper"), *rest)
    facts = facts_of(life)
    assert (facts.state, facts.fills, facts.berth, facts.contents) == (None, None, None, None)
    assert judge(life, facts) == []


def test_work_that_stands_makes_it_a_cask_again() -> None:
    voided = [ARRIVED, ev("2020-01-02", "void", of="e0000001", why="x"), ev("2020-01-03", "examine", verdict="sound")]
    assert facts_on("2020-01-04", *voided).state == "ready"


@pytest.mark.parametrize(("contents", "of_class"), [("bourbon", None), ("unknown", None), ("oloroso", 0)])
def test_unknown_fills_may_be_written_so(contents: str, of_class: int | None) -> None:
    house = House({"class_of_spirit": ["bourbon"]})
    facts = facts_on("2021-01-01", ARRIVED, house=house, prior=[{"contents": contents, "fills": "unknown"}])
    assert (facts.fills_life, facts.fills_life_min, facts.fills_of_class) == (None, 0, of_class)


def test_the_card_of_a_voided_receipt_says_what_is_so() -> None:
    life = life_on("2021-01-01", ARRIVED, ev("2020-01-02", "void", of="e0000001", why="another's paper"))
    text = card(life, facts_of(life), [])
    assert "its receipt of 2020-01-01 was voided: not in stock" in text
    assert "nothing entered" not in text


FULL = ev("2020-01-01", "receive", verdict="accept", contents="malt", litres=190.0, abv=60.0)
RACKED = ev("2020-01-10", "rack-in", spirit="malt", **{"from": [{"cask": "TH-000009", "litres": 190.0, "abv": 60.0}]})
TOPPED = ev("2020-06-01", "top", litres=5.0, abv=60.0)


@pytest.mark.parametrize(
    "events", [[FULL], [ARRIVED, FILLED], [ARRIVED, RACKED], [ARRIVED, {**FILLED, "oak_since": "2018-01-01"}, TOPPED]], ids=lambda events: events[-1]["job"]
)
@pytest.mark.parametrize("day", ["2020-07-01", "2026-01-01"])
def test_spirit_that_went_into_oak_after_it_went_into_the_cask_is_of_unknown_age(events: list[dict[str, Any]], day: str) -> None:
    """Neither a negative age, nor later one that is reckoned from a day that cannot be."""
    *before, last = events
    house = House({"minimum_age": 3})
    on_its_day = facts_on(day, *before, {**last, "oak_since": last["date"]}, house=house)
    assert on_its_day.age_years is not None and on_its_day.oak_since is not None and on_its_day.minimum_age_on is not None
    life = life_on(day, *before, {**last, "oak_since": "2023-05-01"}, house=house)
    facts = facts_of(life)
    assert (facts.age_years, facts.oak_since, facts.minimum_age_on) == (None, None, None)
