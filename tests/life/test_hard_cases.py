"""Cases in which the book is easily wrong: each must come out as the trade would have it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import HOUSE, cask_of, codes, ev, facts_on, life_on

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.house import House

ARRIVED = [ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-01", "examine", verdict="sound")]
FILL = {"spirit": "malt", "litres": 190, "abv": 63.5}
FILLED = [*ARRIVED, ev("2020-01-05", "fill", **FILL)]
PASS = {"psi": 11, "result": "pass"}


def test_a_rejected_cask_that_is_filled_is_counted_and_reported() -> None:
    events = [ev("2020-01-01", "receive", verdict="reject"), ev("2020-01-01", "examine", verdict="sound"), ev("2020-01-02", "fill", **FILL)]
    life = life_on("2020-02-01", *events)
    assert codes(life) == ["fill-while-rejected"]
    assert life.faults[0].severity == "warning"
    assert facts_on("2020-02-01", *events).fills == 1


def test_a_faulty_nose_is_not_cured_by_a_test() -> None:
    events = [*ARRIVED, ev("2020-01-02", "nose", verdict="fault", faults=["acetic"]), ev("2020-01-03", "test", **PASS)]
    facts = facts_on("2020-01-04", *events)
    assert facts.taint and facts.marks == ["tainted", "held"]
    assert facts.state == "held"
    released = [*events, ev("2020-01-04", "release", why="seen", approved_by="kd")]
    assert facts_on("2020-01-05", *released).state == "tainted"
    assert facts_on("2020-01-06", *released, ev("2020-01-06", "nose", verdict="clean")).state == "ready"


def test_a_full_cask_may_be_held_and_emptied() -> None:
    events = [*FILLED, ev("2021-01-01", "hold", why="sample queried"), ev("2021-06-01", "empty", litres=180, abv=62)]
    assert codes(life_on("2021-06-01", *events)) == []
    facts = facts_on("2021-06-01", *events)
    assert (facts.state, facts.fitness) == ("emptied", "held")


OPENED = [ev("2022-01-02", "open", heads=["A"]), ev("2022-01-03", "stave", staves=[14], action="replace", from_="new"), ev("2022-01-04", "close", heads=["A"])]


def test_repaired_and_passed_is_ready_only_with_a_sound_examination() -> None:
    emptied = [*FILLED, ev("2022-01-01", "empty", litres=170, abv=60)]
    work = [ev("2022-01-02", "hoop", hoops=["A-1"], from_="new"), *OPENED, ev("2022-01-05", "test", **PASS)]
    assert facts_on("2022-01-05", *emptied, *work).state == "emptied"
    examined = [*emptied, ev("2022-01-01", "examine", verdict="sound"), *work]
    assert facts_on("2022-01-05", *examined).state == "ready"
    assert facts_on("2022-01-04", *examined).state == "untested"


def test_racked_from_three_it_is_one_fill_of_the_youngest_age() -> None:
    parts = [{"cask": f"TH-00000{n}", "litres": 150.0, "abv": 60.0} for n in (1, 2, 3)]
    events = [*ARRIVED, ev("2020-01-05", "rack-in", from_=parts, spirit="malt", oak_since="2012-03-01")]
    facts = facts_on("2020-06-01", *events, type="butt", capacity_l=500)
    assert (facts.fills, facts.age_years, str(facts.oak_since)) == (1, 8, "2012-03-01")
    more = [*events, ev("2020-07-01", "rack-in", from_=parts[:1], spirit="malt", oak_since="2015-01-01")]
    later = facts_on("2020-08-01", *more, type="butt", capacity_l=700)
    assert (later.fills, str(later.oak_since)) == (1, "2015-01-01")
    unknown = [*events, ev("2020-07-01", "rack-in", from_=parts[:1], spirit="malt", oak_since="unknown")]
    assert facts_on("2020-08-01", *unknown, type="butt", capacity_l=700).age_years is None


def test_received_full_and_sold_full() -> None:
    events = [ev("2018-05-01", "receive", verdict="accept", contents="spirit", spirit="grain", litres=180, abv=60, oak_since="2010-05-01"),
              ev("2023-05-01", "dispose", how="sold", to="another house")]  # fmt: skip
    facts = facts_on("2020-05-01", *events)
    assert (facts.state, facts.fills, facts.age_years) == ("filled", 1, 10)
    after = facts_on("2024-05-01", *events)
    assert (after.state, after.contents, after.fills) == ("gone", "spirit", 1)
    assert after.years_in_wood == round((5 * 365 + 1) / 365.2425, 3)
    assert codes(life_on("2024-05-01", *events)) == []


def test_seasoned_emptied_nosed_filled() -> None:
    seasoned = [*ARRIVED, ev("2020-01-03", "season", wine="oloroso", litres=190, until="2021-01-03")]
    assert facts_on("2020-02-01", *seasoned).state == "seasoning"
    assert facts_on("2020-02-01", *seasoned).fills == 0
    emptied = [*seasoned, ev("2021-01-03", "empty", litres=180, abv=18), ev("2021-01-04", "examine", verdict="sound")]
    assert facts_on("2021-01-05", *emptied).state == "unexamined"  # wine-held: it wants a clean nose
    nosed = [*emptied, ev("2021-01-05", "nose", verdict="clean")]
    assert facts_on("2021-01-05", *nosed).state == "ready"
    filled = [*nosed, ev("2021-01-06", "fill", **FILL)]
    assert codes(life_on("2021-02-01", *filled)) == []
    facts = facts_on("2022-01-06", *filled)
    assert (facts.fills, facts.years_in_wood) == (1, round(365 / 365.2425, 3))


def test_sent_away_recharred_by_an_outside_shop_and_returned() -> None:
    shop = {"by": "shop-rivet"}
    events = [
        *FILLED, ev("2024-01-01", "empty", litres=160, abv=58),
        ev("2024-01-10", "send", to="shop-rivet", why="re-char"),
        {**ev("2024-01-15", "open", heads=["A", "B"]), **shop}, {**ev("2024-01-15", "char", level=3), **shop},
        {**ev("2024-01-16", "close", heads=["A", "B"]), **shop},
        ev("2024-02-01", "return", verdict="accept", done=["re-charred"], berth="Y1"),
    ]  # fmt: skip
    assert codes(life_on("2024-02-01", *events)) == []
    away = facts_on("2024-01-20", *events)
    assert (away.state, away.berth, away.fills_since_char) == ("away", None, 0)
    back = facts_on("2024-02-01", *events)
    assert (back.rechar_count, back.test_needed, back.berth) == (1, True, "Y1")
    ready = [*events, ev("2024-02-02", "examine", verdict="sound"), ev("2024-02-02", "test", **PASS)]
    assert facts_on("2024-02-02", *ready).state == "ready"
    ours = [*events[:6], ev("2024-01-15", "open", heads=["A", "B"])]
    assert codes(life_on("2024-01-20", *events[:5], ev("2024-01-16", "examine", verdict="sound"))) == ["job-on-away-cask"]
    assert len(ours) == 7


def test_a_house_limit_lowered_last_week_judges_only_what_came_after() -> None:
    house = House({"test_limit_psi": [{"since": "2000-01-01", "value": 12}, {"since": "2020-02-01", "value": 10}]})
    tests = [*ARRIVED, ev("2020-01-10", "test", **PASS), ev("2020-02-01", "test", **PASS)]
    life = life_on("2020-03-01", *tests, house=house)
    assert [(fault.code, fault.where) for fault in life.faults] == [("test-over-house-limit", ("events", 3, "psi"))]


def test_short_fills_are_shown_but_not_counted_since_char() -> None:
    house = House({"short_fill_days": 30})
    events = [*FILLED, ev("2020-01-20", "empty", litres=189, abv=63)]
    facts = facts_on("2020-01-20", *events, house=house, charred="never", prior=[])
    assert (facts.fills, facts.fills_life) == (1, 1)
    charred = facts_on("2020-01-20", *events, house=house)
    assert charred.fills_since_char == 1  # the bourbon fill before us; the short one is not counted


@pytest.mark.parametrize(("prior", "charred", "since", "life"), [
    ("absent", 2011, None, None), ([], 2011, 0, 0), ([], "never", 0, 0), ([{"contents": "bourbon"}], 2011, None, None),
    ([{"contents": "bourbon", "fills": 2}], "unknown", None, 2), ([{"contents": "bourbon", "fills": 2}], "absent", None, 2),
    ([{"contents": "sherry", "fills": 1}, {"contents": "malt", "fills": 2}], "never", 3, 3),
])  # fmt: skip
def test_unknown_is_never_guessed(prior: object, charred: object, since: int | None, life: int | None) -> None:
    facts = facts_on("2020-01-02", *ARRIVED, prior=prior, charred=charred)
    assert (facts.fills_since_char, facts.fills_life) == (since, life)


def test_a_char_on_a_cask_of_unknown_past_leaves_the_rechar_count_unknown() -> None:
    work = [ev("2020-01-02", "open", heads=["A"]), ev("2020-01-03", "char", level=2)]
    assert facts_on("2020-01-03", *ARRIVED, *work, prior="absent").rechar_count is None
    assert facts_on("2020-01-03", *ARRIVED, *work, prior=[]).rechar_count == 0
    assert facts_on("2020-01-03", *ARRIVED, *work).rechar_count == 1


def test_leaks_open_at_emptying_become_defects_and_a_peg_stays_one() -> None:
    leaks = [{"id": "e000001x", **ev("2021-01-01", "leak", at="head-A-joint-2", severity="drip")},
             {"id": "e000002x", **ev("2021-01-02", "leak", at="joint-3", severity="weep")},
             {"id": "e000003x", **ev("2021-01-03", "peg", at="head-A-joint-2", kind="wedge")},
             {"id": "e000004x", **ev("2021-01-09", "look", seen="drip")}]  # fmt: skip
    facts = facts_on("2021-01-10", *FILLED, *leaks)
    assert [(leak["at"], leak["severity"]) for leak in facts.open_leaks or []] == [("joint-3", "drip")]
    emptied = facts_on("2021-02-01", *FILLED, *leaks, ev("2021-02-01", "empty", litres=150, abv=60))
    assert emptied.open_leaks == []
    assert [(d["at"], d["defect"], d["severity"], d["event"]) for d in emptied.open_defects or []] == [
        ("joint-3", "leak", "drip", "e000002x"), ("head-A-joint-2", "peg", None, "e000003x")]  # fmt: skip


def test_a_job_answers_a_defect_at_its_place_or_one_that_contains_it() -> None:
    found = [{"at": "stave-14", "defect": "cracked", "severity": 2}, {"at": "joint-13", "defect": "joint-leak"}, {"at": "joint-20", "defect": "joint-leak"}]
    examined = [ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-01", "examine", verdict="repair", findings=found)]
    facts = facts_on("2022-01-03", *examined, *OPENED)
    assert [d["at"] for d in facts.open_defects or []] == ["joint-20"]
    answered = [*examined, *OPENED, ev("2022-01-05", "note", note="seen", answers=["e0000002/joint-20"])]
    assert facts_on("2022-01-06", *answered).open_defects == []


def test_a_hoop_on_a_full_cask_calls_for_a_pass_once_it_is_emptied() -> None:
    events = [*FILLED[:2], ev("2020-01-03", "test", **PASS), FILLED[2], ev("2021-01-01", "hoop", hoops=["B-2"], from_="new")]
    assert facts_on("2021-01-02", *events).proved is True
    emptied = [*events, ev("2021-02-01", "empty", litres=180, abv=62), ev("2021-02-01", "examine", verdict="sound")]
    facts = facts_on("2021-02-01", *emptied)
    assert (facts.proved, facts.test_needed, facts.state) == (False, True, "untested")


def test_cured_in_one_go_is_one_fail_and_one_pass() -> None:
    facts = facts_on("2020-01-02", *ARRIVED, ev("2020-01-02", "test", psi=11, result="pass", leaks=[{"at": "joint-1"}], cured_by="drive"))
    assert (facts.fails_this_visit, facts.proved, facts.state) == (1, True, "ready")


def test_a_full_cask_received_under_a_second_number_is_no_fill_more() -> None:
    """Its receipt did not find it empty: one malt, in it since the first day, whichever number was written on the second."""
    other = cask_of(
        ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "examine", verdict="sound"),
        ev("2020-01-03", "fill", spirit="malt", litres=195, abv=63, at_20=True), cask="TH-004216",
    )  # fmt: skip
    full = ev("2022-01-01", "receive", verdict="accept", contents="spirit", spirit="malt", litres=185, abv=62, at_20=True, oak_since="2020-01-03")
    goes_on = cask_of(full, ev("2026-11-20", "same-as", of="TH-004216", why="two numbers"))
    facts = facts_of(live(goes_on, HOUSE, date(2026, 11, 28), (other,)))
    assert (facts.fills, facts.fills_since_char, facts.contents) == (1, 2, "spirit")
    assert facts.in_this_cask_years == pytest.approx(6.9, abs=0.05) and facts.years_in_wood == pytest.approx(6.9, abs=0.05)
    wine = cask_of({**full, "contents": "wine", "spirit": "oloroso", "abv": 17}, ev("2026-11-20", "same-as", of="TH-004216", why="two numbers"))
    assert facts_of(live(wine, HOUSE, date(2026, 11, 28), (other,))).fills == 2, "other liquor than was in it"


MALT = ev("2015-10-27", "fill", spirit="malt", litres=195, abv=63, at_20=True)


def test_full_of_the_wine_that_it_was_seasoned_with_under_its_other_number_is_no_fill() -> None:
    arrived = [ev("2015-10-03", "receive", verdict="accept"), ev("2015-10-04", "examine", verdict="sound")]
    join = ev("2020-06-01", "same-as", of="TH-004216", why="one cask")
    seasoned = cask_of(*arrived, ev("2015-11-27", "season", wine="oloroso", litres=480), join, prior=[])
    full = cask_of(ev("2016-09-30", "receive", verdict="accept", contents="oloroso", litres=470, abv=17), cask="TH-004216", prior=[])
    facts = facts_of(live(seasoned, HOUSE, date(2020, 6, 2), (full,)))
    assert (facts.state, facts.fills, facts.fills_since_char) == ("seasoning", 0, 0)


@pytest.mark.parametrize(
    ("before", "said", "code"),
    [
        ([ev("2018-10-04", "dispose", how="lost")], {}, "job-on-gone-cask"),
        ([MALT], {"contents": "spirit", "spirit": "rum", "litres": 185, "abv": 62, "oak_since": "unknown"}, "fill-of-full-cask"),
        ([MALT], {"contents": "oloroso", "litres": 185, "abv": 17}, "fill-of-full-cask"),
        ([MALT], {"contents": "wine", "litres": 185, "abv": 17}, "fill-of-full-cask"),
        ([MALT], {"contents": "empty"}, "job-on-full-cask"),
        ([MALT], {"contents": "spirit", "spirit": "malt", "litres": 185, "abv": 62, "oak_since": "unknown"}, None),
        ([MALT], {"contents": "spirit", "litres": 185, "abv": 62, "oak_since": "unknown"}, None),
        ([MALT], {}, None),
        ([], {"contents": "oloroso", "litres": 185, "abv": 17}, None),
    ],
)
def test_a_second_arrival_is_held_against_the_life_there_was(before: list[dict[str, Any]], said: dict[str, Any], code: str | None) -> None:
    """Each number has its own arrival, and what it says may not be what the other number's entries say; under either number."""
    first = [ev("2015-10-03", "receive", verdict="accept"), ev("2015-10-04", "examine", verdict="sound"), *before]
    second = {**ev("2019-09-30", "receive", verdict="accept", **said), "id": "e0000009"}
    join = ev("2020-06-01", "same-as", of="TH-004216", why="one cask")
    early = live(cask_of(*first, join), HOUSE, date(2020, 6, 2), (cask_of(second, cask="TH-004216"),))
    late = live(cask_of(second, join), HOUSE, date(2020, 6, 2), (cask_of(*first, cask="TH-004216"),))
    assert [(event.id, fault.code) for _, event, fault in early.joined_faults] == ([("e0000009", code)] if code else [])
    assert [fault.code for fault in late.faults] == ([code] if code else []) and not late.joined_faults and not early.faults


def test_a_second_arrival_in_the_own_file_is_judged_in_all_else_like_the_first() -> None:
    """It finds the other number's wine in the cask, which is then no spirit's strength to be asked about."""
    wine = ev("2019-09-30", "receive", verdict="accept", contents="oloroso", litres=185, abv=17)
    join = ev("2020-06-01", "same-as", of="TH-004216", why="one cask")
    first = cask_of(ev("2015-10-03", "receive", verdict="accept"), ev("2015-11-01", "season", wine="oloroso", litres=190), cask="TH-004216")
    life = live(cask_of({**wine, "id": "e0000009"}, join), HOUSE, date(2020, 6, 2), (first,))
    assert life.on_wine == {"e0000009", life.cask.events[1].id} and life.faults == []


def test_a_receipt_of_a_full_cask_under_another_number_begins_no_visit() -> None:
    work = [
        ev("2017-01-01", "bung", action="rebore", bore_mm=50),
        ev("2018-01-01", "empty", litres=175, abv=62, at_20=True),
        ev("2018-01-02", "examine", verdict="sound"),
    ]
    first = [ev("2015-10-03", "receive", verdict="accept"), ev("2015-10-04", "examine", verdict="sound"), MALT, *work]
    other = cask_of({**ev("2016-09-30", "receive", verdict="accept"), "id": "e0000009"}, cask="TH-004216")
    join = ev("2018-01-03", "same-as", of="TH-004216", why="one cask")
    facts = facts_of(live(cask_of(*first, join), HOUSE, date(2018, 1, 4), (other,)))
    assert (facts.fitness, facts.test_needed) == (facts_on("2018-01-04", *first).fitness, True) == ("untested", True)


def test_the_day_of_the_next_entry_is_that_of_both_numbers() -> None:
    first = [ev("2015-10-03", "receive", verdict="accept"), ev("2020-06-01", "same-as", of="TH-004216", why="one cask")]
    other = cask_of(ev("2016-09-30", "receive", verdict="accept"), ev("2017-01-01", "note", note="seen"), cask="TH-004216")
    assert live(cask_of(*first), HOUSE, date(2016, 12, 31), (other,)).next_event == date(2017, 1, 1)
    assert live(cask_of(*first), HOUSE, date(2016, 12, 31)).next_event == date(2020, 6, 1)


def test_what_cannot_have_been_is_noted_under_either_number_of_one_cask() -> None:
    arrived = [ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "examine", verdict="sound")]
    malt = cask_of(*arrived, ev("2020-01-03", "fill", spirit="malt", litres=190, abv=63, at_20=True), cask="TH-004216")
    grain = cask_of(*arrived, {**ev("2020-01-05", "fill", spirit="grain", litres=190, abv=63, at_20=True), "id": "e0000009"})
    one, other = (live(first, HOUSE, date(2021, 1, 1), (second,)) for first, second in ((malt, grain), (grain, malt)))
    assert [(number, event.id, fault.code) for number, event, fault in one.joined_faults] == [("TH-004217", "e0000009", "fill-of-full-cask")]
    assert other.joined_faults == [] and codes(other) == ["fill-of-full-cask"]


def test_a_racking_between_two_numbers_of_one_cask_is_one_state_whichever_goes_on() -> None:
    arrived = [ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "examine", verdict="sound")]
    part = {"litres": 188, "abv": 63}
    out = {**ev("2020-02-01", "rack-out", to=[{"cask": "TH-004217", **part}], at_20=True, why="leaking"), "id": "e0000050"}
    taken = {**ev("2020-02-01", "rack-in", from_=[{"cask": "TH-004216", **part}], at_20=True, spirit="malt", oak_since="2020-01-03"), "id": "e0000050"}
    source = cask_of(*arrived, ev("2020-01-03", "fill", spirit="malt", litres=190, abv=63, at_20=True), out, cask="TH-004216")
    target = cask_of(*arrived, taken)
    facts = [facts_of(live(first, HOUSE, date(2021, 1, 1), (second,))) for first, second in ((source, target), (target, source))]
    assert [(one.state, one.fills, one.contents) for one in facts] == [("filled", 2, "spirit")] * 2
