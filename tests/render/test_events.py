"""The rows of events."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from casks import ev, life_on
from hypothesis import given
from hypothesis import strategies as st

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
    from datetime import date

    from caskbook.life import live

    other = life_of(ev("2019-01-01", "receive", verdict="accept"), cask="TH-000009").cask
    mine = life_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "same-as", of="TH-000009", why="two lids")).cask
    rows = rows_of(live(mine, lives.HOUSE, date(2021, 1, 1), [other]))
    assert [row.event.date.year for row in rows] == [2020, 2020, 2019]
    assert rows[-1].tail == " (other number)"


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
