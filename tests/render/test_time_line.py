"""The life along a line of years."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from casks import ev, life_on
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many
from rich.cells import cell_len

from caskbook.life import Life
from caskbook.life.facts import facts_of
from caskbook.render.card import card
from caskbook.render.time_line import long_line, stretches, time_line
from render import lives
from render.lives import agrees, life_of


def test_the_years_stand_over_what_began_in_them() -> None:
    axis, bar = time_line(lives.worked()).split("\n")
    for year, first in (("2015", "│ │"), ("2023", "│S F│")):
        assert abs(axis.index(year) - bar.index(first)) <= 1
    assert axis.startswith("2011") and axis.endswith("2026")
    assert "bourbon" in bar and "fill 1  8.1 y" in bar and bar.endswith("▶")


def test_a_long_fill_is_drawn_longer() -> None:
    first, second = [stretch for stretch in stretches(lives.worked()) if stretch.kind == "fill"]
    time_line(lives.worked())
    assert first.days > second.days
    bar = time_line(lives.worked()).split("\n")[1]
    pieces = [piece for piece in bar.split("│") if "fill" in piece]
    assert len(pieces[0]) > len(pieces[1])


WINE = [
    ev("2010-01-01", "receive", verdict="accept"), ev("2010-01-02", "examine", verdict="sound"),
    ev("2010-01-03", "season", wine="oloroso", litres=480, until="2012-01-03"),
]  # fmt: skip
PART = [{"cask": "TH-000002", "litres": 100, "abv": 17}]


@pytest.mark.parametrize(
    ("events", "spans", "inside"),
    [
        ([], [("2010-01-03", None)], "oloroso since 2010-01-03, until 2012-01-03"),
        ([ev("2010-06-01", "rack-out", to=PART, left_l=370, at_20=True, why="share")], [("2010-01-03", None)], "oloroso since 2010-01-03, until 2012-01-03"),
        ([ev("2010-06-01", "rack-in", from_=PART, spirit="oloroso", oak_since="unknown", at_20=True)], [("2010-01-03", None)], "oloroso since 2010-01-03, until 2012-01-03"),
        ([ev("2010-06-01", "season", wine="fino", litres=10)], [("2010-01-03", "2010-06-01"), ("2010-06-01", None)], "fino since 2010-06-01"),
        ([ev("2012-01-03", "empty", litres=450, abv=17, at_20=True, why="drawn")], [("2010-01-03", "2012-01-03")], "empty since 2012-01-03"),
        (
            [ev("2012-01-03", "empty", litres=450, abv=17, at_20=True, why="drawn"), ev("2018-01-03", "rack-in", from_=PART, spirit="fino", oak_since="unknown", at_20=True)],
            [("2010-01-03", "2012-01-03")], "fino since 2018-01-03",
        ),
        ([ev("2012-01-03", "fill", spirit="malt", litres=480, abv=63, at_20=True)], [("2010-01-03", "2012-01-03")], "malt"),
    ],
)  # fmt: skip
def test_wine_lies_in_the_cask_as_long_as_it_does(events: list[dict[str, Any]], spans: list[tuple[str, str | None]], inside: str) -> None:
    life = life_on("2019-01-01", *WINE, *events, prior=[])
    seasoned = [stretch for stretch in stretches(life) if stretch.kind == "wine"]
    assert [(str(one.start), None if one.running else str(one.end)) for one in seasoned] == spans
    assert inside in card(life, facts_of(life), [], width=None)


def test_in_ascii() -> None:
    text = time_line(lives.worked(), ascii=True)
    assert text.isascii() and "..bourbon.." in text and "#" in text and text.endswith(">")


def test_nothing_before_the_first_entry() -> None:
    life = lives.worked("2015-03-01")
    assert time_line(life) == "" and long_line(life) == ""


@pytest.mark.parametrize("name", ["worked", "sherry_butt", "broken_up", "made_here", "unknown_past", "on_the_bench"])
def test_golden(name: str, request: pytest.FixtureRequest) -> None:
    life: Life = getattr(lives, name)()
    agrees(f"line-{name.replace('_', '-')}", long_line(life), request)


def many_fills(count: int, each: int) -> Life:
    events, day = [ev("2001-01-01", "receive", verdict="accept")], date(2001, 1, 2)
    for _ in range(count):
        events.append(ev(day.isoformat(), "fill", spirit="malt", litres=190, abv=63))
        day += timedelta(days=each)
        events.append(ev(day.isoformat(), "empty", litres=150, abv=60))
        day += timedelta(days=each % 17)
    return life_of(*events)


@settings(max_examples=many(40), deadline=None)
@given(st.integers(0, 60), st.integers(1, 90), st.integers(36, 120))
def test_any_life_keeps_to_its_width(count: int, each: int, width: int) -> None:
    life = many_fills(count, each)
    lines = time_line(life, width).split("\n")
    assert len(lines) == 2 and all(cell_len(line) <= width for line in lines)
    assert all(cell_len(line) <= width for line in long_line(life, width).split("\n"))


def test_of_too_many_fills_the_oldest_are_one_piece() -> None:
    assert "fills" in time_line(many_fills(60, 30), 76)


def test_the_rows_cover_the_whole_life_without_a_gap() -> None:
    found = stretches(lives.on_the_bench())
    assert all(before.end == after.start for before, after in zip(found, found[1:], strict=False))


def test_letters_are_explained_where_there_are_any() -> None:
    assert long_line(lives.worked()).endswith("S staves  H head  O hoops  F fire")
    assert "staves" not in long_line(lives.sherry_butt())
