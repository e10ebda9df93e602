"""Berth and store of the columns of `event` and `fill`: by the settings of the day asked about, longest prefix first, and of a type its own."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from casks import ev

from index.book import put_cask, same

STORES = """timezone: UTC
crew: [{initials: ab}]
stores:
  - {since: 2000-01-01, value: {W: old, W1: "row's end"}}
  - {since: 2022-01-01, value: {W: new, W1: "row's end"}}
types: {butt: {stores: {W: butts}}}
"""
FILLED = ({"spirit": "malt", "litres": 180.0, "abv": 63.0, "at_20": True}, {"litres": 170.0, "abv": 60.0, "at_20": True})


def book(folder: Path) -> Path:
    (folder / "casks").mkdir(parents=True)
    (folder / "house.yaml").write_text(STORES, encoding="utf-8")
    life = (
        ev("2020-01-01", "receive", verdict="accept", berth="W2/1"),
        ev("2020-02-01", "fill", berth="W1/7", **FILLED[0]),
        ev("2020-03-01", "move", berth="W2/9"),
        ev("2020-04-01", "empty", **FILLED[1]),
        ev("2020-05-01", "fill", **FILLED[0]),
    )
    put_cask(folder, 1, *life)
    put_cask(folder, 2, *life[:2], type="butt")
    return folder


def rows(root: Path, sql: str, day: str) -> Any:
    code, out, _ = same(root, "query", sql, "--format", "json", day=day)
    assert code == 0
    return [tuple(row.values()) for row in json.loads(out)]


@pytest.mark.thorough
def test_entries_and_fills_say_where_and_in_which_store(tmp_path: Path) -> None:
    root = book(tmp_path / "book")
    entries = rows(root, "SELECT job, berth, store FROM event WHERE cask LIKE '%1' ORDER BY date, id", "2021-06-01")
    assert entries == [
        ("receive", "W2/1", "old"), ("fill", "W1/7", "row's end"), ("move", "W2/9", "old"), ("empty", "W2/9", "old"), ("fill", "W2/9", "old"),
    ]  # fmt: skip
    fills = "SELECT berth_filled, store_filled, berth_emptied, store_emptied FROM fill WHERE cask LIKE '%1' ORDER BY n"
    assert rows(root, fills, "2021-06-01") == [("W1/7", "row's end", "W2/9", "old"), ("W2/9", "old", None, None)]
    assert rows(root, fills, "2022-06-01") == [("W1/7", "row's end", "W2/9", "new"), ("W2/9", "new", None, None)]
    assert rows(root, "SELECT berth, store FROM event WHERE cask LIKE '%2' ORDER BY date", "2022-06-01") == [("W2/1", "butts"), ("W1/7", "row's end")]


def test_an_entry_of_a_joined_file_lies_where_the_cask_that_goes_on_lay(tmp_path: Path) -> None:
    root = book(tmp_path / "book")
    for number, events in ((3, [ev("2020-06-01", "move", berth="W3/3")]), (4, [])):
        put_cask(root, number, ev("2020-01-01", "receive", verdict="accept", berth=f"W1/{number}"), *events, type="butt" if number == 3 else "barrel")
    two, one = (root / "casks" / "TH-001" / f"TH-00100{n}.yaml" for n in (4, 3))
    one.write_text(one.read_text() + "  - {id: e0000031, date: 2020-07-01, job: same-as, by: ab, of: TH-001004, why: two numbers}\n", encoding="utf-8")
    two.write_text(two.read_text() + "  - {id: e0000041, date: 2020-08-01, job: note, by: ab, note: dry}\n", encoding="utf-8")
    found = rows(root, "SELECT number, job, berth, store FROM event WHERE cask = 'TH-001003' ORDER BY date, id, number", "2021-06-01")
    assert found[-1] == ("TH-001004", "note", "W3/3", "butts") and len(found) == 5


def test_a_number_at_the_end_of_a_prefix_is_whole(tmp_path: Path) -> None:
    root = book(tmp_path / "book")
    put_cask(root, 5, ev("2020-01-01", "receive", verdict="accept", berth="W10/5"), ev("2020-01-02", "move", berth="W1/10"))
    assert rows(root, "SELECT berth, store FROM event WHERE cask LIKE '%5' ORDER BY date", "2021-06-01") == [("W10/5", "old"), ("W1/10", "row's end")]
