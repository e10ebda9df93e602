"""Heads and staves in plain ASCII."""

from __future__ import annotations

import pytest
from casks import ev

from caskbook.life import Life
from caskbook.life.facts import facts_of
from caskbook.pages.heads import heads_picture
from caskbook.render.card_parts import parts_parts
from caskbook.render.cask_map import cask_map, marked_places
from render import lives
from render.lives import agrees, life_of


@pytest.mark.parametrize("name", ["worked", "unknown_past", "on_the_bench", "leaking"])
def test_golden(name: str, request: pytest.FixtureRequest) -> None:
    life: Life = getattr(lives, name)()
    agrees(f"map-{name.replace('_', '-')}", cask_map(life), request)


@pytest.mark.parametrize("name", ["worked", "unknown_past", "on_the_bench", "leaking", "sherry_butt"])
@pytest.mark.parametrize("width", [40, 80, 120])
def test_ascii_and_within_the_width(name: str, width: int) -> None:
    text = cask_map(getattr(lives, name)(), width=width)
    assert text.isascii() and max(map(len, text.split("\n"))) <= width


def test_every_stave_stands_there_once() -> None:
    text = cask_map(lives.sherry_butt())
    rows = text.split("staves, clockwise")[1].split("\n\n")[0].split("\n")[1:]
    numbers = [int(cell.rstrip("b")) for row in rows for cell in row.split()]
    assert numbers == list(range(1, 47))


def test_uncounted_parts_say_how_to_count_them() -> None:
    text = cask_map(lives.unknown_past())
    assert "staves not counted: enter measure --staves" in text and "enter measure --heads" in text


def test_a_leak_at_wood_changed_since_is_gone() -> None:
    events = [
        ev("2020-01-01", "receive", verdict="accept"),
        ev("2020-01-02", "test", psi=11, result="fail", leaks=[{"at": "joint-13"}, {"at": "joint-20"}]),
        ev("2020-01-03", "open", heads=["A"]),
        ev("2020-01-03", "stave", staves=[14], action="replace", from_="new"),
    ]
    marked = marked_places(life_of(*events))
    assert [str(place) for place in marked.leaked] == ["joint-20"]
    assert "14'20" in cask_map(life_of(*events)) and "20!" in cask_map(life_of(*events))


def test_rush_went_with_the_wood_that_it_lay_at() -> None:
    """A joint that was taken apart has none, nor the croze at a stave that went; map and card alike. How often it was laid is another figure."""
    events = [
        ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "open", heads=["A"]),
        ev("2020-01-03", "flag", at=["joint-5", "joint-20", "croze-A-5", "croze-B-9"]), ev("2020-01-04", "stave", staves=[5, 6], action="replace", from_="new"),
    ]  # fmt: skip
    life = life_of(*events)
    assert [str(place) for place in marked_places(life).rush] == ["joint-20", "croze-B-9"]
    assert "rush in croze-B-9 and joint-20" in parts_parts(life, facts_of(life)) and facts_of(life).flagged["joint-5"] == 1
    again = life_of(*events, ev("2020-01-05", "flag", at=["joint-5"]))
    assert "5'20f" in cask_map(again) and "rush in croze-B-9, joint-20 and joint-5" in parts_parts(again, facts_of(again))


def test_a_map_says_where_there_are_more_staves_or_fewer_than_numbers() -> None:
    came = [ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "open", heads=["A"])]
    two = ev("2020-01-03", "stave", staves=[5], action="replace", from_="new", staves_after=32)
    one = ev("2020-01-03", "stave", staves=[5, 6], action="replace", from_="new", staves_after=30)
    both = ev("2020-01-04", "stave", staves=[9, 10], action="replace", from_="new", staves_after=31)
    for events, told in (
        ([two], "32 staves on 31 numbers: two at 5 (5 and 5b)"), ([one], "30 staves on 31 numbers: one stands for two at 5 and 6"),
        ([two, both], "31 staves on 31 numbers: two at 5 (5 and 5b), one stands for two at 9 and 10"),
    ):  # fmt: skip
        assert told in cask_map(life_of(*came, *events)) and told in heads_picture(life_of(*came, *events))
    assert "numbers" not in cask_map(life_of(*came)) and " numbers" not in heads_picture(life_of(*came))


def test_a_moved_bung_is_marked_where_it_is() -> None:
    text = cask_map(life_of(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "bung", action="moved", to=9)))
    assert " 9b" in text and " 1b" not in text
