"""How many of its staves are the first ones, after it was raised again or counted anew: what nobody can tell is unknown. Both folds tell the same."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_data, codes, ev, facts_on, life_on
from due.judged import due_house, of
from entry.shop import CASK, Shop
from second.facts import facts as second_facts
from second.fold import folded

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.life.fold import steps
from caskbook.life.mends import MendWatch
from caskbook.model.cask import read_cask

DAY = "2020-12-31"
CAME = ev("2020-01-01", "receive", verdict="accept")


def down(staves: int | None = None, day: str = "2020-02-01") -> dict[str, Any]:
    return ev(day, "knock-down", **({} if staves is None else {"staves": staves}))


def up(staves: int | None = None, day: str = "2020-02-02") -> dict[str, Any]:
    return ev(day, "raise", **({} if staves is None else {"staves": staves}))


def counted(staves: int, day: str = "2020-03-01") -> dict[str, Any]:
    return ev(day, "measure", staves=staves)


def replaced(*staves: int, day: str = "2020-01-10", after: int | None = None) -> tuple[dict[str, Any], ...]:
    work = ev(day, "stave", staves=list(staves), action="replace", from_="new", **({} if after is None else {"staves_after": after}))
    return ev(day, "open", heads=["A"]), work, ev(day, "close", heads=["A"])


SHOOK = ev("2020-01-01", "receive", verdict="accept", form="shook")


@pytest.mark.parametrize(("head", "events", "staves", "share"), [
    (31, [CAME, down(31), up(31)], 31, "31/31"),
    (31, [CAME, down(), up(31)], 31, "31/31"),
    (31, [CAME, down(), up()], 31, "31/31"),
    (31, [CAME, *replaced(4), down(31), up(31)], 31, "30/31"),
    (31, [CAME, *replaced(4), *replaced(4, 5, day="2020-01-12")], 31, "29/31"),
    (31, [CAME, *replaced(4), down(31), up(31), *replaced(4, day="2020-03-01")], 31, "30/31"),
    # Fewer: which of them went nobody knows, but of all first ones all that are left are first ones.
    (31, [CAME, down(31), up(29)], 29, "29/29"),
    (31, [CAME, *replaced(4), down(31), up(29)], 29, None),
    (31, [CAME, down(28), up(28)], 28, "28/28"),
    (31, [CAME, down(28), up()], 28, "28/28"),
    (31, [CAME, down(28)], 28, "28/28"),
    (31, [CAME, *replaced(4), down(28)], 28, None),
    (31, [CAME, *replaced(4), down(30), up(31)], 31, None),
    # More: strange ones are among them.
    (31, [CAME, down(31), up(33)], 33, "31/33"),
    (31, [CAME, down(28), up(31)], 31, "28/31"),
    (31, [CAME, *replaced(4), down(31), up(33)], 33, None),
    (31, [CAME, down(31), up(33), *replaced(4, day="2020-03-01")], 33, None),
    (31, [CAME, down(31), up(29), *replaced(4, day="2020-03-01")], 29, "28/29"),
    (31, [CAME, down(31), up(33), down(33, "2020-04-01"), up(33, "2020-04-02")], 33, "31/33"),
    (31, [CAME, down(31), up(33), down(33, "2020-04-01"), up(31, "2020-04-02")], 31, None),
    (31, [CAME, down(31), up(29), down(29, "2020-04-01"), up(31, "2020-04-02")], 31, "29/31"),
    # A count that is another than the book's without any work: one of the two is wrong.
    (31, [CAME, down(33), up(33)], 33, None),
    (31, [CAME, counted(29)], 29, None),
    (31, [CAME, counted(33)], 33, None),
    (31, [CAME, counted(31)], 31, "31/31"),
    (31, [CAME, counted(29), counted(31, "2020-03-02")], 31, None),
    (31, [CAME, counted(29), down(29, "2020-04-01"), up(29, "2020-04-02")], 29, None),
    (31, [CAME, ev("2020-02-28", "correct", staves=29, why="miscounted"), counted(29)], 29, "29/29"),
    (31, [CAME, down(), counted(28, "2020-02-01"), up(28)], 28, "28/28"),
    # Nobody had counted.
    (None, [CAME, down(31), up(33)], 33, "31/33"),
    (None, [CAME, down(31), up(31)], 31, "31/31"),
    (None, [CAME, *replaced(4), down(31), up(31)], 31, "30/31"),
    (None, [CAME, down(), up(33)], 33, None),
    (None, [CAME, down(), up(33), counted(33)], 33, None),
    (None, [CAME, counted(31)], 31, "31/31"),
    (None, [SHOOK, up(31)], 31, "31/31"),
    (None, [up(31)], 31, "31/31"),
    (31, [SHOOK, up(29)], 29, "29/29"),
    (31, [SHOOK, up(33)], 33, "31/33"),
    # Two replaced by one, and one by two, are no other count.
    (31, [CAME, *replaced(13, 14, after=30), down(30), up(30)], 30, "29/31"),
    (31, [CAME, *replaced(13, 14, after=30), counted(30)], 30, "29/31"),
    (31, [CAME, *replaced(13, 14, after=30), down(30), up(31)], 31, None),
    (31, [CAME, *replaced(14, after=32), counted(32)], 32, "30/31"),
])  # fmt: skip
def test_of_how_many_it_is_told(head: int | None, events: list[dict[str, Any]], staves: int, share: str | None) -> None:
    data = cask_data(*events, staves=head)
    told, second = facts_on(DAY, *events, staves=head), second_facts(folded(data, {}, date.fromisoformat(DAY)), date.fromisoformat(DAY))
    assert (told.staves, told.original_stave_share) == (staves, share)
    assert (second["staves"], second["original_stave_share"]) == (staves, share)


def test_a_count_that_cannot_be_read_leaves_it_unknown() -> None:
    knocked_down = [CAME, ev("2020-02-01", "knock-down", staves="many")]
    opened, work, closed = replaced(4)
    mended = [CAME, opened, {**work, "staves_after": "many"}, closed, down()]
    for events in (knocked_down, mended):
        told = [facts_of(live(read_cask(cask_data(*events, *more))[0], HOUSE, date.fromisoformat(DAY))) for more in ([], [up(31)])]  # type: ignore[arg-type]
        assert [(one.staves, one.original_stave_share) for one in told] == [(None, None if events is knocked_down else "30/31"), (31, None)]


@pytest.mark.parametrize(("head", "events", "staves"), [
    (31, [CAME, down(28), up(33)], 31), (None, [CAME, down(31), up(33)], 31), (None, [CAME, down(), up(33)], None), (31, [SHOOK, up(29)], 29), (None, [up(31)], 31),
])  # fmt: skip
def test_parts_are_watched_by_the_count_that_it_had_until_it_was_knocked_down(head: int | None, events: list[dict[str, Any]], staves: int | None) -> None:
    life, watch = life_on(DAY, *events, staves=head), MendWatch()
    for event, st in steps(life):
        watch.take(event, st)
    mends = watch.mends(life.state)
    assert mends is not None and mends.staves == staves


@pytest.mark.parametrize(("head", "events", "told"), [
    (31, [CAME, down(31), up(31)], 0), (31, [CAME, down(28), up(28)], 0), (31, [CAME, down(31), up(29)], 0), (None, [CAME, down(), up(33)], 0), (31, [up(33)], 0),
    (31, [CAME, down(31), up(33)], 1), (31, [CAME, down(28), up(31)], 1), (31, [CAME, down(33), up(33)], 1), (31, [SHOOK, up(33)], 1), (31, [CAME, down(), up(33)], 1),
    (None, [CAME, down(31), up(33)], 1), (31, [CAME, down(31), {**up(33), "why": "two from the yard"}], 0), (31, [CAME, down(31), {**up(33), "note": "two of the yard"}], 0),
    (31, [CAME, down(31), {**up(33), "source": "register"}], 0), (31, [CAME, *replaced(14, after=32), down(32), up(32)], 0),
])  # fmt: skip
def test_whoever_puts_up_more_staves_than_there_were_is_asked_where_from(head: int | None, events: list[dict[str, Any]], told: int) -> None:
    assert codes(life_on(DAY, *events, staves=head)).count("more-staves-than-it-had") == told


@pytest.mark.thorough
def test_it_is_asked_at_entry_and_answered_in_a_note(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(CAME, down(31))
    asked = shop.enter("raise", CASK, "--staves", "33", "--by", "ab", "--yes")
    assert asked.code == 1 and "33 staves of a bundle of 31" in asked.err and "nothing written" in asked.err, asked.err
    assert shop.enter("raise", CASK, "--staves", "33", "--note", "two of the yard", "--by", "ab", "--yes").code == 0 and shop.codes() == []


ANEW = "2020-03-01"


@pytest.mark.parametrize(("head", "events", "told"), [
    (30, [CAME, *replaced(*range(1, 10)), down(30), up(24)], None),
    (30, [CAME, *replaced(*range(1, 11)), down(30), up(24)], "10 of 30"),
    (30, [CAME, down(30), up(24), *replaced(*range(1, 8), day=ANEW)], None),
    (30, [CAME, down(30), up(24), *replaced(*range(1, 9), day=ANEW)], "8 of 24"),
    (27, [CAME, down(27), up(30), *replaced(*range(1, 10), day=ANEW)], None),
    (None, [CAME, down(), up(24), *replaced(*range(1, 9), day=ANEW)], "8 of 24"),
    (30, [CAME, *replaced(1), down(30), up(24), *replaced(*range(2, 10), day=ANEW)], None),
    (None, [CAME, *replaced(*range(1, 11)), counted(30)], "10 of 30"),
    (None, [CAME, *replaced(*range(1, 11)), down(), up(30)], None),
    (30, [CAME, *replaced(13, 14, after=29), *replaced(*range(1, 9), day=ANEW)], "10 of 30"),
])  # fmt: skip
def test_a_third_replaced_is_a_third_of_those_it_had_then(head: int | None, events: list[dict[str, Any]], told: str | None) -> None:
    verdict = of("retire", DAY, *events, house=due_house(retire={"points": 1}), staves=head, made=2019, charred=2019)
    assert verdict.verdict == ("ok" if told is None else "due"), verdict.reasons
    assert told is None or verdict.reasons[0] == f"{told} staves replaced within 10 years; house limit 33%"
