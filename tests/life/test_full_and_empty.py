"""Jobs that do one thing to an empty cask and another to a full one, and other small rules of the fold, each on its own."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import HOUSE, cask_of, codes, ev, facts_on, life_on

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.house import House

RECEIVED = ev("2020-01-10", "receive", verdict="accept")
EXAMINED = ev("2020-01-11", "examine", verdict="sound")
PASSED = ev("2020-01-12", "test", psi=11, result="pass")
FILLED = ev("2020-01-15", "fill", spirit="malt", litres=190.0, abv=63.5, at_20=True)
EMPTIED = ev("2024-01-15", "empty", litres=170.0, abv=61.0, at_20=True)
PROVED = [RECEIVED, EXAMINED, PASSED]
FULL = [*PROVED, FILLED]
LEAK = {"id": "e000aaaa", **ev("2020-02-01", "leak", at="joint-4", severity="weep")}
OPENED = ev("2020-01-13", "open", heads=["A"])


def facts(*events: dict[str, Any], day: str = "2024-06-01", **more: Any) -> Any:
    return facts_on(day, *events, **more)


def defects(*events: dict[str, Any], **more: Any) -> list[tuple[str, str]]:
    return [(row["at"], row["defect"]) for row in facts(*events, **more).open_defects]


# What unproves


@pytest.mark.parametrize(
    ("job", "fields"),
    [
        ("drive", {}), ("hoop", {"hoops": ["A-1"]}), ("peg", {"at": "joint-4", "kind": "wedge"}), ("bung", {"action": "rebore"}), ("open", {"heads": ["A"]}),
        ("flag", {"at": ["joint-4"]}),
    ],
)  # fmt: skip
def test_work_on_an_empty_cask_unproves_it_and_calls_for_a_pass(job: str, fields: dict[str, Any]) -> None:
    found = facts(*PROVED, ev("2020-01-13", job, **fields), day="2020-01-13")
    assert (found.proved, found.test_needed, found.test_valid) == (False, True, False)


@pytest.mark.parametrize(
    ("job", "fields"),
    [
        ("stave", {"staves": [4], "action": "rejoint"}),
        ("head", {"head": "A", "action": "redowel"}),
        ("shave", {"method": "scrape"}),
        ("toast", {"level": "light"}),
        ("char", {"level": 3}),
        ("close", {"heads": ["A"]}),
    ],
)
def test_work_on_an_open_cask_unproves_it_again(job: str, fields: dict[str, Any]) -> None:
    tight = ev("2020-01-14", "test", psi=11, result="pass")
    assert facts(*PROVED, OPENED, tight, ev("2020-01-15", job, **fields), day="2020-01-15").proved is False


@pytest.mark.parametrize(
    ("job", "fields"), [("drive", {}), ("hoop", {"hoops": ["A-1"]}), ("peg", {"at": "joint-4", "kind": "wedge"}), ("bung", {"action": "replace"})]
)
def test_work_on_a_full_cask_leaves_it_proved(job: str, fields: dict[str, Any]) -> None:
    found = facts(*FULL, ev("2020-02-02", job, **fields), day="2020-02-02")
    assert (found.proved, found.test_needed) == (True, False)


def test_a_bung_hole_rebored_unproves_a_full_cask_at_once_and_a_bung_replaced_none() -> None:
    assert facts(*FULL, ev("2020-02-02", "bung", action="rebore"), day="2020-02-02").proved is False
    assert facts(*PROVED, ev("2020-01-13", "bung", action="replace"), day="2020-01-13").proved is True


@pytest.mark.parametrize("done", [
    [ev("2020-02-02", "bung", action="rebore")], [ev("2020-02-02", "bung", action="moved", to=14)],
    [ev("2020-02-01", "send", to="weir", why="new store"), ev("2020-02-02", "return", verdict="accept")],
])  # fmt: skip
def test_what_unproved_a_full_cask_calls_for_a_pass_once_it_is_emptied(done: list[dict[str, Any]]) -> None:
    later = [*FULL, *done, EMPTIED, ev("2024-01-16", "examine", verdict="sound")]
    full, found = facts(*FULL, *done, day="2020-02-02"), facts(*later, day="2024-01-16")
    assert (full.proved, full.test_needed) == (False, False)
    assert (found.proved, found.test_needed, found.state) == (False, True, "untested")
    assert "fill-while-unproved" in codes(life_on("2024-01-17", *later, ev("2024-01-17", "fill", spirit="malt", litres=190.0, abv=63.5)))
    assert facts(*later, ev("2024-01-17", "test", psi=11, result="pass"), day="2024-01-17").state == "ready"


def test_wine_put_onto_spirit_by_mistake_has_no_spirit_to_tell_the_years_of() -> None:
    found = facts(*FULL, ev("2021-01-15", "season", wine="oloroso", litres=20.0), day="2022-01-15")
    assert (found.state, found.in_this_cask_years, found.age_years) == ("seasoning", None, None)
    assert found.years_in_wood == 2.001


def test_a_wine_cask_that_arrives_again_under_another_number_wants_a_clean_nose_again() -> None:
    old = cask_of(RECEIVED, ev("2020-01-11", "nose", verdict="clean"), cask="TH-004216")
    new = cask_of(ev("2022-01-10", "receive", verdict="accept"), ev("2022-01-11", "examine", verdict="sound"), prior=[{"contents": "oloroso", "fills": 1}])
    found = facts_of(live(new, HOUSE, date(2022, 1, 12), (old,)))
    assert (found.wine_held, found.examined, found.state) == (True, False, "unexamined")


@pytest.mark.parametrize("where", ["house", "usual"])
def test_whether_driving_unproves_is_the_houses_to_say(where: str) -> None:
    house = House({"crew": [{"initials": "ab"}], **({"drive_unproves": False} if where == "house" else {})})
    assert facts(*PROVED, ev("2020-01-13", "drive"), day="2020-01-13", house=house).proved is (where == "house")


@pytest.mark.parametrize("how", ["raise", "made-from", "return"])
def test_a_cask_built_or_come_back_calls_for_a_pass(how: str) -> None:
    events = {
        "raise": [ev("2020-01-10", "raise", staves=31)],
        "made-from": [ev("2020-01-10", "made-from", parents=[{"unnumbered": "staves from the yard"}])],
        "return": [*PROVED, ev("2020-02-01", "send", to="weir", why="new heads"), ev("2020-02-09", "return", verdict="accept")],
    }[how]
    found = facts(*events, ev("2020-02-10", "examine", verdict="sound"), day="2020-02-10")
    assert (found.proved, found.test_needed, found.state) == (False, True, "untested")


def test_hoops_changed_on_a_full_cask_count_once_it_is_emptied() -> None:
    hooped = ev("2020-02-02", "hoop", hoops=["A-1", "B-1"])
    assert facts(*FULL, hooped, EMPTIED).proved is False and facts(*FULL, EMPTIED).proved is True
    assert facts(*FULL, hooped, EMPTIED).test_needed is True and facts(*FULL, EMPTIED).test_needed is False
    assert facts(*FULL, hooped).hoops_replaced == 2


# Pegs and drives and what they answer


def test_a_peg_in_a_full_cask_closes_the_leak_at_its_place_and_is_a_defect_until_answered() -> None:
    other = {"id": "e000bbbb", **ev("2020-02-01", "leak", at="stave-9", severity="drip")}
    peg = ev("2020-02-02", "peg", at="joint-4", kind="wedge")
    found = facts(*FULL, LEAK, other, peg, day="2020-02-02")
    assert [row["at"] for row in found.open_leaks] == ["stave-9"]
    assert defects(*FULL, LEAK, other, peg, day="2020-02-02") == [("joint-4", "peg")]
    assert defects(*FULL, LEAK, other, peg, EMPTIED) == [("stave-9", "leak"), ("joint-4", "peg")]


def test_a_peg_in_an_empty_cask_is_no_defect() -> None:
    assert defects(*PROVED, ev("2020-01-13", "peg", at="joint-4", kind="wedge")) == []


FOUND = {"id": "e000exam", **ev("2020-01-13", "examine", verdict="repair", findings=[
    {"at": "hoop-A-1", "defect": "loose", "severity": 1}, {"at": "hoop-B-1", "defect": "loose", "severity": 1}, {"at": "stave-3", "defect": "cracked", "severity": 2},
])}  # fmt: skip


def test_driving_all_hoops_answers_every_hoop_and_driving_one_answers_that_one() -> None:
    assert [at for at, _ in defects(*PROVED, FOUND, ev("2020-01-14", "drive"))] == ["stave-3"]
    assert [at for at, _ in defects(*PROVED, FOUND, ev("2020-01-14", "drive", hoops=["A-1"]))] == ["hoop-B-1", "stave-3"]


def test_answers_with_a_place_answers_that_place_alone() -> None:
    assert [at for at, _ in defects(*PROVED, FOUND, ev("2020-01-14", "note", note="glued", answers=["e000exam/stave-3"]))] == ["hoop-A-1", "hoop-B-1"]
    assert defects(*PROVED, FOUND, ev("2020-01-14", "note", note="all done", answers=["e000exam"])) == []
    assert defects(*PROVED, FOUND, ev("2020-01-14", "note", note="all done", answers="e000exam")) == [], "one is written without a list"


def test_an_examination_restates_everything_that_is_open() -> None:
    assert defects(*PROVED, FOUND, ev("2020-01-14", "examine", verdict="sound")) == []


# Marks


def test_rejected_stays_rejected_beside_a_hold_and_a_release_ends_both_but_no_retirement() -> None:
    rejected = ev("2020-01-13", "examine", verdict="reject")
    held = ev("2020-01-14", "hold", why="paper lost")
    retired = ev("2020-01-15", "retire", reasons=["soaked"], approved_by="K. Dunmore")
    assert facts(*PROVED, rejected, held).state == "rejected" and set(facts(*PROVED, rejected, held).marks) == {"rejected", "held"}
    assert facts(*PROVED, rejected, retired).state == "rejected"
    released = ev("2020-01-16", "release", why="looked at", approved_by="K. Dunmore")
    assert facts(*PROVED, rejected, held, retired, released).marks == ["retired"]


def test_a_fault_of_nose_taints_and_holds_and_a_clean_one_lifts_the_taint_alone() -> None:
    fault = ev("2020-01-13", "nose", verdict="fault", faults=["musty"])
    sulphured = ev("2020-01-13", "sulphur", why="stands long", grams=5)
    assert facts(*PROVED, fault).marks == ["tainted", "held"]
    clean = ev("2020-01-14", "nose", verdict="clean")
    assert facts(*PROVED, fault, sulphured, clean).marks == ["held"]


def test_treatments_count_until_a_clean_nose_and_those_for_residue_are_none_against_taint() -> None:
    events = [
        ev("2020-01-13", "nose", verdict="fault", faults=["musty"]),
        ev("2020-01-14", "treat", method="steam", for_="taint"),
        ev("2020-01-15", "treat", method="rinse", for_="residue"),
    ]
    life = life_on("2020-01-15", *PROVED, *events)
    assert (life.state.treatments, life.state.taint_treatments) == (2, 1)
    assert facts(*PROVED, *events, ev("2020-01-16", "nose", verdict="clean")).treatments == 0


def test_a_mark_set_again_keeps_its_first_day() -> None:
    life = life_on("2020-02-01", *PROVED, ev("2020-01-13", "hold", why="one"), ev("2020-01-20", "hold", why="two"))
    assert str(life.state.marks["held"].since) == "2020-01-13"


def test_the_verdict_of_a_return_marks_as_that_of_a_receipt() -> None:
    sent = ev("2020-02-01", "send", to="weir", why="new heads")
    assert facts(*PROVED, sent, ev("2020-02-09", "return", verdict="hold")).marks == ["held"]
    assert facts(*PROVED, sent, ev("2020-02-09", "return", verdict="reject")).marks == ["rejected"]


# Visits


def test_the_visit_begins_anew_at_emptying() -> None:
    failed = ev("2020-01-13", "test", psi=11, result="fail", leaks=[{"at": "joint-1"}])
    again = ev("2020-01-14", "test", psi=11, result="pass")
    found = facts(*PROVED, failed, again, FILLED, EMPTIED)
    assert (found.fails_this_visit, found.test_needed, found.state, found.examined) == (0, False, "emptied", False)
    worked = facts(*PROVED, OPENED, ev("2020-01-13", "close", heads=["A"]), again, FILLED, EMPTIED)
    assert (worked.test_needed, worked.proved) == (False, True)
    assert facts(*PROVED, failed, again, day="2020-01-14").test_needed is True


def test_a_fail_is_told_before_a_lacking_pass_and_after_an_open_repair() -> None:
    failed = ev("2020-01-14", "test", psi=11, result="fail", leaks=[{"at": "joint-1"}])
    assert facts(*PROVED, failed, day="2020-01-15").state == "failed"
    assert facts(*PROVED, FOUND, failed, day="2020-01-15").state == "repair"


def test_a_nose_before_the_last_emptying_is_none() -> None:
    sherry = [{"contents": "oloroso", "fills": 1}]
    clean = ev("2020-01-12", "nose", verdict="clean")
    assert facts(RECEIVED, EXAMINED, clean, prior=sherry, day="2020-01-13").state == "ready"
    assert facts(RECEIVED, EXAMINED, prior=sherry, day="2020-01-13").state == "unexamined"
    seen = ev("2024-01-16", "examine", verdict="sound")
    assert facts(RECEIVED, EXAMINED, clean, FILLED, EMPTIED, seen, prior=sherry, day="2024-01-17").state == "unexamined"


def test_with_one_head_out_the_cask_is_open() -> None:
    opened = ev("2020-01-13", "open", heads=["A", "B"])
    one, both = ev("2020-01-14", "close", heads=["A"]), ev("2020-01-14", "close", heads=["B"])
    assert facts(*PROVED, opened, one, day="2020-01-14").state == "open"
    assert facts(*PROVED, opened, one, both, day="2020-01-14").form == "whole"


# Counts and years


def test_parts_are_counted_by_place() -> None:
    work = [
        OPENED, ev("2020-01-14", "stave", staves=["1", "4"], action="replace", from_="new"), ev("2020-01-15", "stave", staves=["4"], action="replace", from_="new"),
        ev("2020-01-16", "stave", staves=["9"], action="rejoint"), ev("2020-01-17", "head", head="A", action="replace", from_="new", mark="TH-004217"),
        ev("2020-01-18", "head", head="B", action="redowel"), ev("2020-01-19", "flag", at=["joint-4"]), ev("2020-01-20", "flag", at=["joint-4", "joint-5"]),
    ]  # fmt: skip
    found = facts(*PROVED, *work, staves=31)
    assert (found.staves_replaced, found.bung_stave_replacements, found.original_stave_share) == ({"1": 1, "4": 2}, 1, "29/31")
    assert (found.heads_replaced, found.flagged) == (1, {"joint-4": 2, "joint-5": 1})


def test_fires_begin_their_counts_anew_and_a_toast_is_no_char() -> None:
    opened, closed = ev("2024-02-01", "open", heads=["A"]), ev("2024-02-03", "close", heads=["A"])
    toasted = facts(*FULL, EMPTIED, opened, ev("2024-02-02", "toast", level="light"), closed)
    assert (toasted.fills_since_char, toasted.fills_since_fire, toasted.char_count, toasted.rechar_count) == (2, 0, 1, 0)
    assert (str(toasted.last_char), toasted.last_char_approx) == ("2011-07-01", True)
    charred = facts(*FULL, EMPTIED, opened, ev("2024-02-02", "char", level=3), closed)
    assert (charred.fills_since_char, charred.fills_since_fire, charred.char_count, charred.rechar_count) == (0, 0, 2, 1)
    assert charred.years_in_wood == 4.0 and charred.years_in_wood_since_char == 0.0


@pytest.mark.parametrize(
    ("prior", "rechars"), [([], 0), ("absent", None), ([{"contents": "bourbon", "fills": 1}], 1), ([{"contents": "oloroso", "fills": 1}], 1)]
)
def test_a_char_is_a_rechar_where_the_cask_has_held_liquor(prior: Any, rechars: int | None) -> None:
    assert facts(*PROVED, OPENED, ev("2020-01-14", "char", level=3), prior=prior, charred="never" if prior == [] else 2011).rechar_count == rechars


def test_prior_fills_count_since_the_prior_char_where_the_house_counts_them() -> None:
    assert facts(*FULL).fills_since_char == 2
    assert facts(*FULL, house=House({"crew": [{"initials": "ab"}], "count_prior": False})).fills_since_char == 1


def test_wood_left_goes_by_the_last_prior_contents_and_falls() -> None:
    house = House({"crew": [{"initials": "ab"}], "wood_left": {"bourbon": 0.1, "oloroso": 0.05}})
    prior = [{"contents": "oloroso", "fills": 1}, {"contents": "bourbon", "fills": 1}]
    # four years at 0.1 a year: exp(-0.4)
    assert facts(*FULL, EMPTIED, house=house, prior=prior).wood_left == 0.67
    assert facts(*FULL, EMPTIED, prior=prior).wood_left is None


def test_a_seasoning_is_no_fill_and_no_year_in_wood_and_a_cask_of_wine_received_is_no_fill_of_the_class() -> None:
    seasoned = facts(*PROVED, ev("2020-01-15", "season", wine="oloroso", litres=190), day="2022-01-15")
    assert (seasoned.fills, seasoned.years_in_wood, seasoned.wine_held, seasoned.state) == (0, 0.0, True, "seasoning")
    full = ev("2020-01-10", "receive", verdict="accept", contents="wine", spirit="oloroso", litres=190)
    came = facts(full, ev("2022-01-10", "empty", litres=180, abv=18, at_20=True))
    assert (came.fills, came.fills_of_class, came.years_in_wood, came.wine_held) == (1, 0, 0.0, True)


def test_the_age_is_that_of_the_youngest_and_ends_with_the_contents() -> None:
    old = {**FILLED, "oak_since": "2015-01-15"}
    assert facts(*PROVED, old).age_years == 9
    top = ev("2021-01-01", "top", litres=5.0, abv=60.0, at_20=True, oak_since="2019-03-01")
    assert str(facts(*PROVED, old, top).oak_since) == "2019-03-01"
    older = ev("2021-01-01", "top", litres=5.0, abv=60.0, at_20=True, oak_since="2010-03-01")
    assert str(facts(*PROVED, old, older).oak_since) == "2015-01-15"
    assert facts(*PROVED, old, ev("2021-01-01", "top", litres=5.0, abv=60.0, at_20=True)).age_years is None
    assert facts(*PROVED, old, EMPTIED).age_years is None
    racked = ev("2021-01-01", "rack-in", from_=[{"cask": "TH-004219", "litres": 5, "abv": 60}], at_20=True, spirit="malt", oak_since="2019-03-01")
    found = facts(*PROVED, old, racked)
    assert (str(found.oak_since), found.fills) == ("2019-03-01", 1)


def test_a_look_means_the_leak_it_names_and_with_neither_every_one() -> None:
    other = {"id": "e000bbbb", **ev("2020-02-01", "leak", at="stave-9", severity="drip")}

    def left(**fields: Any) -> list[tuple[str, str]]:
        rows = facts(*FULL, LEAK, other, ev("2020-02-03", "look", **fields), day="2020-02-03").open_leaks
        return [(row["at"], row["severity"]) for row in rows]

    assert left(seen="dry") == []
    assert left(seen="dry", at="joint-4") == [("stave-9", "drip")]
    assert left(seen="dry", of="e000aaaa") == [("stave-9", "drip")]
    assert left(seen="run", of="e000bbbb") == [("joint-4", "weep"), ("stave-9", "run")]


def test_what_names_a_replaced_entry_means_its_replacement() -> None:
    again = {"id": "e000cccc", **ev("2020-02-01", "leak", at="stave-9", severity="drip"), "replaces": "e000aaaa", "why": "misread"}
    third = {"id": "e000dddd", **ev("2020-02-01", "leak", at="stave-8", severity="drip"), "replaces": "e000cccc", "why": "misread"}

    def left(*after: Any) -> list[tuple[str, str]]:
        return [(row["at"], row["severity"]) for row in facts(*FULL, LEAK, *after, day="2020-02-09").open_leaks]

    for named in ("e000aaaa", "e000cccc"):
        assert left(again, third, ev("2020-02-03", "look", seen="run", of=named)) == [("stave-8", "run")]
        assert left(again, third, ev("2020-02-03", "drive", closes=named)) == []
    voided = {"id": "e000eeee", **ev("2020-02-04", "void", of="e000dddd", why="so it was")}
    assert left(again, third, voided, ev("2020-02-03", "look", seen="run", of="e000cccc")) == [("stave-9", "run")]
    assert left(again, third, voided, ev("2020-02-03", "look", seen="run", of="e000dddd")) == [("stave-9", "drip")]
    examined = {"id": "e000ffff", **ev("2020-01-02", "examine", verdict="repair", findings=[{"at": "joint-4", "defect": "joint-leak"}])}
    better = {
        "id": "e000fffg",
        **ev("2020-01-02", "examine", verdict="repair", findings=[{"at": "joint-5", "defect": "joint-leak"}]),
        "replaces": "e000ffff",
        "why": "miscounted",
    }
    assert defects(examined, better, ev("2020-01-03", "note", note="rushed", answers="e000ffff")) == []


def test_a_wet_look_is_a_finding_where_no_leak_is_open() -> None:
    def found(*after: Any) -> list[str]:
        return [fault.message for fault in life_on("2020-02-09", *FULL, *after).faults if fault.code == "leak-not-open"]

    gone = ev("2020-02-04", "void", of="e000aaaa", why="wrong cask")
    assert found(LEAK, ev("2020-02-03", "look", seen="run", of="e000aaaa"), gone) == ["`seen` is run: no leak of e000aaaa is open"]
    assert found(LEAK, ev("2020-02-03", "look", seen="dry", of="e000aaaa"), gone) == []
    assert found(LEAK, ev("2020-02-03", "look", seen="run", at="joint-9")) == ["`seen` is run: no leak at joint-9 is open; open: joint-4 (weep)"]
    assert found(LEAK, ev("2020-02-03", "look", seen="run")) == [] == found(ev("2020-02-03", "look", seen="dry"))


def test_a_racking_out_that_leaves_litres_leaves_the_cask_full() -> None:
    parts = [{"cask": "TH-004219", "litres": 50, "abv": 60}]
    assert facts(*FULL, ev("2021-01-01", "rack-out", to=parts, at_20=True, left_l=100, why="blend")).state == "filled"
    assert facts(*FULL, ev("2021-01-01", "rack-out", to=parts, at_20=True, why="blend")).state == "emptied"


def test_where_a_cask_is() -> None:
    moved = ev("2020-01-13", "move", berth="R-12")
    assert facts(*PROVED, moved).berth == "R-12"
    assert facts(*PROVED, moved, ev("2020-01-14", "send", to="weir", why="heads")).berth is None
    assert facts(*PROVED, moved, ev("2020-01-14", "dispose", to="garden", how="sold")).berth is None
    lost = ev("2020-01-14", "missing")
    assert facts(*PROVED, moved, lost).state == "missing"
    assert facts(*PROVED, moved, lost, ev("2020-01-15", "found", berth="R-13"), day="2020-01-16").state == "ready"
    assert facts(*PROVED, OPENED, ev("2020-01-14", "knock-down")).state == "shook"


# Needs and policy


def test_a_pressure_at_the_house_limit_is_within_it() -> None:
    house = House({"crew": [{"initials": "ab"}], "test_limit_psi": 12})
    found = [codes(life_on("2020-01-13", RECEIVED, ev("2020-01-13", "test", psi=psi, result="pass"), house=house)) for psi in (11.9, 12, 12.1)]
    assert found == [[], [], ["test-over-house-limit"]]


def test_a_cask_filled_to_the_brim_is_not_over_full() -> None:
    found = [codes(life_on("2020-01-15", *PROVED, {**FILLED, "litres": litres})) for litres in (199.9, 200, 200.1)]
    assert found == [[], [], ["over-capacity"]]


@pytest.mark.parametrize(("abv", "found"), [(4.9, ["out-of-range"]), (5, []), (30, []), (30.1, ["out-of-range"])])
def test_wine_has_from_5_to_30_percent(abv: float, found: list[str]) -> None:
    seasoned = ev("2020-01-15", "season", wine="oloroso", litres=190)
    drawn = ev("2021-01-15", "empty", litres=180, abv=abv, at_20=True)
    assert codes(life_on("2021-01-15", *PROVED, seasoned, drawn)) == found


def test_who_may_work_on_a_cask_that_is_away() -> None:
    sent = ev("2020-02-01", "send", to="weir", why="new heads")
    assert codes(life_on("2020-02-03", *PROVED, sent, {**ev("2020-02-02", "open", heads=["A"]), "by": "shop-weir"})) == []
    assert codes(life_on("2020-02-03", *PROVED, sent, ev("2020-02-02", "open", heads=["A"]))) == ["job-on-away-cask"]


def test_a_shop_may_put_up_what_it_knocked_down_and_the_cask_stays_there() -> None:
    sent = ev("2020-02-01", "send", to="weir", why="new heads")
    work = [{**ev("2020-02-02", "knock-down", staves=30), "by": "shop-weir"}, {**ev("2020-02-04", "raise", staves=30), "by": "shop-weir"}]
    life = life_on("2020-02-05", *PROVED, sent, *work)
    assert codes(life) == [] and (life.state.form, life.state.where, life.state.proved) == ("whole", "away", False)
    assert codes(life_on("2020-02-05", *PROVED, sent, work[0], ev("2020-02-04", "raise", staves=30))) == ["job-on-away-cask"]


def test_a_retired_or_rejected_cask_may_be_broken_up_and_no_other() -> None:
    broken = ev("2020-02-01", "break-up", staves_saved=20)
    retired = ev("2020-01-15", "retire", reasons=["soaked"], approved_by="K. Dunmore")
    assert codes(life_on("2020-02-01", *PROVED, ev("2020-01-13", "examine", verdict="reject"), broken)) == []
    assert codes(life_on("2020-02-01", *PROVED, retired, broken)) == []
    assert codes(life_on("2020-02-01", *PROVED, broken)) == ["break-up-unretired"]


def test_a_head_that_is_out_cannot_be_taken_out_again() -> None:
    assert codes(life_on("2020-02-01", *PROVED, OPENED, ev("2020-01-14", "open", heads=["A"]))) == ["head-already-out"]
