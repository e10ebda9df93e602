"""The signs that a cask is spent or worn: each limit just inside and just outside of it, since when, and what is not known of them."""

from __future__ import annotations

from typing import Any

import pytest
from casks import HOUSE, ev, life_on

from caskbook.due.case import case_of
from caskbook.due.retire import signs_of
from caskbook.due.retire_words import NO_SIGN, ToldSigns, read_reasons, summed
from caskbook.life.facts import facts_of
from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, emptied, examined, failed, filled, fills, of, passed, said

CAME = ev("2000-01-10", "receive", verdict="accept")
ONE = due_house(retire={"points": 1})
YOUNG: dict[str, Any] = {"made": 1999, "charred": 1999}


def charred(day: str, *more: dict[str, Any]) -> list[dict[str, Any]]:
    return [ev(day, "open", heads=["A"]), *more, ev(day, "char", level=3), ev(day, "close", heads=["A"])]


def mended(day: str, job: str = "stave", **fields: Any) -> list[dict[str, Any]]:
    work = {"staves": [7], "action": "rejoint"} if job == "stave" else {}
    return [ev(day, "open", heads=["A"]), ev(day, job, **{**work, **fields}), ev(day, "close", heads=["A"])]


TWICE = [CAME, *charred("2001-02-01"), *charred("2002-02-01")]


@pytest.mark.parametrize(("since", "word"), [(1, "ok"), (2, "due 2004-10-01"), (3, "due 2005-10-01")])
def test_twice_recharred_and_filled_as_often_as_the_house_does_is_spent(since: int, word: str) -> None:
    verdict = of("retire", "2010-01-01", *TWICE, *fills(*range(2003, 2003 + since)), house=ONE, **YOUNG)
    assert day_of(verdict) == word
    if since == 2:
        told = "spent: 2 fills since char on 2002-02-01, house limit 2; not to be charred again: re-charred twice already, house limit 2"
        assert verdict.reasons[0] == told


def test_what_is_charred_no_more_is_told_where_its_options_are() -> None:
    spent = of("rechar", "2010-01-01", *TWICE, *fills(2003, 2004), **YOUNG)
    assert (spent.verdict, spent.reasons[-1]) == ("blocked", "what else can be done with it: caskbook report retirement TH-004217")
    grave = [CAME, *fills(2003, 2004, 2005, 2006), examined("2007-01-01", verdict="repair", findings=[{"at": "stave-3", "defect": "cracked", "severity": 3}])]
    mended = of("rechar", "2010-01-01", *grave, **YOUNG)
    assert mended.verdict == "blocked" and "what else" not in said(mended)


def test_once_recharred_may_be_charred_again() -> None:
    once = [CAME, *charred("2001-02-01"), *fills(2003, 2004, 2005)]
    assert of("retire", "2010-01-01", *once, house=ONE, **YOUNG).verdict == "ok"
    barred = due_house(retire={"points": 1}, rechar={"most_rechars": 1})
    assert day_of(of("retire", "2010-01-01", *once, house=barred, **YOUNG)) == "due 2005-10-01"  # since it was emptied


def test_spent_over_moves_the_limit() -> None:
    over = due_house(retire={"points": 1, "spent_over": 1})
    assert of("retire", "2010-01-01", *TWICE, *fills(2003, 2004), house=over, **YOUNG).verdict == "ok"
    verdict = of("retire", "2010-01-01", *TWICE, *fills(2003, 2004, 2005), house=over, **YOUNG)
    assert (day_of(verdict), "3 fills since char on 2002-02-01, house limit 3" in verdict.reasons[0]) == ("due 2005-10-01", True)


def test_it_is_spent_since_the_fill_that_reached_the_limit() -> None:
    full = [*TWICE, *fills(2003), filled("2004-03-01")]
    assert of("retire", "2010-01-01", *full, house=ONE, **YOUNG).verdict == "at-emptying"
    longer = [*full, emptied("2004-10-01"), *fills(2005, 2006)]
    assert shown(longer, **YOUNG) == ["2004-03-01"]
    came_so = {**YOUNG, "charred": 1990, "prior": [{"contents": "bourbon", "fills": 3}]}
    house = due_house(rechar={"most_rechars": 0, "due_at": 3})
    assert shown([CAME, *fills(2005)], house, **came_so) == ["2000-01-10"], "it came with its fills"
    measured = [CAME, *fills(2003, 2004, 2005, 2006), ev("2007-01-01", "measure", stave_mm=17)]
    assert shown(measured, **YOUNG) == ["2007-01-01"], "until then it could have been charred again"


def shown(life: list[dict[str, Any]], house: House = ONE, **head: Any) -> list[str]:
    """The days on which the signs that are points showed."""
    found = life_on("2010-01-01", *life, house=house, **head)
    return [str(day) for day, _ in signs_of(case_of(found, facts_of(found))).points]


def test_what_is_too_thin_is_charred_no_more_either() -> None:
    thin = [CAME, *charred("2001-02-01"), *fills(2003, 2004), ev("2006-02-01", "measure", stave_mm=17.5)]
    verdict = of("retire", "2010-01-01", *thin, **YOUNG)
    assert verdict.reasons[:2] == (
        "staves 17.5 mm on 2006-02-01, under the floor of 18",
        "spent: 2 fills since char on 2001-02-01, house limit 2; not to be charred again: staves 17.5 mm, under the floor of 18",
    )
    assert verdict.reasons[2].startswith("2 signs, 1 of them enough alone; house proposes")


def test_spent_and_the_fills_of_a_life_are_one_sign() -> None:
    long = [*TWICE, *fills(2003, 2004, 2005, 2006, 2007)]
    verdict = of("retire", "2010-01-01", *long, **YOUNG)
    assert (verdict.verdict, verdict.reasons[-1]) == ("ok", "1 sign; house proposes retirement at 2")
    assert verdict.reasons[0].startswith("spent: 5 fills") and verdict.reasons[0].endswith("; 6 fills in its life, after 2 re-chars; house limit 6")


@pytest.mark.parametrize("head", [{"type": "butt", "capacity_l": 500}, {"prior": [{"contents": "oloroso", "fills": 1}]}])
def test_what_is_not_charred_is_never_spent(head: dict[str, Any]) -> None:
    assert of("retire", "2010-01-01", *TWICE, *fills(2003, 2004), house=ONE, **YOUNG, **head).verdict == "ok"
    floor = House({**HOUSE.raw, "types": {"butt": {"stave_floor_mm": 18}}})
    thin = of("retire", "2010-01-01", *TWICE, *fills(2003, 2004), ev("2006-02-01", "measure", stave_mm=17.5), house=floor, **YOUNG, **head)
    assert "spent" not in said(thin) and thin.verdict == "due"


def test_a_house_without_the_rule_rechar_says_nothing_of_it() -> None:
    house = due_house(retire={"points": 1}, rechar={"off": True})
    assert of("retire", "2010-01-01", *TWICE, *fills(2003, 2004), house=house, **YOUNG).verdict == "ok"


def test_rechars_that_nobody_counted_may_have_spent_it() -> None:
    thin = ev("2000-02-01", "measure", stave_mm=18.5)
    unknown = {"made": 1999, "charred": "unknown", "prior": "absent"}
    verdict = of("retire", "2010-01-01", CAME, thin, *charred("2001-02-01"), *fills(2003, 2004), **unknown)
    assert verdict.verdict == "unknown" and "fills in its life or re-chars not known" in said(verdict)
    # Its parents' fills are few, and how many of them came after their last char nobody knows: it may have been filled often enough.
    inherited = {"fills_life": 4, "fills_life_min": 4, "fills_of_class": 4, "char_count": 3, "rechar_count": 2, "held": "spirit"}
    built = ev("2000-01-10", "made-from", parents=[{"cask": "TH-004001", "staves": 30}], inherited=inherited)
    verdict = of("retire", "2010-01-01", built, thin, made=1999, charred="absent", prior="absent")
    assert verdict.verdict == "unknown"
    assert verdict.reasons[1] == "whether it is spent is not known: at least 0 fills since char, and at least 2 re-chars"
    few = of("retire", "2010-01-01", {**built, "inherited": {**inherited, "fills_life": 1}}, thin, made=1999, charred="absent", prior="absent")
    assert few.verdict == "ok", "one fill is not enough, whenever it was"


@pytest.mark.parametrize(("mm", "word"), [(19, "ok"), (18.9, "due"), (18, "due"), (17.9, "due")])
def test_staves_hardly_over_the_floor_are_worn(mm: float, word: str) -> None:
    verdict = of("retire", "2010-01-01", CAME, examined("2001-02-01", stave_mm=mm), house=ONE, **YOUNG)
    assert verdict.verdict == word
    told = f"worn: staves {mm} mm on 2001-02-01, less than 1 mm over the floor of 18"
    assert (told in verdict.reasons) == (18 <= mm < 19)


def test_worn_by_thickness_hangs_on_the_type_and_the_house() -> None:
    thin = [CAME, examined("2001-02-01", stave_mm=20)]
    assert of("retire", "2010-01-01", *thin, house=due_house(retire={"points": 1, "worn_margin_mm": 2.5}), **YOUNG).verdict == "due"
    butt = {"type": "butt", "capacity_l": 500, **YOUNG}
    assert of("retire", "2010-01-01", *thin, house=ONE, **butt).verdict == "ok", "a butt has no floor unless the house sets one"
    floor = House({**ONE.raw, "types": {"butt": {"stave_floor_mm": 19.5}}})
    assert of("retire", "2010-01-01", *thin, house=floor, **butt).verdict == "due"


@pytest.mark.parametrize(("visits", "word"), [(2, "ok"), (3, "due 2005-10-01")])
def test_one_place_mended_in_three_visits_is_worn(visits: int, word: str) -> None:
    life = [event for year in range(2003, 2003 + visits) for event in (*mended(f"{year}-02-01"), *fills(year))]
    verdict = of("retire", "2010-01-01", CAME, *life, house=ONE, **YOUNG)
    assert day_of(verdict) == word
    if visits == 3:
        assert verdict.reasons[0] == "worn: stave-7 mended in 3 visits to the bench, 2003-02-01 to 2005-02-01; house limit 3"


def test_mended_again_and_again_in_one_visit_is_one() -> None:
    work = [event for day in ("2003-02-01", "2003-02-02", "2003-02-03", "2003-02-04") for event in mended(day)]
    assert of("retire", "2010-01-01", CAME, *work, house=ONE, **YOUNG).verdict == "ok"


@pytest.mark.parametrize(
    ("job", "fields", "place"),
    [
        ("stave", {"staves": ["7b"], "action": "replace", "from_": "new"}, "stave-7"),
        ("head", {"head": "B", "action": "redowel"}, "head-B"),
        ("flag", {"at": ["joint-3"]}, "joint-3"),
        ("bung", {"action": "bush"}, "bung"),
        ("bung", {"action": "replace"}, None),
        ("hoop", {"hoops": ["A-1"], "from_": "new"}, None),
        ("peg", {"at": "stave-9", "kind": "spile"}, None),
    ],
)
def test_what_counts_as_mending_a_place(job: str, fields: dict[str, Any], place: str | None) -> None:
    life: list[dict[str, Any]] = []
    for year in (2003, 2004, 2005):
        work = [ev(f"{year}-02-01", job, **fields)] if job == "peg" else mended(f"{year}-02-01", job, **fields)
        life += [*work, passed(f"{year}-02-02"), *fills(year)]
    verdict = of("retire", "2010-01-01", CAME, *life, house=ONE, **YOUNG)
    assert verdict.verdict == ("due" if place else "ok")
    assert place is None or verdict.reasons[0].startswith(f"worn: {place} mended in 3 visits")


def test_thin_and_mended_again_are_one_sign() -> None:
    life = [event for year in (2003, 2004, 2005) for event in (*mended(f"{year}-02-01"), *fills(year))]
    verdict = of("retire", "2010-01-01", CAME, *life, examined("2006-01-01", stave_mm=18.5), **YOUNG)
    assert (verdict.verdict, verdict.reasons[-1]) == ("ok", "1 sign; house proposes retirement at 2")
    assert verdict.reasons[0].count(";") == 2


def test_spent_and_worn_are_enough() -> None:
    both = [*TWICE, *fills(2003, 2004), examined("2006-01-01", stave_mm=18.5)]
    verdict = of("retire", "2010-01-01", *both, **YOUNG)
    assert day_of(verdict) == "due 2006-01-01"
    assert verdict.reasons[-1] == "2 signs; house proposes retirement at 2; a person signs: caskbook report retirement TH-004217"
    assert of("rechar", "2010-01-01", *both, **YOUNG).verdict == "blocked"


@pytest.mark.parametrize(("staves", "word"), [(14, "ok"), (15, "due")])
def test_half_of_the_staves_replaced_in_its_life_are_a_sign_that_stays(staves: int, word: str) -> None:
    by_twos = [ev(f"{2001 + 3 * (n // 5)}-02-01", "stave", staves=[n + 1], action="replace", from_="new") for n in range(staves)]
    work = [ev("2000-02-01", "open", heads=["A"]), *by_twos]
    verdict = of("retire", "2030-01-01", CAME, *work, house=ONE, staves=30, **YOUNG)
    assert verdict.verdict == word
    if word == "due":
        assert verdict.reasons[0] == "15 of 30 staves replaced; house limit 50%" and str(verdict.since) == "2007-02-01"


def test_within_ten_years_and_in_its_life_are_one_sign() -> None:
    work = [ev("2020-02-01", "open", heads=["A"]), ev("2020-02-01", "stave", staves=list(range(1, 16)), action="replace", from_="new")]
    verdict = of("retire", "2021-01-01", RECEIVED, *work, staves=30, **YOUNG)
    assert (verdict.verdict, verdict.reasons) == ("ok", ("15 of 30 staves replaced within 10 years; house limit 33%", "1 sign; house proposes retirement at 2"))
    assert str(verdict.changes_on) == "2030-02-02"
    later = of("retire", "2030-02-02", RECEIVED, *work, staves=30, **YOUNG)
    assert later.reasons[0] == "15 of 30 staves replaced; house limit 50%"


def test_a_cask_that_was_kept_is_looked_at_again_when_a_place_is_mended() -> None:
    worn = [CAME, examined("2001-02-01", stave_mm=18.5), decided("2001-02-02", "retire")]
    assert of("retire", "2010-01-01", *worn, house=ONE, **YOUNG).verdict == "ok"
    assert of("retire", "2010-01-01", *worn, ev("2003-02-01", "flag", at=["joint-3"]), house=ONE, **YOUNG).verdict == "due"
    assert of("retire", "2010-01-01", *worn, *fills(2003), house=ONE, **YOUNG).verdict == "ok", "filling a cask that was kept is no sign"


def test_the_reasons_are_read_back_as_they_were_told() -> None:
    soaked = [RECEIVED, examined("2020-02-01", soaked=0.6)]
    cases = {
        "ok": of("retire", "2020-02-05", RECEIVED, made=2010),
        "due": of("retire", "2020-02-05", *soaked, made="1960"),
        "unknown": of("retire", "2020-07-01", RECEIVED, failed("2020-02-01"), failed("2020-02-02"), failed("2020-02-03")),
    }
    told = {name: read_reasons(verdict.reasons) for name, verdict in cases.items()}
    assert told["ok"] == ToldSigns((), 0, (), 2) and cases["ok"].reasons[0].startswith(NO_SIGN)
    assert told["due"] == ToldSigns(cases["due"].reasons[:2], 1, (), 2) and "soaked" in cases["due"].reasons[0]
    assert told["unknown"] == ToldSigns(cases["unknown"].reasons[:1], 0, cases["unknown"].reasons[1:-1], 2) and cases["unknown"].reasons[1:-1]
    assert read_reasons(("retired 2020-02-02",)) is None and read_reasons(()) is None
    assert [read_reasons((*"ab", summed(1, hard, 3), "cannot be read: x")) for hard in (0, 1)] == [
        ToldSigns(("a",), 0, ("b",), 3),
        ToldSigns(("a", "b"), 1, (), 3),
    ]
    assert read_reasons(("a", summed(0, 1, 2))) == ToldSigns(("a",), 1, (), 2)
