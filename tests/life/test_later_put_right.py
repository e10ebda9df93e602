"""What a file has of later days, put right or not, has no say in what is foreseen on an earlier day: not the entry, not its replacement; and what it names still does."""

from __future__ import annotations

import random
from datetime import date, timedelta
from typing import Any

import pytest
from casks import cask_data, ev
from second.compare import CREW, read
from second.histories import HOUSES, file_store, history
from second.later_entries import DATED, cut, put_right

from caskbook.due import judge
from caskbook.life import Life, live
from caskbook.life.facts import facts_of
from caskbook.life.later import stands_on
from caskbook.loss import PeerTable
from caskbook.model.house import House
from caskbook.work.coming import Files, known_on, tipped, turns


def due(life: Life) -> dict[str, tuple[Any, ...]]:
    """Rule → all that is said of it but the day on which there is an entry more."""
    said = judge(life, facts_of(life), peers=PeerTable({})) if life.begun else []
    return {one.rule: (one.verdict, one.since, one.well_past, one.severity, one.reasons, one.decided, one.turns_on) for one in said}


def ahead(files: Files, day: date) -> Any:
    """What a plan of a year makes of such files, each word of a rule on the first day on which it is so."""
    found: dict[str, list[tuple[str, date]]] = {}
    for turn in turns(files, day, day + timedelta(365)):
        for verdict in turn.verdicts:
            words = found.setdefault(verdict.rule, [])
            if not words or words[-1][0] != verdict.verdict:
                words.append((verdict.verdict, turn.day))
    return found


def foreseen(data: dict[str, Any], others: list[dict[str, Any]], house: House, day: date) -> dict[str, Any]:
    """All that is said of a day and of those behind it if nothing is entered, by name."""
    cask, joined = read(data), tuple(read(one) for one in others)
    life = live(cask, house, day, joined)
    files = known_on(Files(cask, joined, house, frozenset(one.id for one in joined)), day)
    tip = day + timedelta(40)
    empty = tipped(files, tip)
    later = stands_on(life, day + timedelta(500))
    return {
        "due": due(life), "plan": ahead(files, day), "tip": empty if isinstance(empty, str) else ahead(empty, tip),
        "later": (facts_of(later), due(later)), "known": facts_of(files.life(day + timedelta(500))) if life.begun else None,
    }  # fmt: skip


def days_of(dice: random.Random, data: dict[str, Any]) -> list[date]:
    """Days before an entry that was put right, and any."""
    days = [date.fromisoformat(one["date"]) for one in data["events"]]
    right = [date.fromisoformat(one["date"]) for one in data["events"] if one.get("replaces")] or days
    return [
        dice.choice(right) - timedelta(dice.choice([1, 4, 20, 60])),
        dice.choice(right) - timedelta(1),
        dice.choice(days),
        dice.choice(days) + timedelta(dice.randint(0, 90)),
    ]


def held(seed: int, length: int) -> None:
    """One random cask, of several files too."""
    dice = random.Random(seed)
    house = House({**dice.choice(HOUSES), **dice.choice([DATED, {}, DATED]), **CREW})
    others: list[dict[str, Any]] = []
    if seed % 4:
        data = history(dice, "TH-004217", ["TH-004218"], {}, length)
    else:
        data, *others = list(file_store(dice, {}, length).values())[:2]
    put_right(dice, data, dice.randint(1, 6))
    for other in others:
        put_right(dice, other, dice.randint(0, 3))
    for day in days_of(dice, data):
        whole, short = foreseen(data, others, house, day), foreseen(cut(data, day), [cut(one, day) for one in others], house, day)
        for name, said in whole.items():
            assert said == short[name], (seed, day, name)


@pytest.mark.parametrize("seed", [*range(12), *(pytest.param(seed, marks=pytest.mark.thorough) for seed in range(12, 40))])
def test_what_is_foreseen_is_as_if_the_book_ended_on_the_day(seed: int) -> None:
    held(seed, 20)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1000, 2000))
def test_the_same_of_long_lives(seed: int) -> None:
    held(seed, 60)


FULL = (
    ev("2019-01-02", "receive", verdict="accept"),
    ev("2019-01-03", "examine", verdict="sound"),
    ev("2019-01-04", "fill", spirit="malt", litres=190, abv=63, at_20=True),
)
EMPTY = ev("2021-06-11", "empty", id="g0000001", litres=180, abv=62, at_20=True)
AGAIN = {**EMPTY, "id": "g0000002", "litres": 181, "replaces": "g0000001", "why": "misread"}
NOW = date(2021, 6, 7)


@pytest.mark.parametrize("dated", [DATED, {}])
def test_an_emptying_of_a_later_day_that_was_put_right_empties_nothing_before(dated: dict[str, Any]) -> None:
    """It is tipped as a full cask is, and no examination is called for."""
    house, cask = House({**dated, **CREW}), read(cask_data(*FULL, EMPTY, AGAIN))
    files = known_on(Files(cask, (), house), NOW)
    assert ahead(files, NOW)["examine"] == [("at-emptying", NOW)]
    assert due(live(cask, house, NOW)) == due(live(read(cask_data(*FULL)), house, NOW))
    empty = tipped(files, date(2021, 6, 20))
    assert not isinstance(empty, str) and ahead(empty, date(2021, 6, 20))["examine"][0][0] == "due"


def test_what_names_a_later_entry_means_the_earlier_one_in_its_place() -> None:
    """A leak that stood under a later day was put right to an earlier one; the look that found it dry names it as it was first."""
    leak = ev("2021-08-01", "leak", id="g0000001", at="joint-4", severity="drip")
    sooner = {**leak, "id": "g0000002", "date": "2021-05-01", "replaces": "g0000001", "why": "misread"}
    look = ev("2021-06-01", "look", id="g0000003", seen="dry", of="g0000001")
    cask, house = read(cask_data(*FULL, sooner, look, leak)), House({**DATED, **CREW})
    files = known_on(Files(cask, (), house), NOW)
    assert ahead(files, NOW)["look"] == [("ok", NOW)]
    assert not stands_on(live(read(cask_data(*FULL, sooner, look, leak, ev("2021-09-01", "note", note="seen"))), house, NOW), date(2021, 6, 20)).state.leaks
