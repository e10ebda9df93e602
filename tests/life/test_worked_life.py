"""A life worked by hand, day by day."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.life import live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import read_cask
from caskbook.model.house import House


def event(n: int, day: str, job: str, **fields: object) -> dict[str, object]:
    return {"id": f"e{n:07d}", "date": day, "job": job, "by": "ab", **fields}


BARREL = {
    "cask": "TH-004217", "format": 1, "type": "barrel", "capacity_l": 200, "staves": 31, "heads": [5, 5], "hoops": 6,
    "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2011,
    "events": [
        event(1, "2015-03-12", "receive", verdict="accept"),
        event(2, "2015-03-12", "examine", verdict="sound"),
        event(3, "2015-03-20", "test", psi=11, result="pass"),
        event(4, "2015-04-02", "fill", spirit="malt", litres=198.4, abv=63.5, temp_c=14.5),
        event(5, "2019-06-11", "regauge", litres=180.0, abv=61.0, method="dip"),
        event(6, "2023-05-16", "empty", litres=160.0, abv=58.0),
        event(7, "2023-05-18", "examine", verdict="repair", findings=[{"at": "stave-1", "defect": "cracked", "severity": 2}]),
        event(8, "2023-05-20", "open", heads=["A", "B"]),
        event(9, "2023-05-20", "stave", staves=[1], action="replace", **{"from": "new"}),
        event(10, "2023-05-21", "char", level=3),
        event(11, "2023-05-23", "close", heads=["A", "B"]),
        event(12, "2023-05-23", "test", psi=11, result="fail", leaks=[{"at": "joint-1"}]),
        event(13, "2023-05-23", "drive"),
        event(14, "2023-05-23", "test", psi=11, result="pass"),
        event(15, "2023-06-01", "fill", spirit="malt", litres=196.2, abv=63.4),
    ],
}  # fmt: skip
HOUSE = House({"minimum_age": 3, "fill_needs": "examine"})


def on(day: str) -> Facts:
    cask, faults = read_cask(BARREL)
    assert cask is not None and not faults
    life = live(cask, HOUSE, date.fromisoformat(day))
    assert not life.faults
    return facts_of(life)


@pytest.mark.parametrize(
    ("day", "state", "counts", "char", "since", "wood", "wood_since"),
    [
        ("2015-03-15", "ready", (0, 1, 1), ("2011-07-01", True), 3.704, 0, 0),
        ("2019-06-11", "filled", (1, 2, 2), ("2011-07-01", True), 7.945, 4.192, 4.192),
        ("2023-05-16", "emptied", (1, 2, 2), ("2011-07-01", True), 11.874, 8.121, 8.121),
        ("2023-05-22", "open", (1, 2, 0), ("2023-05-21", False), 0.003, 8.121, 0),
        ("2023-05-23", "ready", (1, 2, 0), ("2023-05-21", False), 0.005, 8.121, 0),
        ("2026-11-25", "filled", (2, 3, 1), ("2023-05-21", False), 3.515, 11.606, 3.485),
    ],
)
def test_the_table(day: str, state: str, counts: tuple[int, int, int], char: tuple[str, bool], since: float, wood: float, wood_since: float) -> None:
    facts = on(day)
    assert facts.state == state
    assert (facts.fills, facts.fills_life, facts.fills_since_char) == counts
    assert (str(facts.last_char), facts.last_char_approx) == char
    assert facts.years_since_char == since
    assert (facts.years_in_wood, facts.years_in_wood_since_char) == (wood, wood_since)


def test_the_last_day() -> None:
    facts = on("2026-11-25")
    assert (facts.char_count, facts.rechar_count, facts.bung_stave_replacements) == (2, 1, 1)
    assert facts.original_stave_share == "30/31"
    assert facts.open_defects == []
    assert (facts.age_years, str(facts.minimum_age_on)) == (3, "2026-06-01")


def test_before_the_first_event_there_is_nothing() -> None:
    facts = on("2015-03-11")
    assert facts.state is None and facts.fills is None
