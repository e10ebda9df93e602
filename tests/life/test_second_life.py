"""A second life worked by hand: a cask born by conversion, of unknown past, with voids, a replacement, a late entry, 29 February.

House: fill_needs test, examine good for 30 days, a pass for 60, minimum age 3.

   id         date        job                              why it is there
1  e0000001   2016-02-27  made-from, five parents          one parent's life fills unknown: fills_life null, at least 3
2  e0000002   2016-02-28  examine sound
3  e0000003   2016-02-28  test pass 10 psi
4  e0000004   2016-02-29  fill 240 L grain                 29 February
5  e0000005   2019-05-01  empty                            keyed for the wrong day: replaced by e0000005a
   e0000005zz 2020-05-01  empty, replaces e0000005
6  e0000006   2020-05-03  examine sound
7  e0000007   2020-05-04  test fail at joint-3             voided by e0000010: it was another cask
8  e0000008   2020-05-05  char                             never opened: impossible, and applied all the same
9  e0000009   2020-05-10  test pass                        nothing structural since: proved
10 e0000010   2020-05-11  void of e0000007
11 e0000011   2020-05-20  fill 238 L malt                  examined 05-03, pass 05-10
12 e0000012   2020-05-02  nose clean                       late: entered after everything else
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import ev

from caskbook.life import Life, live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import read_cask
from caskbook.model.house import House

HOUSE = House({"fill_needs": "test", "minimum_age": 3})
INHERITED = {"fills_life": None, "fills_life_min": 3, "fills_since_char": 3, "fills_since_fire": 3, "fills_of_class": None,
             "char_count": 2, "rechar_count": 1, "last_char": "2009-06-01", "last_fire": "2009-06-01", "held": "spirit"}  # fmt: skip


def e(n: str, day: str, job: str, **fields: Any) -> dict[str, Any]:
    return {"id": n, **ev(day, job, **fields)}


EVENTS = [
    e("e0000001", "2016-02-27", "made-from", parents=[{"cask": "TH-000100", "staves": 7}, {"unnumbered": "a cask bought in"}], inherited=INHERITED),
    e("e0000002", "2016-02-28", "examine", verdict="sound"),
    e("e0000003", "2016-02-28", "test", psi=10, result="pass"),
    e("e0000004", "2016-02-29", "fill", spirit="grain", litres=240, abv=62.0),
    e("e0000005", "2019-05-01", "empty", litres=210, abv=58.0),
    e("e0000005zz", "2020-05-01", "empty", litres=210, abv=58.0, replaces="e0000005", why="year misread"),
    e("e0000012", "2020-05-02", "nose", verdict="clean"),
    e("e0000006", "2020-05-03", "examine", verdict="sound"),
    e("e0000007", "2020-05-04", "test", psi=10, result="fail", leaks=[{"at": "joint-3"}]),
    e("e0000008", "2020-05-05", "char", seconds=40),
    e("e0000009", "2020-05-10", "test", psi=10, result="pass"),
    e("e0000010", "2020-05-11", "void", of="e0000007", why="wrong cask"),
    e("e0000011", "2020-05-20", "fill", spirit="malt", litres=238, abv=63.0),
]  # fmt: skip
HOGSHEAD = {"cask": "TH-000777", "format": 1, "type": "hogshead", "capacity_l": 250, "staves": 34, "events": EVENTS}


def on(day: str) -> tuple[Life, Facts]:
    cask, faults = read_cask(HOGSHEAD)
    assert cask is not None and not faults
    life = live(cask, HOUSE, date.fromisoformat(day))
    return life, facts_of(life)


def test_a_day_before_the_first_event_there_is_no_state() -> None:
    assert on("2016-02-26")[1].state is None


def test_new_born_it_is_unexamined_and_bears_its_parents_counts() -> None:
    facts = on("2016-02-27")[1]
    # Visit begun by made-from, no examination yet. One parent without a number: its counts are unknown where inherited null.
    assert facts.state == "unexamined"
    assert (facts.fills, facts.fills_life, facts.fills_life_min, facts.fills_since_char) == (0, None, 3, 3)
    assert (facts.char_count, facts.rechar_count, str(facts.last_char)) == (2, 1, "2009-06-01")
    # 2009-06-01 → 2016-02-27 is 2462 days; 2462 / 365.2425 = 6.7407.
    assert facts.years_since_char == 6.741
    assert facts.donors == ["TH-000100"]


def test_examined_and_passed_it_is_ready_and_the_pass_was_needed() -> None:
    facts = on("2016-02-28")[1]
    assert (facts.state, facts.test_needed, facts.test_valid) == ("ready", True, True)


def test_a_year_from_29_february() -> None:
    # Whole years end on 29 February where there is one, else on 1 March.
    assert on("2019-02-28")[1].age_years == 2
    assert on("2019-03-01")[1].age_years == 3
    assert on("2020-02-28")[1].age_years == 3
    assert on("2020-02-29")[1].age_years == 4
    assert str(on("2017-01-01")[1].minimum_age_on) == "2019-03-01"


def test_the_replacement_counts_on_every_day_also_before_it_was_known() -> None:
    # The emptying keyed for 2019-05-01 is out of force: on 2019-06-01 the cask is still full.
    facts = on("2019-06-01")[1]
    assert (facts.state, facts.fills) == ("filled", 1)
    # 2016-02-29 → 2019-06-01 is 1188 days; 1188 / 365.2425 = 3.2526.
    assert facts.years_in_wood == 3.253


def test_emptied_on_the_day_of_the_replacement() -> None:
    facts = on("2020-05-01")[1]
    # 2016-02-29 → 2020-05-01 is 1523 days; 1523 / 365.2425 = 4.1698.
    assert (facts.state, facts.years_in_wood, facts.years_in_wood_since_char) == ("emptied", 4.17, 4.17)


def test_the_late_nose_stands_at_its_date() -> None:
    life, _ = on("2020-05-02")
    assert [event.job for event in life.events][-1] == "nose"


def test_the_voided_fail_counts_for_nothing() -> None:
    facts = on("2020-05-04")[1]
    assert facts.fails_this_visit == 0
    assert facts.last_test == {"date": date(2016, 2, 28), "result": "pass", "psi": 10}
    # fill_needs test: the pass of 2016-02-28 stands proved, but is far older than 60 days.
    assert (facts.proved, facts.test_valid, facts.state) == (True, False, "untested")


def test_the_impossible_char_is_reported_once_and_applied() -> None:
    life, facts = on("2020-05-05")
    assert [fault.code for fault in life.faults] == ["fire-on-closed-cask"]
    # First char here, on a cask whose parents held spirit: a re-char. 2 + 1 chars, 1 + 1 re-chars, counts since char from 0.
    assert (facts.char_count, facts.rechar_count, facts.fills_since_char) == (3, 2, 0)
    assert (facts.years_since_char, facts.years_in_wood_since_char) == (0.0, 0.0)
    # It is structural: the old pass proves nothing any more.
    assert (facts.proved, facts.state) == (False, "untested")


def test_the_pass_after_it_makes_it_ready_again() -> None:
    assert on("2020-05-10")[1].state == "ready"


@pytest.mark.parametrize(("day", "state"), [("2020-06-09", "filled"), ("2020-05-19", "ready")])
def test_filled_again(day: str, state: str) -> None:
    life, facts = on(day)
    assert facts.state == state
    assert [fault.code for fault in life.faults] == ["fire-on-closed-cask"]


def test_the_last_day() -> None:
    facts = on("2026-11-25")[1]
    # 1523 days of grain, and 2020-05-20 → 2026-11-25 is 2380 days: 3903 / 365.2425 = 10.6861; since char 2380 = 6.5162.
    assert (facts.fills, facts.fills_life, facts.fills_life_min, facts.fills_since_char) == (2, None, 5, 1)
    assert (facts.years_in_wood, facts.years_in_wood_since_char) == (10.686, 6.516)
    assert (facts.age_years, str(facts.minimum_age_on)) == (6, "2023-05-20")
    assert facts.years_since_char == round((date(2026, 11, 25) - date(2020, 5, 5)).days / 365.2425, 3)
