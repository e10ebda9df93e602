"""`days`: what was done on some days, through the command."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from casks import ev
from commands import caskbook
from index.book import copied, put_cask, same

HOUSE = """timezone: UTC
crew: [{initials: ab, name: Ann Bell}, {initials: kd}]
stores:
  - {since: 2000-01-01, value: {W1: old store, Y: yard}}
"""
LIFE = (
    ev("2026-11-02", "receive", verdict="accept", berth="Y2"),
    ev("2026-11-03", "examine", verdict="sound"),
    {**ev("2026-11-03", "test", psi=9, result="pass"), "by": "kd"},
    {**ev("2026-11-04", "fill", spirit="malt", litres=190.5, abv=63.0, at_20=True, berth="W1/1"), "by": "xx"},
    ev("2026-11-05", "sample", ml=100),
)
DAY = "2026-11-08"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("days") / "book"
    (root / "casks").mkdir(parents=True)
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    put_cask(root, 1, *LIFE, ev("2026-11-06", "void", of="e0000005", why="wrong cask"), parcel="P-1")
    put_cask(root, 2, *LIFE[:3], type="hogshead", parcel="P-2")
    return root


def told(book: Path, *words: str, day: str = DAY) -> Any:
    code, out, _ = same(book, "days", *words, "--format", "json", day=day)
    assert code == 0
    return json.loads(out)


def names(found: Any, by: str, figure: str = "entries") -> dict[str, Any]:
    (table,) = [one for one in found["tables"] if one["by"] == by]
    return {row["name"]: row[figure] for row in table["rows"]}


def test_by_month_and_type(book: Path) -> None:
    """Of the barrel 4 entries stand, of the hogshead 3; each asked for by itself, and in neither case on the first screen."""
    assert names(told(book, "2026", "--by", "month"), "month") == {"2026-11": 7}
    assert names(told(book, "2026", "--by", "type"), "type") == {"barrel": 4, "hogshead": 3}
    assert names(told(book, "2026", "--by", "type"), "type", "casks") == {"barrel": 1, "hogshead": 1}
    assert [table["by"] for table in told(book)["tables"]] == ["job", "store", "person", "day"]
    _, out, _ = same(book, "days", "2026", "--by", "month", "--explain", day=DAY)
    assert "month" in out and "2026-11" in out and "months without an entry are left out" in " ".join(out.split())


def test_by_job_store_person_and_day(book: Path) -> None:
    found = told(book)
    assert (found["from"], found["to"], found["days"], found["entries"], found["casks"]) == ("2026-11-02", DAY, 7, 7, 2)
    assert names(found, "job") == {"receive": 2, "examine": 2, "test": 2, "fill": 1}
    assert names(found, "store") == {"yard": 6, "old store": 1}
    assert names(found, "person") == {"ab": 4, "kd": 2, "xx": 1}
    people = {row["name"]: (row["person"], row["known"]) for row in found["tables"][2]["rows"]}
    assert people == {"ab": ("Ann Bell", True), "kd": (None, True), "xx": (None, False)}
    assert names(found, "day") == {"2026-11-02": 2, "2026-11-03": 4, "2026-11-04": 1}
    assert found["apart"] == {"out_of_force": {"void": 1}, "putting_right": {"void": 1}, "no_job": 0, "no_day": 0, "casks_in_part": 0}
    assert names(found, "job", "litres_in")["fill"] == 190.5 and names(found, "job", "passed")["test"] == 2


def test_text_tells_it_on_one_screen_of_80_columns(book: Path) -> None:
    code, out, said = same(book, "days", day=DAY)
    assert (code, said) == (0, "") and len(out.splitlines()) < 24 and max(map(len, out.splitlines())) <= 80
    assert out.startswith("done 2026-11-02..2026-11-08, 7 days\n7 entries on 2 casks · tests: 2 passed, 0 failed · 190.5 L in\n")
    assert "person: Ann Bell (ab): 4 · kd: 2 · xx (not of the crew): 1" in out
    assert "not counted, for they count no more: 1 voided" in out and "not counted, putting right alone: 1 void" in out


@pytest.mark.thorough
def test_csv_and_json_lines_hold_the_same(book: Path) -> None:
    whole = told(book)
    lines = [json.loads(line) for line in same(book, "days", "--format", "jsonl", day=DAY)[1].splitlines()]
    assert lines == [{"by": table["by"], **row} for table in whole["tables"] for row in table["rows"]]
    rows = list(csv.DictReader(io.StringIO(same(book, "days", "--format", "csv", day=DAY)[1])))
    assert [(row["by"], row["name"], int(row["entries"]), float(row["litres_in"])) for row in rows] == [
        (row["by"], row["name"], row["entries"], row["litres_in"]) for row in lines
    ]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "entries"),
    [
        (("2026-11-03",), 4),
        (("2026-11-03..2026-11-04",), 5),
        (("2026-11",), 7),
        (("-5..-4",), 5),
        (("--type", "hogshead"), 3),
        (("--parcel", "P-1"), 4),
        (("--store", "old store"), 1),
        (("--store", "yard", "--type", "barrel"), 3),
        (("--berth", "W1"), 1),
        (("--parcel", "P-1", "--parcel", "P-2"), 7),
        (("2026-10",), 0),
    ],
)
def test_days_and_filters(book: Path, words: tuple[str, ...], entries: int) -> None:
    found = told(book, *words)
    assert found["entries"] == entries == sum(names(found, "job").values())


@pytest.mark.thorough
def test_one_table_alone_and_what_each_figure_means(book: Path) -> None:
    found = told(book, "--by", "person", "--explain")
    assert [table["by"] for table in found["tables"]] == ["person"]
    assert {"entries", "casks", "late", "person"} <= {one["figure"] for one in found["explain"]}
    assert "filter: none: the whole book" in same(book, "days", "--explain", day=DAY)[1]
    assert "only type hogshead" in same(book, "days", "--explain", "--type", "hogshead", day=DAY)[1]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("2026-11-08..2026-11-02",), "turned round it is 2026-11-02..2026-11-08"),
        (("2026-11-09",), "expected days up to 2026-11-08"),
        (("soon",), "is no day"),
        (("--by", "jobs"), "expected job, store, person, day, month or type"),
        (("--explain", "--format", "csv"), "expected text or json"),
        (("--bye", "job"), "bye"),
        (("--type", "tun"), "tun"),
    ],
)
def test_what_cannot_be_answered_is_said_in_a_line(book: Path, words: tuple[str, ...], said: str) -> None:
    code, out, error = same(book, "days", *words, day=DAY)
    assert (code, out) == (2, "") and said in error


def test_days_that_lie_ahead_are_cut_off_and_said(book: Path) -> None:
    code, out, said = same(book, "days", "2026-11", day="2026-11-03")
    assert code == 0 and "done 2026-11-01..2026-11-03, 3 days" in out and "6 entries" in out and "days up to 2026-11-03" in said


@pytest.mark.thorough
def test_days_without_an_entry_and_a_filter_that_nothing_fits(book: Path) -> None:
    assert same(book, "days", "2026-10-01", day=DAY)[:2] == (0, "done on 2026-10-01\nnothing was done that stands in the book\n")
    code, out, said = same(book, "days", "--store", "old stor", day=DAY)
    assert code == 0 and "passes the filter" in out and "did you mean old store?" in said


@pytest.mark.thorough
def test_entries_that_cannot_be_read_are_counted_and_said(book: Path, tmp_path: Path) -> None:
    root = copied(book, tmp_path / "book")
    broken = (ev("2026-11-03", "fil", litres=3), ev("26-11-03", "note", note="x"), ev("2026-11-04", "test", psi="much", result="pass"))
    put_cask(root, 3, LIFE[0], *broken)
    found = told(root)
    assert found["apart"] | {"no_job": 1, "no_day": 1, "casks_in_part": 1} == found["apart"]
    assert (found["entries"], names(found, "job")["test"], names(found, "job", "broken")["test"]) == (9, 3, 1)
    _, out, said = same(root, "days", day=DAY)
    flat = " ".join(out.split())
    assert (
        "a value cannot be read in 1 of these" in flat
        and "1 of no known job, 1 whose day cannot be read" in flat
        and "what cannot be read of 1 cask of the book may be of these days too" in flat
    )
    assert "TH-001003 is told in part" in said


@pytest.mark.thorough
def test_late_entries_are_told_apart_with_their_days(book: Path, tmp_path: Path) -> None:
    root = copied(book, tmp_path / "book")
    put_cask(root, 4, LIFE[0], ev("2026-11-03", "note", note="x"))
    done = caskbook("enter", "note", "TH-001004", "--note", "forgotten", "--date", "2026-11-04", "--by", "ab", "--yes", "--records", str(root))
    assert done.returncode == 0, done.stderr
    found = told(root)
    assert found["late"]["entries"] == 1 and found["late"]["least_days"] == found["late"]["most_days"] >= 2
    assert "late, among these: 1 entry, entered" in same(root, "days", day=DAY)[1]


@pytest.mark.thorough
def test_a_revision_has_what_it_had(book: Path, tmp_path: Path) -> None:
    from index.book import commit_all

    root = copied(book, tmp_path / "book")
    commit_all(root)
    before = told(root)
    put_cask(root, 5, *LIFE[:2])
    at_head = told(root, "--at", "HEAD")
    assert at_head.pop("revision")["commit"] and at_head == before
    assert told(root)["entries"] == before["entries"] + 2


def test_a_book_without_casks(tmp_path: Path) -> None:
    (tmp_path / "casks").mkdir()
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    done = caskbook("days", "--records", str(tmp_path), "--as-of", DAY)
    assert (done.returncode, done.stdout) == (0, "done 2026-11-02..2026-11-08, 7 days\nnothing was done that stands in the book\n")
