"""Rules of due that no day tells of: counts of fills, what blocks, which decision is in force, who is asked at all."""

from __future__ import annotations

import inspect

import pytest
from casks import HOUSE, ev, facts_on, life_on

from caskbook.due import judge, ranked
from caskbook.model.house import House
from caskbook.model.house_due import WITHOUT_EFFECT, DueRules
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

SOUND = [RECEIVED, examined("2020-01-10")]
FULL = [*SOUND, filled("2020-01-15")]


def test_the_limits_are_those_of_the_contract() -> None:
    due = HOUSE.on(life_on("2020-01-10", RECEIVED).day, "barrel").due
    assert (due.rechar.soon_at, due.rechar.due_at, due.rechar.well_past_at, due.rechar.after_rechar_due_at, due.rechar.most_rechars) == (4, 5, 8, 2, 2)
    assert due.rechar.off_types == ["butt", "puncheon", "port-pipe", "barrique", "madeira-drum", "gorda"]
    assert due.hold.after_days == 0
    assert (due.nose.faint_again_from, due.nose.faint_again_until, due.claim.days) == (7, 14, 30)
    assert (due.look.weep_days, due.look.drip_days, due.look.run_days, due.look.new_fill_days) == (14, 0, 0, [])
    assert (due.regauge.first_year, due.regauge.every_years, due.regauge.yearly_from, due.regauge.yearly_under_abv) == (5, 3, 15, 43)
    assert (due.retire.points, due.retire.age_years, due.retire.life_fills, due.retire.fails_in_visit, due.retire.visits_with_fails) == (2, 50, 6, 3, 3)
    assert (due.retire.treatments, due.retire.soaked, due.retire.loss_fills, due.retire.replaced_share) == (2, 0.5, 2, 0.333)
    assert (due.retire.spent_over, due.retire.worn_margin_mm, due.retire.worn_visits, due.retire.replaced_share_life) == (0, 1, 3, 0.5)
    assert (due.loss.false_alarms_per_1000_casks_a_year, due.loss.act_percent, due.loss.fewest_peers) == (0.4, 5, 15)


def test_every_limit_of_a_rule_stands_above() -> None:
    said = inspect.getsource(test_the_limits_are_those_of_the_contract)
    settings = [f"due.{name}.{setting}" for name, field in DueRules.model_fields.items() for setting in field.annotation.model_fields]
    assert [one for one in settings if one not in said and one.split(".")[-1] not in ("off", *WITHOUT_EFFECT)] == []


@pytest.mark.parametrize(("count", "word", "past"), [(2, "ok", False), (3, "soon", False), (4, "due", False), (6, "due", False), (7, "due", True)])
def test_fills_since_char_with_one_before_us(count: int, word: str, past: bool) -> None:
    verdict = of("rechar", "2020-01-01", ev("2010-01-01", "receive", verdict="accept"), *fills(*range(2010, 2010 + count)))
    assert (verdict.verdict, verdict.well_past) == (word, past)


def test_after_a_rechar_two_fills_are_enough_and_one_is_soon() -> None:
    char = [ev("2010-02-01", "open", heads=["A"]), ev("2010-02-02", "char", level=3), ev("2010-02-03", "close", heads=["A"])]
    found = [of("rechar", "2020-01-01", ev("2010-01-01", "receive", verdict="accept"), *char, *fills(*range(2011, 2011 + n))).verdict for n in (0, 1, 2)]
    assert found == ["ok", "soon", "due"]


def chars(count: int) -> list[dict[str, object]]:
    return [
        event
        for n in range(count)
        for event in (ev(f"200{n}-02-01", "open", heads=["A"]), ev(f"200{n}-02-02", "char", level=3), ev(f"200{n}-02-03", "close", heads=["A"]))
    ]


@pytest.mark.parametrize(("count", "word"), [(1, "due"), (2, "blocked")])
def test_twice_recharred_is_blocked(count: int, word: str) -> None:
    came = ev("2000-01-01", "receive", verdict="accept")
    assert of("rechar", "2020-01-01", came, *chars(count), *fills(2010, 2011), charred=1990, made=1989, house=due_house(retire={"off": True})).verdict == word


@pytest.mark.parametrize(("severity", "word"), [(2, "due"), (3, "blocked")])
def test_only_a_severity_3_defect_blocks_the_fire(severity: int, word: str) -> None:
    seen = examined("2019-12-01", verdict="repair", findings=[{"at": "stave-3", "defect": "cracked", "severity": severity}])
    assert of("rechar", "2020-01-01", ev("2010-01-01", "receive", verdict="accept"), *fills(2010, 2011, 2012, 2013), seen).verdict == word


@pytest.mark.parametrize(("thick", "word"), [(18, "due"), (17.9, "blocked")])
def test_staves_under_the_floor_block_and_staves_at_it_do_not(thick: float, word: str) -> None:
    seen = examined("2019-12-01", stave_mm=thick)
    assert of("rechar", "2020-01-01", ev("2010-01-01", "receive", verdict="accept"), *fills(2010, 2011, 2012, 2013), seen).verdict == word


def test_on_a_full_cask_fire_retest_examination_and_retirement_wait() -> None:
    came = ev("2010-01-01", "receive", verdict="accept")
    assert of("rechar", "2020-01-01", came, *fills(2010, 2011, 2012), filled("2013-03-01")).verdict == "at-emptying"
    assert of("examine", "2020-06-01", *FULL).verdict == "at-emptying"
    assert of("retest", "2020-06-01", *FULL, ev("2020-02-01", "hoop", hoops=["A-1"])).verdict == "at-emptying"
    assert of("retire", "2020-06-01", RECEIVED, examined("2020-01-10", soaked=0.6), filled("2020-01-15")).verdict == "at-emptying"


@pytest.mark.parametrize(("rechars", "more", "word"), [(1, 4, "ok"), (2, 3, "ok"), (2, 4, "due")])
def test_six_fills_in_its_life_after_a_second_rechar_are_a_sign(rechars: int, more: int, word: str) -> None:
    # two fills before us
    prior = [{"contents": "bourbon", "fills": 2}]
    came = ev("2000-01-01", "receive", verdict="accept")
    verdict = of(
        "retire",
        "2020-01-01",
        came,
        *chars(rechars),
        *fills(*range(2010, 2010 + more)),
        prior=prior,
        charred=1990,
        made=1989,
        house=due_house(retire={"points": 1, "spent_over": 9}),
    )
    assert verdict.verdict == word


@pytest.mark.parametrize(("running", "word"), [(1, "ok"), (2, "due")])
def test_too_much_lost_in_two_fills_running_is_a_sign(running: int, word: str) -> None:
    assert of("retire", "2020-06-01", *SOUND, house=due_house(retire={"points": 1}), excess_losses=running, made=2000).verdict == word


def test_it_takes_two_signs() -> None:
    assert of("retire", "2020-06-01", *SOUND, made=1960).verdict == "ok"
    assert of("retire", "2020-06-01", *SOUND, made=1960, excess_losses=2).verdict == "due"


def test_a_taint_is_final_after_two_treatments_and_another_fault() -> None:
    fault, treat = nosed("2020-01-20", "fault", "musty"), ev("2020-01-21", "treat", method="steam", for_="taint")
    again = nosed("2020-02-01", "fault", "musty")
    assert of("retire", "2020-02-02", *SOUND, fault, treat, again).verdict == "ok"
    assert of("retire", "2020-02-02", *SOUND, fault, treat, treat).verdict == "ok"
    assert of("retire", "2020-02-02", *SOUND, fault, treat, treat, nosed("2020-02-01", "faint", "musty")).verdict == "ok"
    assert of("retire", "2020-02-02", *SOUND, fault, treat, treat, again).verdict == "due"
    assert of("nose", "2020-02-02", *SOUND, fault, treat, treat, again).verdict == "blocked"
    assert of("retire", "2020-02-02", *SOUND, fault, treat, again, treat, again).verdict == "due"


def test_a_faint_nose_that_was_treated_or_sulphured_waits_no_week() -> None:
    faint = nosed("2020-02-01", "faint", "musty")
    assert of("nose", "2020-02-02", *SOUND, faint).verdict == "soon"
    assert of("nose", "2020-02-02", *SOUND, faint, ev("2020-02-02", "treat", method="steam", for_="taint")).verdict == "due"
    assert of("nose", "2020-02-02", *SOUND, faint, ev("2020-02-02", "treat", method="rinse", for_="residue")).verdict == "soon"
    assert of("nose", "2020-02-02", *SOUND, faint, ev("2020-02-02", "sulphur", why="stands long", grams=5)).verdict == "due"


def test_a_wine_cask_is_nosed_after_each_emptying() -> None:
    sherry = [{"contents": "oloroso", "fills": 1}]
    events = [*SOUND, nosed("2020-01-11", "clean"), filled("2020-01-15"), emptied("2021-01-15")]
    assert of("nose", "2020-01-10", *SOUND, prior=sherry).verdict == "due"
    assert of("nose", "2020-01-12", *events[:3], prior=sherry).verdict == "ok"
    assert day_of(of("nose", "2021-01-16", *events, prior=sherry)) == "due 2021-01-15"


def test_retest_says_why_and_when_not() -> None:
    failed_once = [*SOUND, failed("2020-01-12"), filled("2020-01-13"), emptied("2021-01-15"), examined("2021-01-16")]
    assert day_of(of("retest", "2021-01-17", *failed_once)) == "due 2021-01-15"
    repair = examined("2020-01-12", verdict="repair", findings=[{"at": "joint-4", "defect": "weep"}])
    flagged = ev("2020-01-13", "flag", at=["joint-4"])
    assert of("retest", "2020-01-14", RECEIVED, repair).verdict == "blocked"
    assert day_of(of("retest", "2020-01-14", RECEIVED, repair, ev("2020-01-13", "note", note="dry", answers=["e0000002"]))) == "due 2020-01-13"
    assert of("retest", "2020-01-14", RECEIVED, repair, flagged, passed("2020-01-13")).verdict == "ok"
    house = House({"crew": [{"initials": "ab"}], "fill_needs": "test"})
    assert of("retest", "2020-01-12", *SOUND, house=house).verdict == "due" and of("retest", "2020-01-12", *SOUND).verdict == "ok"


def test_of_unknown_strength_it_is_unknown_whether_a_gauge_is_due_from_a_year_on() -> None:
    racked = ev("2020-01-15", "rack-in", from_=[{"cask": "TH-004219", "litres": 190}], at_20=True, spirit="malt", oak_since="unknown")
    assert [of("regauge", day, *SOUND, racked).verdict for day in ("2021-01-14", "2021-01-15", "2021-01-16")] == ["ok", "unknown", "unknown"]
    assert of("regauge", "2025-01-15", *SOUND, racked).verdict == "due"


def test_a_faint_nose_is_nothing_to_claim_and_a_leak_cured_in_the_test_is() -> None:
    assert "nothing found" in said(of("claim", "2020-01-20", RECEIVED, nosed("2020-01-12", "faint", "musty")))
    assert of("claim", "2020-01-20", RECEIVED, nosed("2020-01-12", "fault", "musty")).verdict == "due"
    cured = ev("2020-01-12", "test", psi=11, result="pass", leaks=[{"at": "joint-4"}], cured_by="drive")
    assert of("claim", "2020-01-20", RECEIVED, cured).verdict == "due"


def test_a_racking_out_that_leaves_litres_begins_no_visit() -> None:
    drawn = ev("2020-06-01", "rack-out", to=[{"cask": "TH-004219", "litres": 50, "abv": 60}], at_20=True, left_l=100, why="blend")
    events = [*SOUND, failed("2020-01-12"), filled("2020-01-15"), emptied("2020-05-01"), drawn]
    assert day_of(of("examine", "2020-06-02", *events)) == "due 2020-05-01"


def test_a_taint_treated_before_the_last_fill_is_not_treated_in_this_visit() -> None:
    fault, treat = nosed("2020-01-12", "fault", "musty"), ev("2020-01-13", "treat", method="steam", for_="taint")
    assert "nose again" in said(of("nose", "2020-01-14", *SOUND, fault, treat))
    assert day_of(of("nose", "2020-01-14", *SOUND, fault, treat)) == "due 2020-01-13"
    later = of("nose", "2020-06-01", *SOUND, fault, treat, filled("2020-01-15"), emptied("2020-05-01"))
    assert "treat it, then nose again" in said(later)


# Decisions


def test_the_last_decision_counts_until_news_and_only_for_its_rule() -> None:
    held = [*SOUND, ev("2020-02-01", "hold", why="seen a crack")]
    deferred = decided("2020-02-02", "hold", "defer", "2020-02-20")
    kept = decided("2020-02-03", "hold")
    assert of("hold", "2020-02-25", *held, deferred).verdict == "due"
    assert of("hold", "2020-02-25", *held, deferred, kept).verdict == "ok"
    assert of("hold", "2020-02-10", *held, kept, {**deferred, "date": "2020-02-03"}).decided is not None
    assert of("hold", "2020-02-25", *held, kept, {**deferred, "date": "2020-02-04"}).verdict == "due"
    assert of("hold", "2020-02-25", *held, kept, ev("2020-02-10", "hold", why="again")).verdict == "due"
    assert of("examine", "2020-02-25", *held, kept).verdict == "due"


def test_a_new_leak_ends_a_dated_decision_on_looking() -> None:
    leak = ev("2020-03-01", "leak", at="joint-4", severity="drip")
    decision = decided("2020-03-02", "look", "defer", "2020-04-01")
    assert of("look", "2020-03-10", *FULL, leak, decision).verdict == "ok"
    assert of("look", "2020-03-10", *FULL, leak, decision, {**leak, "date": "2020-03-09", "at": "stave-9"}).verdict == "due"


def test_a_decision_on_a_claim_stands_for_good() -> None:
    events = [RECEIVED, failed("2020-01-12"), decided("2020-01-13", "claim", "claimed")]
    assert of("claim", "2020-02-09", *events).verdict == "ok"
    assert of("claim", "2020-01-15", *events, failed("2020-01-14")).verdict == "due", "it answers what was there when it was made"


# Who is asked, and in what order


def rules(day: str, *events: dict[str, object]) -> set[str]:
    life = life_on(day, *events)
    return {verdict.rule for verdict in judge(life, facts_on(day, *events))}


def test_who_is_asked() -> None:
    sent = ev("2020-02-01", "send", to="weir", why="heads")
    assert rules("2020-02-02", *SOUND, sent) == {"hold", "claim"}
    assert rules("2020-02-02", *SOUND, ev("2020-02-01", "missing")) == set()
    assert "examine" in rules("2020-02-02", *SOUND)
    for mark in (
        ev("2020-02-01", "retire", reasons=["soaked"], approved_by="K. Dunmore"),
        examined("2020-02-01", verdict="reject"),
        ev("2020-02-01", "knock-down"),
    ):
        assert of("examine", "2021-01-01", *SOUND, mark).verdict == "ok"
        assert of("retest", "2021-01-01", *SOUND, failed("2020-01-20"), mark).verdict == "ok"


def test_the_rank_within_a_rule_is_well_past_then_gravity_then_the_longest_due() -> None:
    leaks = {word: of("look", "2020-04-01", *FULL, ev("2020-03-01", "leak", at="joint-4", severity=word)) for word in ("weep", "drip", "run")}
    assert [verdict.severity for verdict in ranked(leaks.values())] == [3, 2, 1]
    past, new = (of("nose", day, *SOUND, nosed("2020-02-01", "faint", "musty")) for day in ("2020-02-20", "2020-02-10"))
    assert ranked([new, past]) == [past, new]
    blocked = of("retest", "2020-01-14", RECEIVED, examined("2020-01-12", verdict="repair", findings=[{"at": "joint-4", "defect": "weep"}]))
    soon = of("look", "2020-03-10", *FULL, ev("2020-03-01", "leak", at="joint-4", severity="weep"))
    assert ranked([soon, blocked]) == [blocked, soon]


def test_a_limit_lowered_later_makes_it_due_since_that_day() -> None:
    house = House({"crew": [{"initials": "ab"}], "examine_valid_days": [{"since": "2000-01-01", "value": 30}, {"since": "2020-01-25", "value": 10}]})
    assert day_of(of("examine", "2020-01-26", *SOUND, house=house)) == "due 2020-01-25"
    assert day_of(of("examine", "2020-01-24", *SOUND, house=house)) == "ok"
    assert str(of("examine", "2020-01-20", *SOUND, house=house).changes_on) == "2020-01-25"
    assert day_of(of("examine", "2020-03-01", *SOUND, ev("2020-01-20", "note", note="x"), house=House({"crew": [{"initials": "ab"}]}))) == "due 2020-02-10"


def test_hold_waits_for_the_nose_that_set_it_and_is_asked_of_a_cask_away() -> None:
    fault, clean = nosed("2020-02-01", "fault", "musty"), nosed("2020-02-05", "clean")
    assert of("hold", "2020-02-06", *SOUND, fault).verdict == "ok"
    assert day_of(of("hold", "2020-02-06", *SOUND, fault, clean)) == "due 2020-02-05"
    assert of("hold", "2020-02-06", RECEIVED, examined("2020-01-10", verdict="reject")).verdict == "due"
    assert "release, retire or dispose" in said(of("hold", "2020-02-06", RECEIVED, examined("2020-01-10", verdict="reject")))
    released = ev("2020-02-06", "release", why="paper found", approved_by="K. Dunmore")
    assert day_of(of("examine", "2020-02-07", RECEIVED, examined("2020-02-01", verdict="hold"), released)) == "due 2020-02-06"
