"""When the book proposes that a cask has had its day."""

from __future__ import annotations

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import (
    RECEIVED,
    day_of,
    decided,
    due_house,
    emptied,
    examined,
    failed,
    filled,
    fills,
    nosed,
    of,
    passed,
    said,
)

OLD = {"made": "1970-06-01"}  # 50 years old on 1 June 2020
PATCHED = {"staves": 30}
ASKED = "house proposes retirement at 2; a person signs: caskbook report retirement TH-004217"


def staved(day: str, *staves: int) -> dict[str, object]:
    return ev(day, "stave", staves=list(staves), action="replace", from_="new")


def charred(day: str) -> list[dict[str, object]]:
    return [ev(day, "open", heads=["A"]), ev(day, "char", level=3), ev(day, "close", heads=["A"])]


def treated(day: str) -> dict[str, object]:
    return ev(day, "treat", method="steam", for_="taint")


def test_no_sign() -> None:
    verdict = of("retire", "2020-02-01", RECEIVED, made=2010)
    assert (verdict.verdict, said(verdict)) == ("ok", "0 signs; house proposes retirement at 2")


@pytest.mark.parametrize(
    ("found", "word"),
    [
        (ev("2020-02-01", "measure", stave_mm=17.9), "due 2020-02-01"),
        (ev("2020-02-01", "measure", stave_mm=18.0), "ok"),
        (examined("2020-02-01", soaked=0.5), "ok"),
        (examined("2020-02-01", soaked=0.51), "due 2020-02-01"),
    ],
)
def test_thin_or_soaked_is_enough_alone(found: dict[str, object], word: str) -> None:
    assert day_of(of("retire", "2020-02-05", RECEIVED, found, made=2010)) == word


def test_the_floor_is_the_types_own() -> None:
    thin = ev("2020-02-01", "measure", stave_mm=20.0)
    butt = {"type": "butt", "capacity_l": 500, "made": 2010}
    house = House({**HOUSE.raw, "types": {"butt": {"stave_floor_mm": 26}}})
    assert of("retire", "2020-02-05", RECEIVED, thin, **butt).verdict == "ok"
    verdict = of("retire", "2020-02-05", RECEIVED, thin, house=house, **butt)
    assert verdict.reasons == ("staves 20 mm on 2020-02-01, under the floor of 26", f"1 sign, enough alone; {ASKED}")


def test_a_floor_of_a_later_day_is_held_against_the_cask_from_that_day_on() -> None:
    house = House({**HOUSE.raw, "stave_floor_mm": [{"since": "2004-01-01", "value": 18.0}, {"since": "2021-03-01", "value": 20.0}]})
    verdict = of("retire", "2020-02-05", RECEIVED, ev("2020-02-01", "measure", stave_mm=19.5), house=house, made=2010)
    assert (verdict.verdict, str(verdict.turns_on)) == ("ok", "2021-03-01")


def test_a_taint_that_outlives_two_treatments() -> None:
    twice = [RECEIVED, nosed("2020-02-01", "fault", "musty"), treated("2020-02-02"), nosed("2020-02-09", "fault"), treated("2020-02-10")]
    assert of("retire", "2020-02-15", *twice, made=2010).verdict == "ok"
    assert of("retire", "2020-02-15", *twice, nosed("2020-02-14", "faint"), made=2010).verdict == "ok"
    verdict = of("retire", "2020-02-15", *twice, nosed("2020-02-14", "fault"), made=2010)
    assert day_of(verdict) == "due 2020-02-14"
    assert verdict.reasons[0] == "still tainted 2020-02-14, after 2 treatments; house limit 2"
    thrice = [*twice, nosed("2020-02-14", "fault"), treated("2020-02-20"), nosed("2020-02-28", "fault")]
    told = of("retire", "2020-03-01", *thrice, made=2010)
    assert (day_of(told), told.reasons[0]) == ("due 2020-02-14", "still tainted 2020-02-14, after 2 treatments; house limit 2"), (
        "day and count are of one nosing"
    )
    helped = [*twice, nosed("2020-02-14", "clean"), nosed("2020-05-01", "fault")]
    assert of("retire", "2020-05-02", *helped, made=2010).verdict == "ok"


def test_ten_of_thirty_staves_within_ten_years_and_fifty_years() -> None:
    work = [RECEIVED, ev("2020-02-01", "open", heads=["A"]), staved("2020-02-01", 1, 2, 3, 4, 5), staved("2020-02-02", 5, 6, 7, 8, 9)]
    nine = of("retire", "2020-07-01", *work, **PATCHED, **OLD)
    assert (nine.verdict, nine.reasons[0]) == ("ok", "made 1970-06-01, 50 years old on 2020-06-01; house limit 50")
    ten = [*work, staved("2020-02-03", 10)]
    verdict = of("retire", "2020-05-31", *ten, **PATCHED, **OLD)
    assert (verdict.verdict, str(verdict.changes_on)) == ("ok", "2020-06-01")
    verdict = of("retire", "2020-06-01", *ten, **PATCHED, **OLD)
    assert day_of(verdict) == "due 2020-06-01"
    assert "10 of 30 staves replaced within 10 years; house limit 33%" in verdict.reasons
    assert str(verdict.changes_on) == "2030-02-02"  # the first of them leave the ten years
    assert of("retire", "2030-02-02", *ten, **PATCHED, **OLD).verdict == "ok"


def test_life_fills_after_a_second_rechar() -> None:
    life = [RECEIVED, *charred("2020-02-01"), *fills(2020, 2021), *charred("2022-02-01"), *fills(2022, 2023)]
    far = due_house(retire={"spent_over": 9})  # spent is another test's
    assert of("retire", "2024-01-01", *life, made=1960, house=far).verdict == "ok"  # one before us and four here
    verdict = of("retire", "2025-01-01", *life, *fills(2024), made=1960, house=far)
    assert day_of(verdict) == "due 2024-10-01"
    assert "6 fills in its life, after 2 re-chars; house limit 6" in verdict.reasons
    once = [RECEIVED, *charred("2020-02-01"), *fills(2020, 2021, 2022, 2023, 2024)]
    assert of("retire", "2025-01-01", *once, made=1960).verdict == "ok"


def test_three_fails_in_one_visit() -> None:
    thrice = [RECEIVED, failed("2020-02-01"), failed("2020-02-02"), failed("2020-02-03")]
    assert of("retire", "2020-07-01", *thrice[:-1], passed("2020-02-03"), **OLD).verdict == "ok"
    assert day_of(of("retire", "2020-07-01", *thrice, passed("2020-02-04"), **OLD)) == "due 2020-06-01"
    full = [*thrice, passed("2020-02-04"), examined("2020-02-05"), filled("2020-02-06")]
    assert of("retire", "2020-07-01", *full, **OLD).verdict == "at-emptying"
    assert day_of(of("retire", "2021-07-01", *full, emptied("2021-06-30"), **OLD)) == "due 2021-06-30"
    assert of("retire", "2021-07-01", *full, emptied("2021-06-30"), passed("2021-07-01"), **OLD).verdict == "ok"


def test_fails_in_three_visits_running() -> None:
    def visit(year: int) -> list[dict[str, object]]:
        return [failed(f"{year}-02-01"), passed(f"{year}-02-02"), *fills(year)]

    assert of("retire", "2022-12-01", RECEIVED, *visit(2021), *visit(2022), **OLD).verdict == "ok"
    verdict = of("retire", "2023-12-01", RECEIVED, *visit(2021), *visit(2022), *visit(2023), **OLD)
    assert day_of(verdict) == "due 2023-10-01"
    assert "failed tests in 3 visits running, to 2023-02-01; house limit 3" in verdict.reasons
    sent = [ev("2023-05-01", "send", to="shop-north", why="a hoop"), ev("2023-05-03", "return", verdict="accept")]
    last = [failed("2023-02-01"), passed("2023-02-02"), *fills(2023)]
    away = [RECEIVED, *visit(2021), *visit(2022), *last[:-1], *sent, *last[-1:]]
    assert day_of(of("retire", "2023-12-01", *away, **OLD)) == "due 2023-10-01", "full it could not be tested at its return"
    between = [passed("2022-02-02"), *fills(2022)]
    assert of("retire", "2024-12-01", RECEIVED, *visit(2021), *between, *visit(2023), *visit(2024), **OLD).verdict == "ok"


@pytest.mark.parametrize("back", ["2023-02-02", "2023-02-03"])
def test_a_visit_begun_on_the_day_of_the_last_test_is_not_tested_yet(back: str) -> None:
    """In the order of the work the test stood before the return: it is one of the visit before, on one day as on two."""
    again = [event for year in (2021, 2022) for event in (failed(f"{year}-02-01"), passed(f"{year}-02-02"), *fills(year))]
    sent = [ev("2023-02-02", "send", to="shop-north", why="hoops"), ev(back, "return", verdict="accept")]
    third = [RECEIVED, *again, failed("2023-02-01"), passed("2023-02-02"), *sent]
    assert day_of(of("retire", "2023-02-05", *third, **OLD)) == "due 2023-02-01"
    assert of("retire", "2023-02-05", *third, passed(back), **OLD).verdict == "ok"


def test_excess_loss_is_given() -> None:
    life = [RECEIVED, *fills(2020, 2021)]
    assert of("retire", "2022-01-01", *life, excess_losses=1, **OLD).verdict == "ok"
    verdict = of("retire", "2022-01-01", *life, excess_losses=2, **OLD)
    assert day_of(verdict) == "due 2021-10-01"
    assert "lost too much in 2 fills running; house limit 2" in verdict.reasons


def test_one_sign_and_another_that_cannot_be_told() -> None:
    thrice = [RECEIVED, failed("2020-02-01"), failed("2020-02-02"), failed("2020-02-03")]
    verdict = of("retire", "2020-07-01", *thrice)
    assert (verdict.verdict, verdict.since) == ("unknown", None)
    assert "when it was made is not known; house limit 50 years" in verdict.reasons
    assert of("retire", "2020-07-01", RECEIVED, prior="absent", charred="unknown").verdict == "ok"
    uncounted = [RECEIVED, ev("2020-02-01", "open", heads=["A"]), staved("2020-02-01", 1, 2)]
    verdict = of("retire", "2020-07-01", *uncounted, staves="absent", **OLD)
    assert (verdict.verdict, verdict.reasons[1]) == ("unknown", "2 staves replaced within 10 years, of how many is not known")


def test_points_lowered_decided_retired_and_off() -> None:
    lowered = due_house(retire={"points": [{"since": "2020-06-20", "value": 1}]})
    assert of("retire", "2020-06-19", RECEIVED, house=lowered, **OLD).verdict == "ok"
    assert of("retire", "2020-06-25", RECEIVED, house=lowered, **OLD).verdict == "due"
    soaked = [RECEIVED, examined("2020-02-01", soaked=0.6)]
    kept = [*soaked, decided("2020-02-02", "retire")]
    assert of("retire", "2020-02-05", *kept).verdict == "ok"
    assert of("retire", "2020-03-05", *kept, examined("2020-03-01")).verdict == "ok"
    assert of("retire", "2020-03-05", *kept, examined("2020-03-01", soaked=0.7)).verdict == "due"
    done = ev("2020-02-02", "retire", reasons=["soaked"], approved_by="K. Dunmore")
    assert said(of("retire", "2020-02-05", *soaked, done)) == "retired 2020-02-02"
    assert of("retire", "2020-02-05", *soaked, house=due_house(retire={"off": True})).verdict == "ok"
