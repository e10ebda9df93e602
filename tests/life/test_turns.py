"""The turns of a life by month: by hand, against the facts of the same life, and up to a month as if nothing had come after."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from casks import cask_of, ev, life_on
from second.compare import read
from second.histories import HOUSES, history

from caskbook.core.days import UnknownDay
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.life.turn_walk import turns_of
from caskbook.life.turns import FILLED, GONE, RETIRED, STAYS, TIP, Turns, Wood, month_of
from caskbook.model.house import House

RECEIVED = ev("2015-01-10", "receive", verdict="accept")
FILL = {"spirit": "malt", "litres": 190, "abv": 63.5, "at_20": True, "berth": "R1"}
RETIRE = ev("2021-03-01", "retire", reasons=["spent"], approved_by="kd")
LEAK = ev("2016-03-01", "leak", at="joint-4", severity="weep")


def filled(day: str) -> dict[str, object]:
    return ev(day, "fill", **FILL)


def emptied(day: str) -> dict[str, object]:
    return ev(day, "empty", litres=150, abv=60, at_20=True)


def month(text: str) -> int:
    found = month_of(date.fromisoformat(f"{text}-01"))
    assert found is not None
    return found


def told(*events: dict[str, object], day: str = "2022-01-31", **head: object) -> Turns:
    found = turns_of(life_on(day, *events, **head))
    assert found is not None
    return found


TWO_FILLS = (RECEIVED, filled("2015-02-01"), emptied("2018-01-05"), ev("2018-03-01", "char", level=3), filled("2018-05-01"), emptied("2021-01-01"))


def test_the_lines_of_a_life_by_hand() -> None:
    lines = list(told(*TWO_FILLS).lines())
    came, first, tip, again, second, last = (month(text) for text in ("2015-01", "2015-02", "2018-01", "2018-05", "2021-01", "2021-01"))
    assert lines == [
        f"A|barrel|{came}|0|1|0|0|",
        f"F|barrel|{first}|{tip}|{TIP}|malt",
        f"N|barrel|{tip}|2|0|0|1",  # One fill before us and one here; charred before it was filled again.
        f"F|barrel|{again}|{second}|{TIP}|malt",
        f"N|barrel|{last}|1|1|0|-",  # One fill since what is a re-char now; it stands empty still.
        f"E|barrel|{came}|{first}|{FILLED}",
        f"E|barrel|{tip}|{again}|{FILLED}",
        f"E|barrel|{second}|-|{STAYS}",
        f"Q|barrel|{second}|1|1|0|malt",
    ]


def test_a_full_cask_stands_and_a_charred_one_has_all_its_fills_before_it() -> None:
    assert f"O|barrel|{month('2018-05')}|1|1|0|malt" in told(*TWO_FILLS[:5]).lines()
    assert f"Q|barrel|{month('2018-01')}|0|1|0|malt" in told(*TWO_FILLS[:4]).lines()


def test_fills_since_char_that_nobody_knows_are_none_and_a_wine_cask_is_one() -> None:
    assert f"O|barrel|{month('2015-02')}|?|0|0|malt" in told(RECEIVED, filled("2015-02-01"), charred="unknown").lines()
    wine = told(RECEIVED, filled("2015-02-01"), type="butt", capacity_l=500, prior=[{"contents": "oloroso", "fills": 1}], charred="never")
    assert wine.wood.wine


def test_a_short_fill_does_not_count_once_it_is_over() -> None:
    short = told(RECEIVED, filled("2015-02-01"), emptied("2015-02-03"), house=House({"short_fill_days": 30}))
    assert short.fills[0].wood == Wood(1, False, False) == short.wood
    assert short.up_to(month("2015-01")) == told(RECEIVED)


def test_a_cask_that_came_full_has_not_stood_empty_before() -> None:
    full = ev("2015-01-10", "receive", verdict="accept", contents="malt", litres=190, abv=60, at_20=True)
    lines = list(told(full, emptied("2018-01-05")).lines())
    assert f"A|barrel|{month('2015-01')}|1|1|0|0|malt" in lines
    assert [line for line in lines if line.startswith("E")] == [f"E|barrel|{month('2018-01')}|-|{STAYS}"]


def test_wine_that_it_is_seasoned_with_counts_from_then_on() -> None:
    seasoned = told(*TWO_FILLS, ev("2021-02-01", "season", wine="oloroso", litres=180))
    assert seasoned.wood.wine and not seasoned.fills[-1].wood.wine  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("closing", "closed"),
    [
        (ev("2016-05-01", "look", seen="dry"), "2016-05"),
        (ev("2016-05-01", "look", seen="dry", at="joint-4"), "2016-05"),
        (ev("2016-05-01", "look", seen="dry", of="e0000003"), "2016-05"),
        (ev("2016-05-01", "look", seen="drip"), None),
        (ev("2016-05-01", "peg", at="joint-4", kind="spile"), "2016-05"),
        (ev("2016-05-01", "drive", hoops=["A-1"], closes="e0000003"), "2016-05"),
        (emptied("2016-06-02"), "2016-06"),
        (ev("2016-07-02", "dispose", how="sold"), "2016-07"),
    ],
)  # fmt: skip
def test_a_leak_is_open_until_it_is_dry_stopped_or_out_of_the_cask(closing: dict[str, object], closed: str | None) -> None:
    turns = told(RECEIVED, filled("2015-02-01"), LEAK, closing)
    assert turns.leaks == ((month("2016-03"), None if closed is None else month(closed)),)


def test_a_dry_look_at_one_place_closes_the_leak_there_alone() -> None:
    other = ev("2016-04-01", "leak", at="joint-9", severity="weep")
    turns = told(RECEIVED, filled("2015-02-01"), LEAK, other, ev("2016-05-01", "look", seen="dry", at="joint-4"))
    assert turns.leaks == ((month("2016-03"), month("2016-05")), (month("2016-04"), None))


def test_wine_racked_onto_spirit_makes_it_a_wine_cask_from_then_on() -> None:
    racked = ev("2016-05-01", "rack-in", spirit="oloroso", oak_since="unknown", from_=[{"cask": "TH-000001", "litres": 20, "abv": 18}])
    turns = told(RECEIVED, filled("2015-02-01"), racked)
    assert turns.wood.wine and not turns.woods[-2][1].wine and turns.woods[-1][0] == month("2016-05")


def test_examinations_and_tests_belong_to_the_visit_that_they_are_made_in() -> None:
    turns = told(
        RECEIVED, ev("2015-01-12", "examine", verdict="sound"), filled("2015-02-01"), ev("2016-01-01", "test", result="pass", psi=3), emptied("2018-01-05"),
        ev("2018-04-01", "test", result="pass", psi=11),
    )  # fmt: skip
    assert [look[:3] for look in turns.looks] == [("examine", "a", 0), ("test", "o", 0), ("test", TIP, 3)]


def test_the_retired_and_the_gone_stand_empty_no_more() -> None:
    retired = told(*TWO_FILLS, RETIRE)
    assert retired.retired == month("2021-03") and f"E|barrel|{month('2021-01')}|{month('2021-03')}|{RETIRED}" in retired.lines()
    assert not any(line.startswith("Q|") for line in retired.lines())
    sold = told(*TWO_FILLS[:5], ev("2020-03-01", "dispose", how="sold"))
    assert sold.fills[-1].how == GONE and not any(line.startswith(("O|", "Q|")) for line in sold.lines())


def test_a_missing_cask_is_followed_no_further_until_it_is_found() -> None:
    missing = ev("2020-03-01", "missing")
    lost, found = told(*TWO_FILLS[:5], missing), told(*TWO_FILLS[:5], missing, ev("2020-04-01", "found"))
    assert f"F|barrel|{month('2018-05')}|{month('2020-03')}|{GONE}|malt" in lost.lines()
    assert f"F|barrel|{month('2018-05')}|-|{STAYS}|malt" in found.lines()


def test_a_life_that_has_not_begun_tells_nothing() -> None:
    assert turns_of(life_on("2014-01-01", *TWO_FILLS)) is None
    assert month_of(UnknownDay(2014, 1, 1)) is None


@pytest.mark.parametrize("last", ["2015-01", "2015-02", "2017-12", "2018-01", "2018-02", "2018-03", "2018-04", "2018-05", "2020-12", "2021-01"])
def test_up_to_a_month_is_what_was_told_at_its_end(last: str) -> None:
    events = (*TWO_FILLS[:2], LEAK, ev("2016-05-01", "look", seen="dry"), *TWO_FILLS[2:], RETIRE)
    then = turns_of(life_on(f"{last}-28", *events))
    assert told(*events).up_to(month(last)) == then


def test_before_it_came_there_was_nothing() -> None:
    assert told(*TWO_FILLS).up_to(month("2014-12")) is None


def test_wood_is_three_words() -> None:
    assert [str(Wood(3, None, True)), str(Wood(None, True, False))] == ["3|?|1", "?|1|0"]


def test_a_void_takes_its_entry_out() -> None:
    life = live(cask_of(*TWO_FILLS, {**ev("2021-02-01", "void", why="wrong cask"), "of": "e0000006"}), life_on("2022-01-31", RECEIVED).house, date(2022, 1, 31))
    turns = turns_of(life)
    assert turns is not None and turns.fills[-1].how == STAYS


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(60))
def test_any_history_agrees_with_its_facts_on_any_day(seed: int) -> None:
    dice = random.Random(seed)
    house = dice.choice(HOUSES)
    data = history(dice, "TH-004217", ["TH-004218", "TH-004219"], house, 40)
    cask, days = read(data), sorted({date.fromisoformat(str(event["date"])) for event in data["events"]})
    for day in dice.sample(days, min(4, len(days))):
        life = live(cask, House(house), day)
        turns, facts = turns_of(life), facts_of(life)
        if turns is None:
            assert not life.begun
            continue
        assert len([leak for leak in turns.leaks if leak[1] is None]) == (0 if facts.state == "gone" else len(life.state.leaks))
        assert len(turns.fills) == facts.fills and (turns.retired is not None) == ("retired" in facts.marks or any(e.job == "retire" for e in life.events))
        standing = [line.split("|") for line in turns.lines() if line[0] in "OQ"]
        assert len(standing) <= 1
        for word, kind, _, since, again, wine, *_ in standing:
            assert kind == facts.type and (facts.contents != "empty") >= (word == "O") and wine == str(int(bool(facts.wine_held)))
            assert since == ("?" if facts.fills_since_char is None else str(facts.fills_since_char)), (seed, day)
            known = facts.rechar_count  # Where the count is not known, one that was charred here after it had held liquor is a re-char all the same.
            assert again in ("1?" if known is None else str(int(known > 0)))


@pytest.mark.parametrize("seed", range(30))
def test_any_history_up_to_a_month_is_that_of_its_last_day(seed: int) -> None:
    dice = random.Random(seed)
    house = dice.choice(HOUSES)
    data = history(dice, "TH-004217", ["TH-004218", "TH-004219"], house, 40)
    cask = read(data)
    whole = turns_of(live(cask, House(house), date(2030, 1, 31)))
    assert whole is not None
    for _ in range(6):
        last = date.fromordinal(dice.randint(date(2012, 1, 1).toordinal(), date(2027, 1, 1).toordinal())).replace(day=28)
        end = date(last.year + last.month // 12, last.month % 12 + 1, 1) - timedelta(days=1)
        assert whole.up_to(month_of(end) or 0) == turns_of(live(cask, House(house), end))
