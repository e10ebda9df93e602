"""Every limit of days is inclusive: the day before, the day itself and the day after, for each due rule and for the fitness."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from casks import ev, facts_on

from caskbook.model.house import House
from due.judged import (
    RECEIVED,
    decided,
    due_house,
    emptied,
    examined,
    failed,
    filled,
    nosed,
    of,
    passed,
    said,
)

SOUND = [RECEIVED, examined("2020-01-10")]
WORKED = [*SOUND, ev("2020-01-20", "open", heads=["A"]), ev("2020-01-20", "close", heads=["A"]), passed("2020-01-21")]
FULL = [*SOUND, filled("2020-01-15")]
OLD = [ev("2004-12-01", "receive", verdict="accept"), examined("2004-12-01"), filled("2005-03-01")]
WEEP = ev("2020-03-01", "leak", at="joint-4", severity="weep")
TESTS_ALL = House({"crew": [{"initials": "ab"}], "fill_needs": "test"})


def gauged(day: str, abv: float) -> dict[str, Any]:
    return ev(day, "regauge", litres=150, abv=abv, at_20=True, method="meter")


def around(day: str) -> tuple[str, str, str]:
    """The day before, the day, the day after."""
    on = date.fromisoformat(day)
    return str(on - timedelta(1)), day, str(on + timedelta(1))


LIMITS: list[tuple[str, str, list[dict[str, Any]], str, str, str, House | None]] = [
    # what, rule, events, the day on which it turns, before it, from it on, the house
    ("an examination is good for 30 days", "examine", SOUND, "2020-02-10", "soon", "due", None),
    ("a week before it is soon", "examine", SOUND, "2020-02-03", "ok", "soon", None),
    ("a pass with no work since counts as an examination of its day", "examine", [*SOUND, passed("2020-01-15")], "2020-02-15", "soon", "due", None),
    ("a fail after it takes that away", "examine", [*SOUND, passed("2020-01-15"), failed("2020-01-16")], "2020-02-10", "soon", "due", None),
    ("a needed pass is good for 60 days", "retest", WORKED, "2020-03-22", "soon", "due", None),
    ("a week before it is soon again", "retest", WORKED, "2020-03-15", "ok", "soon", None),
    ("where every cask is tested an old pass grows old too", "retest", [*SOUND, passed("2020-01-12")], "2020-03-13", "soon", "due", TESTS_ALL),
    ("a faint nose is nosed again from the seventh day", "nose", [*SOUND, nosed("2020-02-01", "faint", "musty")], "2020-02-08", "soon", "due", None),
    ("a weep is looked at after 14 days", "look", [*FULL, WEEP], "2020-03-15", "soon", "due", None),
    ("and a week before it is soon", "look", [*FULL, WEEP], "2020-03-08", "ok", "soon", None),
    ("a look that finds it wet begins the days anew", "look", [*FULL, WEEP, ev("2020-03-10", "look", seen="weep")], "2020-03-24", "soon", "due", None),
    ("a leak's own day comes first", "look", [*FULL, {**WEEP, "look_again": "2020-03-05"}], "2020-03-05", "soon", "due", None),
    ("a new fill is looked at on its day", "look", FULL, "2020-01-25", "soon", "due", due_house(look={"new_fill_days": [10]})),
    ("and is new for as many days again", "look", FULL, "2020-02-05", "due", "ok", due_house(look={"new_fill_days": [10]})),
    ("gauged five years after filling", "regauge", FULL, "2025-01-15", "soon", "due", None),
    ("thirty days before it is soon", "regauge", FULL, "2024-12-16", "ok", "soon", None),
    ("then every three years", "regauge", [*FULL, gauged("2025-02-01", 60)], "2028-02-01", "soon", "due", None),
    ("every year from the fifteenth", "regauge", [*OLD, gauged("2019-06-01", 60)], "2020-06-01", "soon", "due", None),
    ("not before the fifteenth", "regauge", [*OLD, gauged("2018-06-01", 60)], "2020-03-01", "soon", "due", None),
    ("every year under 43 %", "regauge", [*FULL, gauged("2021-02-01", 42.9)], "2022-02-01", "soon", "due", None),
    ("held: so many days after", "hold", [*SOUND, ev("2020-02-01", "hold", why="seen a crack")], "2020-02-04", "soon", "due", due_house(hold={"after_days": 3})),
    ("claims to the thirtieth day", "claim", [RECEIVED, failed("2020-01-20")], "2020-02-10", "due", "ok", None),
    ("claims to the receipt's own day", "claim", [{**RECEIVED, "claim_by": "2020-01-31"}, failed("2020-01-20")], "2020-02-01", "due", "ok", None),
    ("a decision holds to the end of its day", "hold", [*SOUND, ev("2020-02-01", "hold", why="x"), decided("2020-02-02", "hold", "defer", "2020-02-20")], "2020-02-21", "ok", "due", None),
]  # fmt: skip


@pytest.mark.parametrize(("what", "rule", "events", "turn", "before", "after", "house"), LIMITS, ids=[row[0] for row in LIMITS])
def test_the_day_before_the_day_and_the_day_after(
    what: str, rule: str, events: list[dict[str, Any]], turn: str, before: str, after: str, house: House | None
) -> None:
    more: dict[str, Any] = {} if house is None else {"house": house}
    found = [of(rule, day, *events, **more) for day in around(turn)]
    assert [verdict.verdict for verdict in found] == [before, after, after]
    # The days told of are those on which it turns: the first of them says the second.
    assert found[0].changes_on == date.fromisoformat(turn)


def test_a_faint_nose_is_well_past_after_the_fourteenth_day() -> None:
    events = [*SOUND, nosed("2020-02-01", "faint", "musty")]
    assert [of("nose", day, *events).well_past for day in around("2020-02-16")] == [False, True, True]


def test_a_drip_and_a_run_are_looked_at_the_same_day() -> None:
    for word in ("drip", "run"):
        assert of("look", "2020-03-01", *FULL, {**WEEP, "severity": word}).verdict == "due"


def test_what_a_claim_rests_on_was_found_by_its_last_day() -> None:
    house = due_house(claim={"days": 10})
    assert of("claim", "2020-01-20", RECEIVED, failed("2020-01-20"), house=house).verdict == "due"
    assert "found in time" in said(of("claim", "2020-01-21", RECEIVED, failed("2020-01-20"), house=house))
    assert "nothing found" in said(of("claim", "2020-01-21", RECEIVED, failed("2020-01-21"), house=house))


def test_43_percent_is_not_under_43() -> None:
    assert of("regauge", "2022-06-01", *FULL, gauged("2021-02-01", 43.0)).verdict == "ok"


ONE_SIGN = due_house(retire={"points": 1})


@pytest.mark.parametrize(("made", "turn"), [("1970-05-01", "2020-05-01"), ("1970", "2020-07-01"), ("1970-02-28", "2020-02-28")])
def test_fifty_years_old_is_a_sign_on_the_day(made: str, turn: str) -> None:
    found = [of("retire", day, *SOUND, house=ONE_SIGN, made=int(made) if made.isdigit() else made, charred=2011).verdict for day in around(turn)]
    assert found == ["ok", "due", "due"]


@pytest.mark.parametrize(("staves", "count", "word"), [(30, 9, "ok"), (30, 10, "due"), (31, 10, "ok"), (31, 11, "due")])
def test_a_third_of_the_staves_is_a_sign(staves: int, count: int, word: str) -> None:
    work = [ev("2020-02-01", "open", heads=["A"]), ev("2020-02-02", "stave", staves=list(range(1, count + 1)), action="replace", from_="new")]
    assert of("retire", "2020-02-03", *SOUND, *work, house=ONE_SIGN, staves=staves).verdict == word


@pytest.mark.parametrize(("count", "word"), [(14, "ok"), (15, "due")])
def test_just_the_share_that_the_house_says_is_a_sign(count: int, word: str) -> None:
    work = [ev("2020-02-01", "open", heads=["A"]), ev("2020-02-02", "stave", staves=list(range(1, count + 1)), action="replace", from_="new")]
    house = due_house(retire={"points": 1, "replaced_share": 0.5})
    assert of("retire", "2020-02-03", *SOUND, *work, house=house, staves=30).verdict == word


def test_the_same_stave_replaced_twice_counts_once() -> None:
    work = [ev("2020-02-01", "open", heads=["A"])]
    work += [ev("2020-02-02", "stave", staves=list(range(1, 6)), action="replace", from_="new") for _ in range(2)]
    assert of("retire", "2020-02-03", *SOUND, *work, house=ONE_SIGN, staves=30).verdict == "ok"


def test_a_replaced_stave_leaves_the_window_the_day_after_ten_years() -> None:
    work = [ev("2020-02-01", "open", heads=["A"]), ev("2020-02-02", "stave", staves=list(range(1, 11)), action="replace", from_="new")]
    found = [of("retire", day, *SOUND, *work, house=ONE_SIGN, staves=30).verdict for day in around("2030-02-03")]
    assert found == ["due", "ok", "ok"]


@pytest.mark.parametrize(("soaked", "word"), [(0.49, "ok"), (0.5, "ok"), (0.51, "due")])
def test_soaked_beyond_half_is_a_sign_and_half_is_none(soaked: float, word: str) -> None:
    assert of("retire", "2020-02-01", RECEIVED, examined("2020-01-10", soaked=soaked)).verdict == word


@pytest.mark.parametrize(("thick", "word"), [(18.1, "ok"), (18, "ok"), (17.9, "due")])
def test_staves_at_the_floor_are_not_under_it(thick: float, word: str) -> None:
    assert of("retire", "2020-02-01", RECEIVED, examined("2020-01-10", stave_mm=thick), made=2010).verdict == word


@pytest.mark.parametrize(("fails", "word"), [(2, "ok"), (3, "due")])
def test_three_fails_in_one_visit_are_a_sign(fails: int, word: str) -> None:
    assert of("retire", "2020-02-01", *SOUND, *[failed("2020-01-12") for _ in range(fails)], house=ONE_SIGN).verdict == word


@pytest.mark.parametrize(("visits", "word"), [(2, "ok"), (3, "due")])
def test_fails_in_three_visits_running_are_a_sign(visits: int, word: str) -> None:
    events = [RECEIVED]
    for year in range(2021, 2021 + visits):
        events += [failed(f"{year}-01-12"), passed(f"{year}-01-13"), filled(f"{year}-02-01"), emptied(f"{year}-11-01")]
    assert of("retire", "2024-12-01", *events, house=ONE_SIGN).verdict == word
    # A visit without a fail between them breaks the row.
    gap = [events[0], *events[1:5], passed("2021-12-01"), filled("2021-12-10"), emptied("2021-12-20"), *events[5:]]
    assert of("retire", "2024-12-01", *gap, house=ONE_SIGN).verdict == "ok"


def state(day: str, *events: dict[str, Any], **more: Any) -> str | None:
    return facts_on(day, *events, **more).state


def test_the_fitness_turns_the_day_after_the_last_good_one() -> None:
    assert [state(day, *SOUND) for day in around("2020-02-09")] == ["ready", "ready", "unexamined"]
    # The pass of 21 January counts as an examination of its day: to 20 February. Then examined again, it is good to 21 March.
    assert [state(day, *WORKED) for day in around("2020-02-20")] == ["ready", "ready", "unexamined"]
    again = [*WORKED, examined("2020-03-10")]
    assert [state(day, *again) for day in around("2020-03-21")] == ["ready", "ready", "untested"]


def test_a_house_that_tests_every_cask_wants_a_pass_not_older_than_sixty_days() -> None:
    assert state("2020-01-12", *SOUND, house=TESTS_ALL) == "untested"
    events = [*SOUND, passed("2020-01-12"), examined("2020-03-05")]
    assert [state(day, *events, house=TESTS_ALL) for day in around("2020-03-12")] == ["ready", "ready", "untested"]


def test_a_pass_before_the_examination_is_no_later_look() -> None:
    events = [RECEIVED, passed("2020-01-09"), examined("2020-01-10")]
    assert [state(day, *events) for day in around("2020-02-09")] == ["ready", "ready", "unexamined"]
    facts = facts_on("2020-02-10", RECEIVED, examined("2020-01-10"), passed("2020-01-11"))
    assert facts.examined and facts.state == "ready"


def test_a_repair_is_proved_only_by_a_pass_after_its_last_answer() -> None:
    finding = [{"at": "stave-3", "defect": "cracked", "severity": 2}]
    repair = examined("2020-01-10", verdict="repair", findings=finding)
    answer = ev("2020-01-12", "note", note="glued by hand", answers=["e0000002/stave-3"])
    assert state("2020-01-13", RECEIVED, repair) == "repair"
    assert state("2020-01-13", RECEIVED, repair, answer) == "untested"
    assert state("2020-01-13", RECEIVED, repair, passed("2020-01-11"), answer) == "untested"
    assert state("2020-01-13", RECEIVED, repair, answer, passed("2020-01-12")) == "ready"


def test_what_is_dated_the_day_itself_has_happened() -> None:
    assert [state(day, *FULL) for day in around("2020-01-15")] == ["ready", "filled", "filled"]


@pytest.mark.parametrize(("days", "since_char"), [(9, 2), (10, 2), (11, 1)])
def test_a_fill_of_just_the_houses_days_is_not_short(days: int, since_char: int) -> None:
    house = House({"crew": [{"initials": "ab"}], "short_fill_days": days})
    assert facts_on("2020-02-01", *FULL, emptied("2020-01-25"), house=house).fills_since_char == since_char
