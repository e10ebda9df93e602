"""Charring again: counts, limits, what blocks it, and what is not known."""

from __future__ import annotations

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, emptied, examined, filled, fills, of, said

# one fill before us since the char of 2011, as in the tests' barrel
FOUR_HERE = [RECEIVED, *fills(2020, 2021, 2022, 2023)]


def charred(day: str) -> list[dict[str, object]]:
    return [ev(day, "open", heads=["A"]), ev(day, "char", level=3), ev(day, "close", heads=["A"])]


@pytest.mark.parametrize(
    ("years", "word", "late"),
    [
        ((2020, 2021), "ok", False),
        ((2020, 2021, 2022), "soon", False),
        ((2020, 2021, 2022, 2023), "due 2023-10-01", False),
        (tuple(range(2014, 2020)), "due 2019-10-01", False),
        (tuple(range(2013, 2020)), "due 2019-10-01", True),
    ],
)
def test_soon_at_four_due_at_five_well_past_from_eight(years: tuple[int, ...], word: str, late: bool) -> None:
    received = ev("2013-01-10", "receive", verdict="accept")
    verdict = of("rechar", "2024-01-01", received, *fills(*years))
    assert (day_of(verdict), verdict.well_past) == (word, late)


def test_the_reason_counts() -> None:
    assert said(of("rechar", "2024-01-01", *FOUR_HERE)) == "5 fills since char on 2011-07-01 (about): 1 before us, 4 here; house limit 5"


def test_fills_before_us_may_be_left_out() -> None:
    house = House({**HOUSE.raw, "count_prior": False})
    assert said(of("rechar", "2024-01-01", *FOUR_HERE, house=house)) == "4 fills since char on 2011-07-01 (about); house limit 5"


def test_at_emptying_only_once_its_number_is_reached() -> None:
    four = FOUR_HERE[:-1]
    assert of("rechar", "2023-06-01", *four).verdict == "at-emptying"
    assert of("rechar", "2022-06-01", *FOUR_HERE[:-3]).verdict == "ok"
    assert day_of(of("rechar", "2023-10-01", *four, emptied("2023-10-01"))) == "due 2023-10-01"


def test_after_a_rechar_at_two() -> None:
    again = [*FOUR_HERE, *charred("2023-11-01")]
    assert of("rechar", "2023-11-02", *again).verdict == "ok"
    assert of("rechar", "2024-11-02", *again, *fills(2024)).verdict == "soon"
    verdict = of("rechar", "2025-11-02", *again, *fills(2024, 2025))
    assert day_of(verdict) == "due 2025-10-01"
    assert said(verdict) == "2 fills since char on 2023-11-01; house limit 2 after a re-char"


def test_blocked_names_what_blocks() -> None:
    twice = [*FOUR_HERE, *charred("2023-11-01"), *fills(2024, 2025), *charred("2025-11-01"), *fills(2026, 2027)]
    verdict = of("rechar", "2027-11-01", *twice)
    assert (verdict.verdict, verdict.since) == ("blocked", None)
    assert verdict.reasons[0] == "re-charred twice already; house limit 2"
    thin = of("rechar", "2024-01-01", *FOUR_HERE, ev("2023-12-01", "measure", stave_mm=17.0))
    assert thin.reasons[:2] == ("staves 17 mm, under the floor of 18", thin.reasons[1])
    assert thin.verdict == "blocked"
    assert of("rechar", "2024-01-01", *FOUR_HERE, ev("2023-12-01", "measure", stave_mm=18.0)).verdict == "due"
    grave = examined("2023-12-01", verdict="repair", findings=[{"at": "stave-14", "defect": "cracked", "severity": 3}])
    assert said(of("rechar", "2024-01-01", *FOUR_HERE, grave)).startswith("severity-3 defect open at stave-14 cracked")


def test_a_retirement_candidate_blocks_unless_somebody_keeps_it() -> None:
    soaked = [*FOUR_HERE, examined("2023-12-01", soaked=0.6)]
    verdict = of("rechar", "2024-01-01", *soaked)
    assert (verdict.verdict, verdict.reasons[0].partition(":")[0]) == ("blocked", "retirement is proposed")
    kept = [*soaked, decided("2023-12-02", "retire", until="2024-06-01")]
    verdict = of("rechar", "2024-01-01", *kept)
    assert (day_of(verdict), str(verdict.changes_on)) == ("due 2023-10-01", "2024-06-02")
    assert of("rechar", "2024-06-02", *kept).verdict == "blocked"


@pytest.mark.parametrize(
    ("head", "proposes"),
    [
        ({"type": "butt", "capacity_l": 500, "charred": 2011}, True),
        ({"prior": [{"contents": "oloroso", "fills": 1}]}, True),
        ({"type": "hogshead", "capacity_l": 250}, False),
    ],
)
def test_wine_casks_and_some_types_are_not_charred(head: dict[str, object], proposes: bool) -> None:
    verdict = of("rechar", "2024-01-01", *FOUR_HERE, **head)
    assert day_of(verdict) == "due 2023-10-01"
    assert ("not charred: toast it, season it again, or put it to lesser use" in verdict.reasons) is proposes
    toasted = [ev("2023-11-01", "open", heads=["A"]), ev("2023-11-01", "toast", level="medium"), ev("2023-11-01", "close", heads=["A"])]
    assert (of("rechar", "2024-01-01", *FOUR_HERE, *toasted, **head).verdict == "ok") is proposes


@pytest.mark.parametrize(
    ("head", "years", "word"),
    [
        ({"charred": "unknown"}, (2020,), "ok"),  # two fills in its whole life
        ({"charred": "unknown", "prior": "absent"}, (2020,), "unknown"),
        ({"charred": "unknown", "prior": [{"contents": "bourbon"}]}, (2020,), "unknown"),
        ({"charred": "unknown"}, (2020, 2021, 2022, 2023), "unknown"),  # four here, one more in its life
        ({"charred": "unknown", "prior": "absent"}, (2020, 2021, 2022, 2023, 2024), "due 2024-10-01"),
        ({"prior": [{"contents": "bourbon"}]}, (2020, 2021, 2022, 2023), "unknown"),
        ({"prior": [{"contents": "bourbon"}, {"contents": "malt", "fills": 2}]}, (2020, 2021, 2022), "due 2022-10-01"),
        ({"prior": [], "charred": "never"}, (2020, 2021, 2022, 2023, 2024), "due 2024-10-01"),
    ],
)
def test_the_unknown_is_said_and_a_minimum_is_enough(head: dict[str, object], years: tuple[int, ...], word: str) -> None:
    verdict = of("rechar", "2025-01-01", RECEIVED, *fills(*years), **head)
    assert day_of(verdict) == word


def test_how_the_unknown_reads() -> None:
    past = {"charred": "unknown", "prior": "absent"}
    assert said(of("rechar", "2025-01-01", RECEIVED, *fills(2020, 2021), **past)) == (
        "at least 2 fills since char, more may be: its last char is not known; house limit 5"
    )
    assert said(of("rechar", "2025-01-01", RECEIVED, *fills(2020), prior=[], charred="never")) == "1 fill, never charred; house limit 5"


def test_whether_its_char_is_a_rechar_may_be_unknown() -> None:
    """A char that found a cask of unknown past: due at 2 if it was a re-char, at 5 in any case."""
    past = {"charred": "unknown", "prior": "absent"}
    life = [RECEIVED, *charred("2020-02-01")]
    assert of("rechar", "2025-01-01", *life, *fills(2020), **past).verdict == "ok"
    verdict = of("rechar", "2025-01-01", *life, *fills(2020, 2021), **past)
    assert (verdict.verdict, said(verdict)) == (
        "unknown",
        "2 fills since char on 2020-02-01; house limit 5, or 2 if its char was a re-char, which is not known",
    )
    assert of("rechar", "2025-01-01", *life, *fills(2020, 2021, 2022, 2023, 2024), **past).verdict == "due"


def test_a_limit_lowered_last_week_and_one_by_type() -> None:
    house = due_house(rechar={"due_at": [{"since": "2020-01-01", "value": 5}, {"since": "2023-12-25", "value": 4}]})
    three = [RECEIVED, *fills(2020, 2021, 2022)]
    before = of("rechar", "2023-12-24", *three, house=house)
    assert (before.verdict, str(before.changes_on)) == ("soon", "2023-12-25")
    assert day_of(of("rechar", "2024-01-01", *three, house=house)) == "due 2023-12-25"
    by_type = House({**HOUSE.raw, "types": {"hogshead": {"due": {"rechar": {"due_at": 4}}}}})
    assert of("rechar", "2024-01-01", *three, house=by_type).verdict == "soon"
    assert of("rechar", "2024-01-01", *three, house=by_type, type="hogshead").verdict == "due"


def test_an_earlier_day_knows_no_later_fill() -> None:
    assert of("rechar", "2021-12-01", *FOUR_HERE).verdict == "ok"


def test_kept_until_the_next_fill() -> None:
    kept = [*FOUR_HERE, decided("2023-10-02", "rechar")]
    verdict = of("rechar", "2024-01-01", *kept)
    assert (verdict.verdict, verdict.decided) == ("ok", "kept by K. Dunmore: seen by us")
    assert of("rechar", "2024-04-01", *kept, examined("2024-02-01"), filled("2024-03-01")).verdict == "at-emptying"
    assert of("rechar", "2024-01-01", *FOUR_HERE, house=due_house(rechar={"off": True})).verdict == "ok"


def test_a_short_fill_of_a_cask_never_charred_counts_here_and_not_before_us() -> None:
    house = House({**HOUSE.raw, "short_fill_days": 30})
    short = [filled("2020-02-01"), emptied("2020-02-10"), *fills(2020)]
    told = said(of("rechar", "2021-01-01", RECEIVED, *short, house=house, charred="never"))
    assert told == "3 fills, never charred: 1 before us, 2 here; house limit 5"
