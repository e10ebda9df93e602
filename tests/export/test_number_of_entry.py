"""An entry that a table names by its id stands in one file: of a cask of two numbers the table says in which."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

from export.exports import csv_rows, export

pytestmark = pytest.mark.thorough

ON, OLD, ALONE = "TH-000001", "TH-000002", "TH-000003"
HEAD = "format: 1\ntype: barrel\ncapacity_l: 200\nprior: [{contents: bourbon, fills: 1}]\ncharred: 2011\nevents:\n"
FILLED = """\
  - {id: e0000001, date: 2015-01-01, job: receive, by: ab, verdict: accept}
  - {id: e0000002, date: 2015-01-02, job: examine, by: ab, verdict: sound}
  - {id: e0000003, date: 2015-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true, method: meter}
  - {id: e0000004, date: 2016-01-03, job: leak, by: ab, at: joint-4, severity: weep}
"""
LATER = """\
  - {id: e0000011, date: 2018-01-01, job: same-as, by: ab, of: TH-000002, why: two numbers}
  - {id: e0000012, date: 2018-01-03, job: regauge, by: ab, litres: 180, abv: 59, at_20: true, method: meter}
  - {id: e0000013, date: 2018-02-03, job: leak, by: ab, at: joint-9, severity: weep}
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text("name: H\ntimezone: UTC\n", encoding="utf-8")
    for number, events in ((OLD, FILLED), (ON, LATER), (ALONE, FILLED)):
        (root / "casks" / "TH-000" / f"{number}.yaml").write_text(f"cask: {number}\n{HEAD}{events}", encoding="utf-8")
    return root


def test_the_file_of_a_fill_a_gauge_and_a_leak_is_named(book: Path, tmp_path: Path) -> None:
    done = export(book, tmp_path / "out")
    assert done.returncode == 0, done.stderr
    entries = {(row["number"], row["event"]) for row in csv_rows(tmp_path / "out", "event")}
    for table, event, of_joined in (("fill", "event", [OLD]), ("gauge", "event", [OLD, ON]), ("leak", "event", [OLD, ON])):
        rows = csv_rows(tmp_path / "out", table)
        assert [row["number"] for row in rows if row["cask"] == ON] == of_joined, (table, rows)
        assert {row["number"] for row in rows if row["cask"] == ALONE} == {ALONE}
        assert {(row["number"], row[event]) for row in rows} <= entries, table


def test_a_query_joins_a_fill_with_its_entry(book: Path) -> None:
    sql = "SELECT f.cask, e.number, e.litres FROM fill f JOIN event e ON e.id = f.event AND e.number = f.number ORDER BY 1"
    done = caskbook("query", sql, "--format", "json", "--records", str(book), "--as-of", "2026-11-30")
    assert [tuple(row.values()) for row in json.loads(done.stdout)] == [(ON, OLD, 190.0), (ALONE, ALONE, 190.0)], done.stderr
