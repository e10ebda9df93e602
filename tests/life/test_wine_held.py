"""Whether a cask ever held wine: true, false or unknown, by its head, its own entries and what it inherits; and what nosing makes of it."""

from __future__ import annotations

from datetime import date
from itertools import product
from typing import Any

import pytest
from casks import HOUSE, cask_data, cask_of, ev, facts_on, life_on
from due.judged import examined, filled, nosed, of, passed, said

from caskbook.checks.law import _held_from
from caskbook.ledger.lineage import held_by, inherited_from
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import read_cask
from caskbook.model.house import House

RECEIVED = ev("2020-01-10", "receive", verdict="accept")
WINE: dict[str, Any] = {"prior": [{"contents": "oloroso", "fills": 1}]}
SPIRIT: dict[str, Any] = {"prior": [{"contents": "bourbon", "fills": 1}]}
VIRGIN: dict[str, Any] = {"prior": []}
UNKNOWN: dict[str, Any] = {"prior": "absent"}
SOME_UNKNOWN: dict[str, Any] = {"prior": [{"contents": "bourbon", "fills": 1}, {"contents": "unknown", "fills": 1}]}
FILLED_ONCE = [filled("2020-02-01"), ev("2021-02-01", "empty", litres=150.0, abv=58.0)]
SEASONED = ev("2020-02-01", "season", wine="oloroso", litres=190)


RACKED_WINE = ev("2020-02-01", "rack-in", from_=[{"cask": "TH-000012", "litres": 180.0, "abv": 18.0}], spirit="oloroso", oak_since="unknown", at_20=True)


def test_wine_racked_in_is_wine_as_in_the_cask_that_it_came_from() -> None:
    """It is a fill, as a receipt full of wine is, and none of spirit; seasoning is no time in wood; and the house's own words are wine."""
    house = House({**HOUSE.raw, "wine_words": ["cider"]})
    for word in ("oloroso", "cider"):
        racked = {**RACKED_WINE, "spirit": word}
        facts = facts_on("2020-06-01", RECEIVED, racked, house=house, **SPIRIT)
        assert (facts.contents, facts.state, facts.spirit, facts.fills) == ("wine", "seasoning", word, 1)
        assert (facts.fills_of_class, facts.years_in_wood, facts.wine_held, facts.age_years) == (0, 0, True, None)
        emptied = ev("2020-07-01", "empty", litres=170.0, abv=18.0, at_20=True)
        life = life_on("2020-07-03", RECEIVED, examined("2020-01-20"), racked, emptied, examined("2020-07-02"), house=house, **SPIRIT)
        assert facts_of(life).state == "unexamined" and not life.faults, life.faults
        assert of("nose", "2020-07-03", RECEIVED, racked, emptied, house=house, **SPIRIT).verdict == "due"


def made(inherited: dict[str, Any] | None = None, *parents: dict[str, str]) -> dict[str, Any]:
    given = {} if inherited is None else {"inherited": inherited}
    return ev("2020-01-10", "made-from", parents=list(parents) or [{"cask": "TH-000012"}], **given)


@pytest.mark.parametrize(
    ("head", "events", "wine"),
    [
        (WINE, [RECEIVED], True),
        (SPIRIT, [RECEIVED], False),
        (VIRGIN, [RECEIVED], False),
        (UNKNOWN, [RECEIVED], None),
        (SOME_UNKNOWN, [RECEIVED], None),
        ({"prior": [*SOME_UNKNOWN["prior"], *WINE["prior"]]}, [RECEIVED], True),
        (UNKNOWN, [RECEIVED, *FILLED_ONCE], None),
        (UNKNOWN, [RECEIVED, nosed("2020-01-11", "clean")], None),
        (UNKNOWN, [RECEIVED, SEASONED], True),
        (UNKNOWN, [ev("2020-01-10", "receive", verdict="accept", contents="wine", litres=190, abv=17)], True),
        (SPIRIT, [RECEIVED, RACKED_WINE], True),
        (UNKNOWN, [ev("2020-01-10", "raise", staves=31)], None),
        (UNKNOWN, [made()], None),
        (UNKNOWN, [made({})], None),
        (UNKNOWN, [made({"held": "unknown"})], None),
        (UNKNOWN, [made({"held": "wine"})], True),
        (UNKNOWN, [made({"held": "spirit"})], False),
        (UNKNOWN, [made({"held": "none"})], False),
        (UNKNOWN, [made(), *FILLED_ONCE], None),
        (UNKNOWN, [made(), SEASONED], True),
        (WINE, [made()], True),
        (WINE, [made({"held": "spirit"})], True),
        (SPIRIT, [made()], None),
    ],
)
def test_wine_is_true_false_or_unknown(head: dict[str, Any], events: list[dict[str, Any]], wine: bool | None) -> None:
    assert facts_on("2021-06-01", *events, **head).wine_held is wine


@pytest.mark.parametrize("spoiled", [{"contents": 7}, {"contents": "spirit", "spirit": 7}])
def test_a_receipt_that_cannot_be_read_may_have_brought_wine(spoiled: dict[str, Any]) -> None:
    for prior, wine in ((SPIRIT["prior"], None), (WINE["prior"], True)):
        cask, faults = read_cask(cask_data({**RECEIVED, **spoiled, "litres": 190, "abv": 60}, prior=prior))
        assert cask is not None and faults
        assert facts_of(live(cask, HOUSE, date(2020, 2, 1))).wine_held is wine


@pytest.mark.parametrize(
    ("inherited", "found"),
    [({"held": "unknown", "fills_life_min": 1}, True), ({"held": "spirit"}, True), ({"held": "unknown"}, False), ({"held": "none"}, False)],
)
def test_new_oak_is_none_of_a_parent_with_a_fill(inherited: dict[str, Any], found: bool) -> None:
    event = cask_of(made(inherited), **UNKNOWN).events[0]
    assert bool(_held_from(event)) is found


PARENTS = {
    "wine": life_on("2024-01-01", RECEIVED, **WINE),
    "seasoned": life_on("2024-01-01", RECEIVED, SEASONED, **UNKNOWN),
    "spirit": life_on("2024-01-01", RECEIVED, *FILLED_ONCE, **SPIRIT),
    "unused": life_on("2024-01-01", RECEIVED, **VIRGIN),
    "unknown": life_on("2024-01-01", RECEIVED, **UNKNOWN),
    "unknown, spirit here": life_on("2024-01-01", RECEIVED, *FILLED_ONCE, **UNKNOWN),
    "partly unknown": life_on("2024-01-01", RECEIVED, **SOME_UNKNOWN),
    "child of wine": life_on("2024-01-01", made({"held": "wine"}), **UNKNOWN),
    "child of spirit": life_on("2024-01-01", made({"held": "spirit"}), **UNKNOWN),
    "child of nobody": life_on("2024-01-01", made(), **UNKNOWN),
}
OF_PARENTS = dict(zip(PARENTS, ("wine", "wine", "spirit", "none", *["unknown"] * 3, "wine", "spirit", "unknown"), strict=True))


@pytest.mark.parametrize("name", PARENTS)
def test_what_a_parent_hands_on(name: str) -> None:
    assert held_by(PARENTS[name]) == OF_PARENTS[name]


@pytest.mark.parametrize(("one", "other"), [*product(PARENTS, repeat=2)])
def test_a_child_knows_of_wine_what_all_its_parents_know(one: str, other: str) -> None:
    """Law: true where any parent held wine, false where none did, else unknown; never more than the parents know."""
    for parents, unnumbered in (([PARENTS[one], PARENTS[other]], False), ([PARENTS[one]], True)):
        figures = inherited_from(parents, unnumbered)
        own = {life.state.wine_held for life in parents} | ({None} if unnumbered else set())
        expected = True if True in own else None if None in own else False
        child = facts_on("2024-01-02", made({key: value for key, value in figures.items() if value is not None}), **UNKNOWN)
        assert child.wine_held is expected


def test_the_first_char_of_a_child_is_a_rechar_where_liquor_is_known_and_wine_is_not() -> None:
    figures = inherited_from([PARENTS["unknown, spirit here"]], unnumbered=False)
    assert (figures["held"], figures["fills_life_min"], figures["rechar_count"]) == ("unknown", 1, 0)
    charred = [ev("2020-01-11", "open", heads=["A", "B"]), ev("2020-01-11", "char", level=3)]
    given = {"held": "unknown", "fills_life_min": 1, "rechar_count": 0}
    assert facts_on("2020-01-12", made(given), *charred, **UNKNOWN).rechar_count == 1
    assert facts_on("2020-01-12", made({"held": "unknown", "rechar_count": 0}), *charred, **UNKNOWN).rechar_count is None


def test_nosing_is_unknown_where_nobody_knows_of_wine() -> None:
    came = of("nose", "2020-01-12", RECEIVED, **UNKNOWN)
    assert (came.verdict, said(came)) == ("unknown", "what it held before us is not known: wine is nosed before anything else")
    child = of("nose", "2020-01-12", made(None, {"cask": "TH-000012"}, {"cask": "TH-000013"}), **UNKNOWN)
    assert child.verdict == "unknown"
    assert said(child) == "made from TH-000012 and TH-000013, whether they held wine is not told here: look there"
    unnumbered = of("nose", "2020-01-12", made(None, {"unnumbered": "old butts"}), **UNKNOWN)
    assert said(unnumbered) == "made from casks without a number, whether they held wine is not known: wine is nosed before anything else"
    assert said(of("nose", "2020-01-12", RECEIVED, **SPIRIT)) == "held no wine, and no fault of nose known"


def test_a_clean_nose_answers_until_the_next_emptying() -> None:
    clean = [RECEIVED, nosed("2020-01-11", "clean"), examined("2020-01-11")]
    assert of("nose", "2020-01-12", *clean, **UNKNOWN).verdict == "ok"
    full = of("nose", "2020-03-01", *clean, filled("2020-02-01"), **UNKNOWN)
    assert (full.verdict, said(full)) == ("ok", "filled")
    assert of("nose", "2021-03-01", *clean, *FILLED_ONCE, **UNKNOWN).verdict == "unknown"
    assert of("nose", "2021-03-01", *clean, ev("2020-01-12", "sulphur", grams=5, why="to keep it"), **UNKNOWN).verdict == "due"


def test_fitness_wants_a_nose_where_wine_is_known_and_is_unknown_where_nobody_knows() -> None:
    """The contract: a wine-held or sulphured cask also wants a clean nose; of which nobody knows that, nobody knows whether it is fit."""
    done = [examined("2020-01-11"), passed("2020-01-12")]
    for given, fitness in (({"held": "wine"}, "unexamined"), (None, None), ({"held": "spirit"}, "ready")):
        assert facts_on("2020-01-12", made(given), *done, **UNKNOWN).fitness == fitness
