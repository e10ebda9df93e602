"""Tables for people: whole in a pipe, and fitted to a terminal without losing the names of the columns."""

from __future__ import annotations

import csv
import io
import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.core.days import UnknownDay
from caskbook.render.table import table_csv, table_json, table_jsonl, table_text

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


def test_a_day_is_written_as_its_text_in_every_form_and_one_that_nobody_can_read_as_nothing() -> None:
    rows = [[date(2026, 11, 29), [date(2026, 1, 2)]], [UnknownDay(2020, 1, 1), None]]
    known = [{"on": "2026-11-29", "all": ["2026-01-02"]}, {"on": None, "all": None}]
    assert json.loads(table_json(("on", "all"), rows)) == [json.loads(line) for line in table_jsonl(("on", "all"), rows).splitlines()] == known
    assert list(csv.reader(io.StringIO(table_csv(("on", "all"), rows))))[1:] == [["2026-11-29", '["2026-01-02"]'], ["", ""]]
    assert '2026-11-29  ["2026-01-02"]' in table_text(("on", "all"), rows, None)
    with pytest.raises(TypeError):
        table_json(("on",), [[object()]])
