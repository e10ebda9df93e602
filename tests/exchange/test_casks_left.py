"""Casks that are gone in the old register: they come in with their story, received and gone, and what a row cannot tell is asked about."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from commands import caskbook

from exchange.houses import answer, bring, cask_text, facts, house, said

HEAD = "opening: 2026-01-31\ncolumns:\n  Cask: cask\n"
FILL_OUT = "every_row: {verdict: accept, type: barrel}\n"


def one(folder: Path, every: str = FILL_OUT, **cells: str) -> dict:
    """The answer for one cask TH-000001 whose columns are called as the keys are."""
    house(folder)
    text = HEAD + "".join(f"  {key}: {key}\n" for key in cells) + every
    return answer(folder, ",".join(["Cask", *cells]) + "\n" + ",".join(f'"{cell}"' for cell in ("TH-000001", *cells.values())) + "\n", text, "--yes")


def entries(folder: Path, number: str = "TH-000001") -> list[dict]:
    """The entries of a cask, without what every one of a register has."""
    aside = ("id", "sheet", "source", "verdict")
    return [{key: value for key, value in one.items() if key not in aside} for one in yaml.safe_load(cask_text(folder, number))["events"]]


def day(text: str) -> object:
    return yaml.safe_load(text)


GONE = {"received": "2004-05-01", "left": "2019-06-11"}


@pytest.mark.parametrize(
    ("cells", "leaving", "state", "there"),
    [
        ({"state": "Sold", "left_to": "ashgarth"}, {"job": "dispose", "how": "sold", "to": "ashgarth"}, "gone", {"sold": 1}),
        ({"state": "scrap"}, {"job": "dispose", "how": "scrapped"}, "gone", {"scrapped": 1}),
        ({"state": "sent back", "left_to": "northquay"}, {"job": "dispose", "how": "returned", "to": "northquay"}, "gone", {"returned": 1}),
        ({"state": "Broken up"}, {"job": "break-up"}, "gone", {"broken-up": 1}),
        ({"state": "stolen"}, {"job": "dispose", "how": "stolen"}, "gone", {"stolen": 1}),
        ({"state": "not found", "contents": "empty"}, {"job": "missing"}, "missing", {"missing": 1}),
        (
            {"state": "away", "contents": "empty", "left_to": "shop-vale", "left_why": "new heads"},
            {"job": "send", "to": "shop-vale", "why": "new heads"},
            "away",
            {"sent-away": 1},
        ),
        ({"state": "RETIRED", "left_why": "worn", "approved_by": "ab"}, {"job": "retire", "reasons": ["worn"], "approved_by": "ab"}, "retired", {"retired": 1}),
    ],
)
def test_each_way_of_leaving_is_an_entry_of_its_own(tmp_path: Path, cells: dict, leaving: dict, state: str, there: dict) -> None:
    found = one(tmp_path, **GONE, **cells)
    assert found["written"] == 1 and found["left"] == there, found
    received, *rest, left = entries(tmp_path)
    assert received["date"] == day("2004-05-01") and received["job"] == "receive"
    assert left == {"date": day("2019-06-11"), **leaving} and all(one["job"] == "note" for one in rest)
    assert facts(tmp_path, "TH-000001")["state"] == state
    assert json.loads(caskbook("check", "--strict", "--format", "json", cwd=tmp_path).stdout)["findings"] == []
    stock = caskbook("due", cwd=tmp_path).stdout
    counted = {"gone": "0 casks", "missing": "0 casks", "away": "1 cask (1 away)"}.get(state, "1 cask")
    assert counted in stock and ("away" in stock) == (state == "away"), stock


@pytest.mark.thorough
def test_a_cask_that_was_sold_full_left_full_and_its_fill_ended_that_day(tmp_path: Path) -> None:
    cells = {"spirit": "malt", "filled": "2015-06-11", "filled_litres": "198", "filled_abv": "63.5", "gauged": "2018-01-01", "litres": "185", "abv": "62"}
    assert one(tmp_path, **GONE, state="sold", **cells)["written"] == 1
    assert [entry["job"] for entry in entries(tmp_path)] == ["receive", "fill", "note", "dispose"]
    found = facts(tmp_path, "TH-000001")
    assert (found["state"], found["contents"], found["fills"]) == ("gone", "spirit", 1) and found["years_in_wood"] == pytest.approx(4, abs=0.01)


@pytest.mark.thorough
def test_where_nothing_else_is_known_its_book_is_of_one_day(tmp_path: Path) -> None:
    """Neither the day it came nor what was in it is known: the first day that tells of it is that of its leaving."""
    found = one(tmp_path, state="sold", left="2019-06-11", charred="2015", note="rusty")
    assert found["written"] == 1 and found["kept_as_words"] == {"contents": 1}
    assert entries(tmp_path) == [
        {"date": day("2019-06-11"), "job": "receive"},
        {"date": day("2019-06-11"), "job": "note", "note": "rusty; what was in it when it left is not known"},
        {"date": day("2019-06-11"), "job": "dispose", "how": "sold"},
    ]


@pytest.mark.parametrize(
    ("cells", "key", "code"),
    [
        ({"state": "sold", "left": "?"}, "left", "left-without-day"),
        ({"state": "sold", "left": "2019"}, "left", "no-whole-day"),
        ({"left": "2019-06-11", "contents": "empty"}, "state", "left-how-not-known"),
        ({"state": "full", "left": "2019-06-11", "spirit": "malt"}, "state", "left-and-in-stock"),
        ({"state": "in stock", "left": "2019-06-11", "contents": "empty"}, "state", "left-and-in-stock"),
        ({"state": "retired", "left": "2019-06-11", "left_why": "worn"}, "approved_by", "leaving-lacks"),
        ({"state": "retired", "left": "2019-06-11", "approved_by": "ab"}, "left_why", "leaving-lacks"),
        ({"state": "sent away", "contents": "empty", "left": "2019-06-11", "left_why": "new heads"}, "left_to", "leaving-lacks"),
        ({"state": "sent away", "contents": "empty", "left": "2019-06-11", "left_to": "vale"}, "left_why", "leaving-lacks"),
        ({"state": "sent away", "left": "2019-06-11", "left_to": "vale", "left_why": "new heads"}, "state", "contents-not-known"),
        ({"state": "broken up", "left": "2019-06-11", "spirit": "malt"}, "state", "contents-contradict"),
        ({"state": "scrapped", "left": "2019-06-11", "spirit": "malt", "filled": "2015-01-01"}, "state", "contents-contradict"),
        ({"state": "sold", "left": "2019-06-11", "contents": "full"}, "contents", "contents-not-known"),
        ({"state": "full", "contents": "empty"}, "state", "contents-contradict"),
        ({"state": "malt", "contents": "rum"}, "state", "contents-contradict"),
        ({"state": "sold", "left": "2031-06-11"}, "left", "date-in-future"),
        ({"state": "sold", "left": "2019-06-11", "received": "2020-01-01"}, "received", "after-it-left"),
        ({"state": "sold", "left": "2019-06-11", "tested": "2020-01-01", "test_result": "pass", "test_psi": "10"}, "tested", "after-it-left"),
        ({"state": "sold", "left": "2019-06-11", "charred": "2020"}, "charred", "later-than-its-opening"),
        ({"state": "scraped", "left": "2019-06-11"}, "state", "unknown-word"),
        ({"state": "gone", "left": "2019-06-11"}, "state", "unknown-word"),
        ({"state": "rebuilt", "left": "2019-06-11"}, "state", "unknown-word"),
        ({"state": "dumped", "left": "2019-06-11"}, "state", "unknown-word"),
        ({"state": "void"}, "state", "unknown-word"),
        ({"state": "quux"}, "state", "unknown-word"),
        ({"state": "in stock"}, "state", "contents-not-known"),
        ({"state": "?"}, "state", "contents-not-known"),
    ],
)  # fmt: skip
@pytest.mark.thorough
def test_what_cannot_be_told_is_refused_with_its_row_and_why(tmp_path: Path, cells: dict, key: str, code: str) -> None:
    found = one(tmp_path, **cells)
    assert said(found) == [(2, key, code)] and found["faults"][0]["reason"] and found["written"] == 0, found


def test_a_slip_in_a_state_is_answered_with_the_nearest_word(tmp_path: Path) -> None:
    found = one(tmp_path, state="scraped", left="2019-06-11")
    assert "did you mean scrapped?" in found["faults"][0]["reason"]


@pytest.mark.parametrize(("text", "contents"), [("Empty", "empty"), ("malt", "spirit"), ("Oloroso", "wine"), ("FULL", "spirit"), ("in stock", "spirit")])
@pytest.mark.thorough
def test_a_state_of_casks_that_are_here_says_what_is_in_them(tmp_path: Path, text: str, contents: str) -> None:
    more = {"spirit": "malt"} if text in ("FULL", "in stock") else {}
    found = one(tmp_path, state=text, left="", **more)
    assert found["written"] == 1 and found["left"] == {} and facts(tmp_path, "TH-000001")["contents"] == contents


@pytest.mark.thorough
def test_what_a_row_says_for_all_is_not_said_of_what_a_gone_cask_held(tmp_path: Path) -> None:
    every = "every_row: {verdict: accept, type: barrel, spirit: malt}\n"
    assert one(tmp_path / "a", every, state="scrapped", left="2019-06-11")["written"] == 1
    assert entries(tmp_path / "a")[0] == {"date": day("2019-06-11"), "job": "receive"}
    assert one(tmp_path / "b", every, state="sold", left="2019-06-11", filled="2015-01-01")["written"] == 1
    assert facts(tmp_path / "b", "TH-000001")["contents"] == "spirit"


REGISTER = """Cask,Type,Status,Date out,To whom,Reason,Make,Bay
TH-000001,barrel,sold,2019-06-11,ashgarth,,,W1/05/2
TH-000002,barrel,broken up,2019-06-12,,,,W1/05/2
TH-000003,barrel,malt,,,,,W1/05/2
TH-000004,barrel,retired,2019-06-13,,worn,,
TH-000005,barrel,scrapped,,,,,
"""


@pytest.mark.thorough
def test_the_first_map_finds_the_columns_and_the_counts_tell_who_is_gone(tmp_path: Path) -> None:
    house(tmp_path)
    (tmp_path / "old.csv").write_text(REGISTER)
    text = caskbook("import", "map", "old.csv", cwd=tmp_path).stdout
    found = yaml.safe_load(text)
    assert [found["columns"][name] for name in ("Status", "Date out", "To whom", "Reason")] == ["state", "left", "left_to", "left_why"]
    assert found["every_row"]["approved_by"] == "ask"
    finished = text.replace("opening: ask", "opening: 2026-01-31").replace("approved_by: ask", "approved_by: ab")
    done = bring(tmp_path, REGISTER, finished, "--dry-run")
    assert "row 6" in done.stdout and "scrapped, and on which day is not known" in done.stdout
    assert "not in stock any more, with their story: 1 broken up, 1 sold" in done.stdout
    assert "still of this house: 1 retired" in done.stdout and "a place for one cask" not in done.stdout
    assert done.stdout.splitlines()[-1] == "5 rows = 4 to write + 0 in the book already + 1 refused"
    assert answer(tmp_path, REGISTER, finished, "--yes")["left"] == {"broken-up": 1, "retired": 1, "sold": 1}
    again = answer(tmp_path, REGISTER, finished, "--yes")
    assert (again["written"], again["already_there"], again["refused"]) == (0, 4, 1)
    changed = answer(tmp_path, REGISTER.replace("ashgarth", "otherwood"), finished, "--yes")
    assert (2, "To whom", "row-changed") in said(changed)


def test_a_status_of_casks_that_are_all_here_is_what_is_in_them(tmp_path: Path) -> None:
    house(tmp_path)
    (tmp_path / "old.csv").write_text("Cask,Type,Status\nTH-000001,barrel,empty\nTH-000002,barrel,malt\n")
    assert yaml.safe_load(caskbook("import", "map", "old.csv", cwd=tmp_path).stdout)["columns"]["Status"] == "contents"


def test_strange_words_of_a_state_are_asked_about_in_the_map(tmp_path: Path) -> None:
    house(tmp_path)
    (tmp_path / "old.csv").write_text("Cask,Type,Status,Out\n" + "".join(f"TH-{n:06d},barrel,{'sold' if n % 2 else 'WOFF'},2019-06-11\n" for n in range(8)))
    found = yaml.safe_load(caskbook("import", "map", "old.csv", cwd=tmp_path).stdout)
    assert found["columns"]["Status"] == {"is": "state", "words": {"WOFF": "ask"}} and found["columns"]["Out"] == "left"


def test_a_map_says_what_a_houses_own_word_means_and_once_for_all_rows(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  Status: {is: state, words: {woff: scrapped}}\n  Out: left\n" + FILL_OUT
    assert answer(tmp_path, "Cask,Status,Out\nTH-000001,WOFF,2019-06-11\n", chart, "--yes")["left"] == {"scrapped": 1}
    wrong = bring(tmp_path, "Cask,Status,Out\nTH-000002,WOFF,2019-06-11\n", chart.replace("scrapped", "gone"), "--yes")
    assert wrong.returncode == 2 and "'Status': 'gone'" in wrong.stderr
    once = HEAD + "  Out: left\nevery_row: {verdict: accept, type: barrel, state: sold}\n"
    found = answer(tmp_path, "Cask,Out\nTH-000003,2019-06-11\nTH-000004,?\n", once, "--yes")
    assert found["left"] == {"sold": 1} and said(found) == [(3, "left", "left-without-day")] or said(found) == [(3, "Out", "left-without-day")]


def test_reasons_and_names_are_of_a_leaving_only_where_casks_left(tmp_path: Path) -> None:
    house(tmp_path)
    (tmp_path / "old.csv").write_text("Cask,Type,Reason,To,Signed by\nTH-000001,barrel,worn,ashgarth,ab\n")
    found = yaml.safe_load(caskbook("import", "map", "old.csv", cwd=tmp_path).stdout)
    assert {found["columns"][name] for name in ("Reason", "To", "Signed by")} == {"ask"}
    assert one(tmp_path / "b", contents="empty", left_why="worn")["kept_as_words"] == {"left_why": 1}
    assert "note: 'reason: worn'" in cask_text(tmp_path / "b", "TH-000001")


def test_who_is_gone_in_a_column_of_contents_is_told_which_column_that_is(tmp_path: Path) -> None:
    found = one(tmp_path, contents="sold")
    assert said(found) == [(2, "contents", "unknown-word")] and "is `state`" in found["faults"][0]["help"]
