"""A char is held against the house's rules: how often a cask is charred again, and how thin its staves may be, by what is known and in force that day."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, codes, ev, life_on
from commands import caskbook
from due.judged import RECEIVED, due_house, fills, of, said
from entry.shop import CASK, Shop, days_ago
from index.book import commit_all, same

from caskbook.life import live
from caskbook.model.house import House

OVER, THIN = "rechar-over-house-limit", "char-under-stave-floor"


def charred(day: str, **fields: Any) -> list[dict[str, Any]]:
    return [ev(day, "open", heads=["A"]), ev(day, "char", level=3, **fields), ev(day, "close", heads=["A"])]


def of_life(*events: dict[str, Any], house: House = HOUSE, **head: Any) -> list[str]:
    return [code for code in codes(life_on("2024-01-01", RECEIVED, *events, house=house, **head)) if code in (OVER, THIN)]


TWICE = [*charred("2021-01-01"), *charred("2022-01-01")]
THIRD = charred("2023-01-01")


def test_a_third_rechar_is_over_the_limit_and_a_second_is_not() -> None:
    assert of_life(*TWICE) == [] and of_life(*TWICE, *THIRD) == [OVER]
    life = life_on("2024-01-01", RECEIVED, *TWICE, *THIRD)
    assert life.faults[0].message == "re-char 3 of this cask: the house limit is 2"
    assert life.faults[0].where == ("events", 8, "job") and life.faults[0].severity == "warning"


def test_a_char_that_found_no_liquor_held_is_no_rechar() -> None:
    new: dict[str, Any] = {"prior": [], "charred": "never"}
    assert of_life(*TWICE, *THIRD, **new) == []
    assert of_life(*charred("2020-02-01"), *fills(2020), *TWICE, **new) == []
    assert of_life(*charred("2020-02-01"), *fills(2020), *TWICE, *THIRD, **new) == [OVER]


def test_where_it_is_not_known_whether_a_char_was_a_rechar_only_those_that_are_sure_count() -> None:
    unknown = {"prior": "absent", "charred": "absent"}
    assert of_life(*TWICE, *THIRD, **unknown) == []
    assert of_life(*TWICE, *fills(2022), *THIRD, **unknown) == []
    assert of_life(*charred("2020-02-01"), *fills(2020), *TWICE, *THIRD, **unknown) == [OVER]
    life = life_on("2024-01-01", RECEIVED, *charred("2020-02-01"), *fills(2020), *TWICE, *THIRD, **unknown)
    assert life.faults[-1].message == "at least re-char 3 of this cask: the house limit is 2"


def test_a_house_that_lets_no_cask_be_charred_again_takes_a_char_that_may_be_the_first_for_none() -> None:
    never_again = due_house(rechar={"most_rechars": 0})
    unknown = {"prior": "absent", "charred": "absent"}
    assert of_life(*charred("2020-02-01"), house=never_again, **unknown) == []
    assert of_life(*charred("2020-02-01"), *fills(2020), *charred("2021-01-01"), house=never_again, **unknown) == [OVER]


def test_the_rechars_of_the_parents_count_for_their_child() -> None:
    def child(rechars: int | None) -> list[str]:
        made = ev("2020-01-10", "made-from", parents=[{"unnumbered": "old casks"}], inherited={"held": "spirit", "rechar_count": rechars})
        return codes(life_on("2024-01-01", made, *charred("2023-01-01"), prior="absent", charred="absent"))

    assert (child(1), child(2), child(None)) == ([], [OVER], [])


def test_the_rechars_of_the_parents_count_beside_the_sure_ones_of_a_child_whose_first_char_may_have_been_none() -> None:
    def child(rechars: int | None) -> list[str]:
        made = ev("2020-01-10", "made-from", parents=[{"unnumbered": "old casks"}], inherited={"held": "unknown", "rechar_count": rechars})
        chars = [*charred("2020-02-01"), *fills(2020), *charred("2022-01-01"), *charred("2023-01-01")]
        return [code for code in codes(life_on("2024-01-01", made, *chars, prior="absent", charred="absent")) if code == OVER]

    assert (child(1), child(0), child(None)) == ([OVER], [], [])


def test_the_limit_is_that_of_the_day_of_the_work_and_of_the_type() -> None:
    house = due_house(rechar={"most_rechars": [{"since": "2000-01-01", "value": 3}, {"since": "2023-01-02", "value": 1}]})
    assert of_life(*TWICE, *THIRD, house=house) == []
    assert of_life(*TWICE, *THIRD, *charred("2023-01-02"), house=house) == [OVER]
    by_type = House({**HOUSE.raw, "types": {"hogshead": {"due": {"rechar": {"most_rechars": 1}}}}})
    assert of_life(*TWICE, house=by_type) == [] and of_life(*TWICE, house=by_type, type="hogshead") == [OVER]


def test_a_house_that_judges_no_rechar_and_casks_that_are_not_charred_have_no_such_limit() -> None:
    assert of_life(*TWICE, *THIRD, house=due_house(rechar={"off": True})) == []
    assert of_life(*TWICE, *THIRD, type="butt", capacity_l=500) == []
    assert of_life(*TWICE, *THIRD, prior=[{"contents": "oloroso", "fills": 1}]) == []


def measured(day: str, mm: float) -> dict[str, Any]:
    return ev(day, "measure", stave_mm=mm)


def test_staves_known_to_be_under_the_floor_are_not_charred() -> None:
    assert of_life(measured("2021-01-01", 17.9), *THIRD) == [THIN]
    assert of_life(measured("2021-01-01", 18), *THIRD) == [] and of_life(*THIRD) == []
    assert of_life(measured("2021-01-01", 17), measured("2021-01-02", 19), *THIRD) == []
    shaved = [ev("2023-01-01", "open", heads=["B"]), ev("2023-01-01", "shave", method="flail", stave_mm=16), ev("2023-01-01", "char", level=3)]
    assert of_life(measured("2021-01-01", 20), *shaved) == [THIN]
    assert life_on("2024-01-01", RECEIVED, measured("2021-01-01", 17.5), *THIRD).faults[0].message == "staves 17.5 mm: the house floor is 18 mm"


def test_the_floor_is_that_of_the_day_of_the_work_and_of_the_type() -> None:
    house = House({**HOUSE.raw, "stave_floor_mm": [{"since": "2000-01-01", "value": 15}, {"since": "2023-01-02", "value": 19}]})
    assert of_life(measured("2021-01-01", 17), *THIRD, house=house) == []
    assert of_life(measured("2021-01-01", 18.5), *charred("2023-01-02"), house=house) == [THIN]
    assert of_life(measured("2021-01-01", 17), *THIRD, type="butt", capacity_l=500) == []


def test_both_are_told_and_nothing_of_an_imported_entry() -> None:
    thin = measured("2022-06-01", 17)
    assert of_life(*TWICE, thin, *THIRD) == [OVER, THIN]
    assert of_life(*TWICE, thin, *charred("2023-01-01", source="register")) == []
    again = [*TWICE[:3], *charred("2022-01-01", source="register"), *THIRD]
    assert of_life(*again) == [OVER]


def test_a_char_of_a_day_that_cannot_be_read_is_held_against_no_limit() -> None:
    from casks import cask_data

    from caskbook.model.cask import read_cask

    data = cask_data(RECEIVED, *TWICE, measured("2022-06-01", 17), *THIRD)
    data["events"][-2]["date"] = "soon"
    cask, _ = read_cask(data)
    assert cask is not None
    assert not {OVER, THIN} & set(codes(live(cask, HOUSE, date(2024, 1, 1))))


def test_soon_says_that_the_cask_may_be_charred_no_more() -> None:
    once = of("rechar", "2024-01-01", RECEIVED, *TWICE, *fills(2023))
    assert once.verdict == "soon"
    assert said(once).startswith("1 fill since char on 2022-01-01; house limit 2 after a re-char | re-charred twice already; house limit 2 | ")
    assert "caskbook report retirement TH-004217" in said(once)
    thin = of("rechar", "2024-01-01", RECEIVED, *charred("2021-01-01"), *fills(2022), measured("2023-01-01", 17.0))
    assert thin.verdict == "soon" and "staves 17 mm, under the floor of 18" in said(thin)
    assert said(of("rechar", "2024-01-01", RECEIVED, *charred("2021-01-01"), *fills(2022))) == "1 fill since char on 2021-01-01; house limit 2 after a re-char"


DONE = [
    {"date": days_ago(40), "job": "receive", "verdict": "accept"}, {"date": days_ago(39), "job": "open", "heads": ["A"]},
    {"date": days_ago(39), "job": "char", "level": 3}, {"date": days_ago(38), "job": "char", "level": 3},
]  # fmt: skip


@pytest.mark.parametrize(
    "words", [("char", CASK, "--level", "3"), ("shave+char", CASK, "--method", "flail", "--level", "3"), ("rechar", CASK, "TH-004218", "--level", "3")]
)
def test_enter_refuses_it_without_a_reason(tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    shop = Shop(tmp_path)
    shop.put(*DONE)
    shop.put(*DONE[:3], cask="TH-004218")
    ran = shop.enter(*words, "--yes")
    assert ran.code == 1 and "re-char 3 of this cask: the house limit is 2" in ran.err and "add --anyway" in ran.err
    assert len(shop.data()["events"]) == 4
    ran = shop.enter(*words, "--yes", "--anyway", "--why", "the owner wants it")
    assert ran.code == 0 and shop.last()["why"] == "the owner wants it" and shop.codes() == [OVER]


@pytest.mark.thorough
def test_check_and_review_tell_it_with_the_index_and_without(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(*DONE, {"date": days_ago(37), "job": "measure", "stave_mm": 17})
    commit_all(shop.root)
    ran = caskbook("enter", "char", CASK, "--level", "3", "--by", "ab", "--anyway", "--why", "tried once more", "--yes", cwd=shop.root)
    assert ran.returncode == 0, ran.stderr
    assert caskbook("check", cwd=shop.root).returncode == 0 and caskbook("check", "--strict", cwd=shop.root).returncode == 1
    for words in (("check", "--format", "json"), ("check", "--since", "HEAD", "--format", "json")):
        _, told, _ = same(shop.root, *words, day=None)
        assert OVER in told and THIN in told
    commit_all(shop.root)
    told = caskbook("review", "HEAD~1..", cwd=shop.root).stdout
    assert "against the house's rules" in told and "tried once more" in told
