"""Tables for people: whole in a pipe, and fitted to a terminal without losing the names of the columns."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from caskbook.render.table import table_text

NAMES = ("cask", "fills_since_char", "years_in_wood")
ROWS = [["TH-004217", 5, 12.25], ["TH-004218", None, 0.5]]


def test_a_pipe_gets_the_whole_names_on_one_line():
    assert table_text(NAMES, ROWS, None).splitlines()[0] == "cask       fills_since_char  years_in_wood"


def test_a_narrow_terminal_gets_them_under_each_other():
    assert table_text(NAMES, ROWS, 80) == table_text(NAMES, ROWS, None)
    assert table_text(NAMES, ROWS, 30).splitlines() == [
        "           fills_  years_",
        "           since_     in_",
        "cask         char    wood",
        "TH-004217       5   12.25",
        "TH-004218             0.5",
    ]


def test_what_finds_no_room_is_named():
    names = [f"column_{n}" for n in range(30)]
    lines = table_text(names, [[1] * 30], 60).splitlines()
    assert max(map(len, lines)) <= 60 and "no room for: " in "\n".join(lines) and "column_29" in "\n".join(lines)


@given(st.lists(st.text(max_size=12), min_size=1, max_size=6), st.integers(40, 100))
def test_any_names_are_laid_out(names: list[str], width: int):
    for line in table_text(names, [["x"] * len(names)], width).split("\n"):
        assert len(line) <= 2 * width
