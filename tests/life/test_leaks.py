"""The leaks of a life: what came of each, where the cask lay on the day, and the spells that it lay filled."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import cask_of, ev, life_on

from caskbook.life import live
from caskbook.life.fold import steps
from caskbook.life.leaks import EMPTIED, HEALED, LEFT, NO_LEAK, OPEN, REPAIRED, Leak, LeakWatch, row_of
from caskbook.model.house import House

HOUSE = House({"crew": [{"initials": "ab"}], "stores": {"D": "dunnage", "R": "racks"}})
RECEIVED = ev("2020-01-01", "receive", verdict="accept")
FILLED = ev("2020-02-01", "fill", spirit="malt", litres=190, abv=63.5, at_20=True, berth="D1/02/3")
WEEP = ev("2020-03-01", "leak", at="joint-4", severity="weep")


def watched(*events: dict[str, Any], day: str = "2022-01-01") -> LeakWatch:
    watch = LeakWatch()
    for event, state in steps(life_on(day, *events, house=HOUSE)):
        watch.take(event, state)
    watch.end()
    return watch


def leak(*events: dict[str, Any], at: str = "joint-4") -> Leak:
    (found,) = watched(RECEIVED, FILLED, WEEP | {"at": at}, *events).leaks
    return found


def look(seen: str, **more: Any) -> dict[str, Any]:
    return ev("2020-03-11", "look", seen=seen, **more)


DRIVE, PEG = ev("2020-03-05", "drive"), ev("2020-03-05", "peg", at="joint-4", kind="spile")
EMPTY = ev("2020-04-01", "empty", litres=180, abv=63, at_20=True)
OPENED, CLOSED = ev("2020-04-03", "open", heads=["A"]), ev("2020-04-05", "close", heads=["A"])


@pytest.mark.parametrize(("events", "outcome", "by", "ended"), [
    ((), OPEN, "", None), ((look("drip"),), OPEN, "", None), ((look("dry"),), HEALED, "", "2020-03-11"), ((look("dry", closed_as="took-up"),), HEALED, "", "2020-03-11"),
    ((DRIVE, look("dry", closed_as="took-up")), HEALED, "", "2020-03-11"), ((DRIVE, look("dry")), REPAIRED, "drive", "2020-03-11"),
    ((DRIVE | {"closes": "e0000003"},), REPAIRED, "drive", "2020-03-05"), ((PEG,), REPAIRED, "peg", "2020-03-05"),
    ((PEG | {"at": "joint-9"}, look("dry")), REPAIRED, "peg", "2020-03-11"), ((look("dry", closed_as="repaired"),), REPAIRED, "", "2020-03-11"),
    ((look("dry", closed_as="false"),), NO_LEAK, "", "2020-03-11"), ((EMPTY,), EMPTIED, "", "2020-04-01"),
    ((EMPTY, ev("2020-04-02", "flag", at=["joint-4"])), REPAIRED, "flag", "2020-04-02"),
    ((EMPTY, ev("2020-04-02", "flag", at=["joint-5"])), EMPTIED, "", "2020-04-01"),
    ((EMPTY, OPENED, ev("2020-04-04", "stave", staves=[4], action="rejoint"), CLOSED), REPAIRED, "stave", "2020-04-04"),
    ((EMPTY, ev("2020-04-02", "examine", verdict="sound"), ev("2020-04-03", "flag", at=["joint-4"])), EMPTIED, "", "2020-04-01"),
    ((EMPTY, ev("2020-04-02", "examine", verdict="repair", findings=[{"at": "joint-4", "defect": "leak"}]), ev("2020-04-03", "flag", at=["joint-4"])),
     REPAIRED, "flag", "2020-04-03"),
    ((ev("2020-05-01", "dispose", how="sold"),), LEFT, "sold", "2020-05-01"),
])  # fmt: skip
def test_what_came_of_it(events: tuple[dict[str, Any], ...], outcome: str, by: str, ended: str | None) -> None:
    found = leak(*events)
    assert (found.outcome, found.by, found.ended) == (outcome, by, ended and date.fromisoformat(ended))


def test_work_for_another_leak_leaves_this_one_to_heal() -> None:
    other = ev("2020-03-02", "leak", at="joint-9", severity="run")
    first, second = watched(RECEIVED, FILLED, WEEP, other, DRIVE | {"closes": "e0000004"}, look("dry")).leaks
    assert (first.outcome, second.outcome) == (HEALED, REPAIRED)


def test_entered_again_while_open_it_is_the_same_leak_and_afterwards_another() -> None:
    again, later = WEEP | {"date": "2020-03-04", "severity": "run"}, WEEP | {"date": "2020-06-01"}
    first, second = watched(RECEIVED, FILLED, WEEP, again, look("dry"), later).leaks
    assert (first.day, first.severity, first.again, first.outcome, second.outcome) == (date(2020, 3, 1), "weep", 1, HEALED, OPEN)
    assert (first.seen, second.seen) == ("run", "weep")


def test_the_last_look_says_how_bad_it_is_and_the_first_entry_how_bad_it_was() -> None:
    (found,) = watched(RECEIVED, FILLED, WEEP | {"severity": "run"}, look("drip"), look("weep")).leaks
    assert (found.severity, found.seen, found.outcome) == ("run", "weep", OPEN)


def test_the_place_is_that_of_the_day_of_the_leak() -> None:
    moved = ev("2020-02-20", "move", berth="R7/1/2"), ev("2020-04-01", "move", berth="D9/1/1")
    (found,) = watched(RECEIVED, FILLED, moved[0], WEEP, moved[1]).leaks
    assert found.lying == ("here", "racks", "R7/1", "malt")


def test_the_spells_cover_the_time_that_it_lay_filled_and_no_more() -> None:
    events = [
        RECEIVED, FILLED, ev("2020-03-01", "move", berth="D1/02/9"), ev("2020-05-01", "move", berth="R7/1/2"), ev("2020-06-01", "missing"), ev("2020-07-01", "found"),
        ev("2020-08-01", "empty", litres=180, abv=63, at_20=True), ev("2021-01-01", "fill", spirit="grain", litres=190, abv=63, at_20=True),
    ]  # fmt: skip
    told = [(*spell.lying, str(spell.start), spell.end and str(spell.end)) for spell in watched(*events).spells]
    assert told == [
        ("here", "dunnage", "D1/02", "malt", "2020-02-01", "2020-05-01"), ("here", "racks", "R7/1", "malt", "2020-05-01", "2020-06-01"),
        ("missing", None, None, "malt", "2020-06-01", "2020-07-01"), ("here", "racks", "R7/1", "malt", "2020-07-01", "2020-08-01"),
        ("here", "racks", "R7/1", "grain", "2021-01-01", None),
    ]  # fmt: skip
    left = watched(RECEIVED, FILLED, ev("2020-05-01", "dispose", how="sold")).spells
    assert [(str(spell.start), str(spell.end)) for spell in left] == [("2020-02-01", "2020-05-01")]


def test_a_row_is_a_berth_without_its_number() -> None:
    assert [row_of(berth) for berth in ("W3/12/4", "W3/12", "Y2", None, "W3/12/x")] == ["W3/12", "W3/12", "Y2", None, "W3/12/x"]


def test_the_steps_end_where_the_life_ends() -> None:
    """Of a joined cask too: each entry with the file that it is of."""
    own = cask_of(RECEIVED, FILLED, WEEP, ev("2020-05-01", "same-as", of="TH-000009", why="read twice"))
    other = cask_of(ev("2019-01-01", "receive", verdict="accept"), cask="TH-000009")
    for life in (live(own, HOUSE, date(2022, 1, 1), (other,)), life_on("2022-01-01", RECEIVED, FILLED, WEEP, look("dry"), EMPTY, house=HOUSE)):
        *_, (_, state) = steps(life)
        assert (state.leaks, state.defects, state.fillings, state.berth, state.seq) == (
            life.state.leaks, life.state.defects, life.state.fillings, life.state.berth, life.state.seq,
        )  # fmt: skip
