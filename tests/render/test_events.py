"""The rows of events."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from casks import cask_data, cask_of, ev, life_on
from hypothesis import given
from hypothesis import strategies as st

from caskbook.life import Life, live
from caskbook.model.cask import read_cask
from caskbook.model.entered import entered_on
from caskbook.model.house import House
from caskbook.model.ids import mint_between, mint_id
from caskbook.render.events import days_late, event_lines, rows_of, says_of, short_ids
from render import lives
from render.lives import life_of

IDS = st.lists(st.text(alphabet="0123abcx", min_size=8, max_size=14), min_size=1, max_size=30, unique=True)


@given(IDS)
def test_short_ids_name_one_event_each(ids: list[str]) -> None:
    short = short_ids(ids)
    for one, shown in short.items():
        start = shown.removesuffix("…")
        assert len(start) >= 3 and len(shown) <= len(one)
        assert [other for other in ids if other.startswith(start)] == [one] or shown == one


def test_newest_first_and_how_many_are_left_out() -> None:
    text = event_lines(lives.worked(), width=80).plain.split("\n")
    assert len(text) == 7 and text[0].startswith("  2023-06-01  fill")
    assert text[-1] == "  …  9 earlier, caskbook show TH-004217 --all"
    assert len(event_lines(lives.worked(), width=80, rows=None).plain.split("\n")) == 15


def test_one_or_two_are_never_left_out() -> None:
    notes = [ev(f"2020-01-0{n}", "note", note=f"n{n}") for n in range(2, 9)]
    text = event_lines(life_of(ev("2020-01-01", "receive", verdict="accept"), *notes), width=80).plain
    assert "earlier" not in text and len(text.split("\n")) == 8


def test_nothing_is_cut_in_a_pipe() -> None:
    long = "word " * 300 + "end"
    text = event_lines(life_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "note", note=long)), width=None).plain
    assert long in text


def test_late_entries_are_told() -> None:
    days = {row.event.job: days_late(row.event, "UTC") for row in rows_of(lives.put_right())}
    assert days["regauge"] == 22 and days["receive"] is None
    assert "entered 22 days after" in event_lines(lives.put_right(), width=80).plain


def test_a_replacement_or_import_is_not_late() -> None:
    life = life_of(ev("2020-01-01", "receive", verdict="accept", source="register", _late=900))
    assert days_late(life.cask.events[0], "UTC") is None


def test_corrections_name_what_they_correct() -> None:
    says = [row.says for row in rows_of(lives.put_right())]
    assert "test of 2020-01-08: wrong cask, it was TH-004271" in says
    replaced = next(row for row in rows_of(lives.put_right()) if row.event.replaces)
    assert replaced.below == ["in place of fill of 2020-01-10: figure misread on the sheet"]


def test_what_is_out_of_force_says_why_and_by_which() -> None:
    struck = [row for row in rows_of(lives.put_right()) if row.struck]
    assert [row.event.job for row in struck] == ["void", "fill", "test"]
    assert struck[2].below[0].startswith("void: wrong cask, it was TH-004271 (")
    assert struck[1].below[0].startswith("replaced: figure misread on the sheet (")


def test_a_moved_entry_names_the_other_cask() -> None:
    life = life_of(
        ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "drive", _name="x"), ev("2020-01-03", "moved", of="@x", to="TH-000009", why="wrong lid")
    )
    rows = rows_of(life)
    assert rows[0].says == "drive of 2020-01-02, to TH-000009: wrong lid"
    assert rows[1].struck and rows[1].below[0].startswith("moved to TH-000009: wrong lid (")


def test_a_target_that_is_not_there_and_a_circle() -> None:
    life = life_of(
        ev("2020-01-01", "receive", verdict="accept"),
        ev("2020-01-02", "void", of="zzzzzzz1", why="gone"),
        ev("2020-01-03", "void", of="@self", why="me", _name="self"),
    )
    rows = rows_of(life)
    assert rows[1].says == "entry zzzzzzz1, which is not here: gone" and not rows[1].struck
    assert rows[0].struck and "circle" in rows[0].below[0]


def test_reason_and_note_are_said_once() -> None:
    life = life_of(ev("2020-01-01", "receive", verdict="hold", why="lid stained", note="two hoops loose"), ev("2020-01-02", "hold", why="lid stained"))
    assert [says_of(event) for event in life.cask.events] == ["hold: lid stained – two hoops loose", "lid stained"]


def test_the_number_joined_to_this_one() -> None:
    other = life_of(ev("2019-01-01", "receive", verdict="accept"), cask="TH-000009").cask
    mine = life_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "same-as", of="TH-000009", why="two lids")).cask
    rows = rows_of(live(mine, lives.HOUSE, date(2021, 1, 1), [other]))
    assert [row.event.date.year for row in rows] == [2020, 2020, 2019]
    assert rows[-1].tail == " (other number)"


def joined_life(own: list[dict[str, object]], *others: list[dict[str, object]], day: str = "2021-01-01") -> Life:
    """TH-004217 with the numbers TH-000001, TH-000002 … joined to it, whose entries have the ids e100000n; its own e000000n."""
    files = [cask_of(*({"id": f"e1{n:06d}", **event} for n, event in enumerate(told, 1)), cask=f"TH-{at:06d}") for at, told in enumerate(others, 1)]
    same = [ev("2020-06-01", "same-as", of=one.id, why="one cask") for one in files]
    return live(cask_of(*own, *same), lives.HOUSE, date.fromisoformat(day), files)


PUT_RIGHT = [
    ev("2019-01-01", "receive", verdict="accept"),
    ev("2019-01-03", "test", psi=10, result="fail", leaks=[{"at": "joint-5"}]),
    ev("2019-01-04", "test", psi=10, result="pass"),
    ev("2019-01-05", "move", berth="W1/2", why="room"),
    ev("2019-01-06", "void", of="e1000002", why="wrong"),
    ev("2019-01-05", "move", berth="W1/3", replaces="e1000004", why="misread"),
]
ARRIVED = [ev("2020-01-01", "receive", verdict="accept")]


@pytest.mark.parametrize("same_ids", [False, True])
def test_what_stands_under_another_number_is_shown_as_in_a_file_of_its_own(same_ids: bool) -> None:
    """What is out of force there is struck through under what put it out, and a void names what it voided; an id that both files have changes nothing."""
    more = [{**ev(f"2020-02-0{n}", "note", note="seen"), "id": f"e100000{n}"} for n in (2, 4)] if same_ids else []
    alone, both = rows_of(life_of(*({**event, "id": f"e1{n:06d}"} for n, event in enumerate(PUT_RIGHT, 1)))), rows_of(joined_life([*ARRIVED, *more], PUT_RIGHT))
    theirs = [row for row in both if row.event.date.year == 2019]
    told = [(row.event.id, row.says, row.below, row.struck) for row in theirs]
    assert told == [(row.event.id, row.says, row.below, row.struck) for row in alone] and all(row.tail.endswith(" (other number)") for row in theirs)
    assert {row.event.id for row in theirs if row.struck} == {"e1000002", "e1000004"}
    assert theirs[0].says == "test of 2019-01-03: wrong" and not any("not here" in row.says for row in both)
    assert not any(row.struck or "other number" in row.tail for row in both if row.event.date.year == 2020)


def test_of_several_other_numbers_each_entry_tells_its_own() -> None:
    rows = rows_of(joined_life(ARRIVED, PUT_RIGHT, [ev("2018-01-01", "receive", verdict="accept"), ev("2018-01-02", "void", of="e1000001", why="twice")]))
    assert [(row.says, row.tail, row.struck) for row in rows[-2:]] == [
        ("receive of 2018-01-01: twice", " (other number, TH-000002)", False), ("accept", " (other number, TH-000002)", True),
    ]  # fmt: skip
    assert sum(row.tail == " (other number, TH-000001)" for row in rows) == len(PUT_RIGHT)


def test_a_void_of_what_stands_under_the_other_number_says_where_it_stands() -> None:
    """It puts nothing out of force there, and what it means is on the same card: it is not said to be nowhere."""
    rows = rows_of(joined_life([*ARRIVED, ev("2020-01-02", "void", of="e1000003", why="x"), ev("2020-01-03", "void", of="e9999999", why="y")], PUT_RIGHT))
    says = {row.says: row.struck for row in rows}
    assert says["test of 2019-01-04, which stands under TH-000001: x"] is False and says["entry e9999999, which is not here: y"] is False
    assert says["pass, 10 psi"] is False


def test_a_correction_of_a_day_to_come_strikes_out_under_another_number_too() -> None:
    rows = rows_of(joined_life(ARRIVED, [*PUT_RIGHT[:2], ev("2022-01-01", "void", of="e1000002", why="wrong")]))
    assert [(row.struck, row.below) for row in rows if row.event.job == "test"] == [(True, ["void: wrong (e1000003)"])]


def test_an_entry_of_no_known_job_under_another_number_is_shown_as_written() -> None:
    written, faults = read_cask(cask_data(*ARRIVED, {**ev("2019-03-01", "fil"), "id": "e1000009"}, cask="TH-000001"))
    assert written is not None and [fault.code for fault in faults] == ["unknown-job"]
    mine = cask_of(*ARRIVED, ev("2020-06-01", "same-as", of="TH-000001", why="one cask"))
    rows = rows_of(live(mine, lives.HOUSE, date(2021, 1, 1), [written]))
    alone = rows_of(live(written, lives.HOUSE, date(2021, 1, 1)))
    shown = [(row.event.job, row.says, row.struck, row.tail) for row in rows if row.event.id == "e1000009"]
    assert shown == [(row.event.job, row.says, row.struck, row.tail + " (other number)") for row in alone if row.event.id == "e1000009"] != []


@pytest.mark.parametrize(("zone", "hour", "late"), [("America/Los_Angeles", 2, 4), ("Pacific/Auckland", 20, 6), ("UTC", 2, 5), ("Europe/Nowhere", 2, 5)])
def test_how_late_an_entry_is_goes_by_the_day_of_the_house(zone: str, hour: int, late: int) -> None:
    """As a review tells it: where the house's day is not that of UTC, the minute of the id is of another day."""
    made = mint_id(datetime(2026, 6, 15, hour, 30, tzinfo=UTC), day_ids=[], random_bits=lambda bits: 7)
    life = life_on("2026-07-01", {**ev("2026-06-10", "note", note="seen"), "id": made}, house=House({"timezone": zone}))
    assert days_late(life.cask.events[0], life.house.timezone) == late == (entered_on(made, zone) - date(2026, 6, 10)).days  # type: ignore[operator]
    assert f"entered {late} days after" in event_lines(life, width=100).plain


def test_an_id_put_between_others_has_no_minute_of_its_own() -> None:
    """It begins as the one before it, which was entered on another day."""
    first = mint_id(datetime(2026, 6, 15, 9, tzinfo=UTC), day_ids=[], random_bits=lambda bits: 7)
    second = mint_id(datetime(2026, 6, 15, 9, 5, tzinfo=UTC), day_ids=[first], random_bits=lambda bits: 7)
    between = mint_between(first, second, random_bits=lambda bits: 7)
    life = life_on("2026-07-01", *({**ev("2026-06-10", "note", note="seen"), "id": made} for made in (first, between, second)))
    assert [days_late(event, "UTC") for event in life.cask.events] == [5, None, 5]


def test_a_void_tells_its_note_and_its_photographs() -> None:
    first = ev("2020-01-01", "receive", verdict="accept")
    look = {"id": "e0000002", **ev("2020-01-02", "drive")}
    void = ev("2020-01-03", "void", of="e0000002", why="wrong cask", note="seen by two", photo=["IMG_1.jpg"])
    assert "drive of 2020-01-02: wrong cask, photo IMG_1.jpg – seen by two" in event_lines(life_of(first, look, void), width=None).plain
