"""A messy register comes in: every good row, every planted fault told with its row, column and reason and nothing else, and `check` finds
the book clean. The default run takes one of each fault, the thorough one five thousand rows."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from commands import caskbook

from exchange.houses import answer, bring, cask_text, files, house
from exchange.messy import HEADINGS, MAP, PLANTS, Register, register


def brought(folder: Path, made: Register) -> dict:
    house(folder)
    for number in made.in_book:
        assert caskbook("enter", "receive", number, "accept", "--type", "barrel", "--by", "ab", "--yes", cwd=folder).returncode == 0
    return answer(folder, made.csv(), MAP, "--yes")


def holds(folder: Path, made: Register) -> None:
    found = brought(folder, made)
    told = {(one["row"], one["column"], one["code"]) for one in found["faults"]}
    assert told == made.planted and len(found["faults"]) == len(made.planted)
    assert all(one["reason"] for one in found["faults"])
    assert found["rows"] == len(made.rows) == found["written"] + found["already_there"] + found["refused"]
    assert {name.removesuffix(".yaml") for name in files(folder)} == made.good | set(made.in_book)
    checked = json.loads(caskbook("check", "--format", "json", "--strict", cwd=folder).stdout)
    assert [one for one in checked["findings"] if one["severity"] != "note"] == []
    before = files(folder)
    again = answer(folder, made.csv(), MAP, "--yes")
    assert (again["written"], again["already_there"], again["refused"]) == (0, found["written"], found["refused"])
    assert files(folder) == before
    a_changed_row_is_asked_about(folder, made, found["written"])
    assert files(folder) == before


def a_changed_row_is_asked_about(folder: Path, made: Register, there: int) -> None:
    """One cell of a row that is in the book, whatever it was."""
    at = next(n for n, row in enumerate(made.rows) if n + 2 not in {row for row, _, _ in made.planted} and row[HEADINGS.index("Bought of")] == "ashgarth")
    made.rows[at][HEADINGS.index("Bought of")] = "otherwood"
    found = answer(folder, made.csv(), MAP, "--yes")
    changed = [one for one in found["faults"] if one["code"] == "row-changed"]
    assert [(one["row"], one["column"]) for one in changed] == [(at + 2, "Bought of")] and found["already_there"] == there - 1
    assert "the book has ashgarth as supplier, this row otherwood" in changed[0]["reason"] and "enter correct" in changed[0]["help"]


def test_one_of_each_fault(tmp_path: Path) -> None:
    holds(tmp_path, register(len(PLANTS) + 60, seed=7, faults=1))


@pytest.mark.thorough
@pytest.mark.parametrize("rows", [1500, pytest.param(5000, marks=pytest.mark.slow)])
def test_a_whole_register(tmp_path: Path, rows: int) -> None:
    holds(tmp_path, register(rows))


@pytest.mark.thorough
def test_the_same_seed_makes_the_same_register() -> None:
    assert register(100, 3, 1).csv() == register(100, 3, 1).csv() != register(100, 4, 1).csv()


@pytest.mark.thorough
def test_every_refusal_is_printed_and_the_counts_add_up(tmp_path: Path) -> None:
    house(tmp_path)
    made = register(len(PLANTS) + 60, seed=5, faults=1)
    made.in_book.clear()
    done = bring(tmp_path, made.csv(), MAP, "--dry-run")
    planted = {one for one in made.planted if one[2] != "number-in-book"}
    lines = done.stdout.splitlines()
    assert {int(line.split()[1]) for line in lines if line.startswith("row ")} == {row for row, _, _ in planted}
    assert sum(line.startswith("row ") for line in lines) == len(planted)
    refused = len({row for row, _, _ in planted})
    assert lines[-1] == f"{len(made.rows)} rows = {len(made.rows) - refused} to write + 0 in the book already + {refused} refused"
    assert done.returncode == 1 and files(tmp_path) == {} and "a dry run: nothing written" in done.stderr


def test_refusals_as_a_table_for_the_spreadsheet(tmp_path: Path) -> None:
    house(tmp_path)
    done = bring(
        tmp_path,
        "No,Type,In it\n=1+1,barrel,empty\n2,tank,empty\n",
        'columns: {"No": {is: cask, prefix: TH-, digits: 6}, Type: type, In it: contents}\nopening: 2026-01-31\nevery_row: {verdict: accept}\n',
        "--format",
        "csv",
        "-n",
    )
    rows = list(csv.DictReader(io.StringIO(done.stdout)))
    assert [(row["row"], row["column"], row["found"]) for row in rows] == [("2", "No", "'=1+1"), ("3", "Type", "tank")]
    assert "2 rows = 0 to write + 0 in the book already + 2 refused" in done.stderr


def test_a_row_reads_as_a_person_would_have_entered_it(tmp_path: Path) -> None:
    house(tmp_path)
    row = dict.fromkeys(HEADINGS, "")
    row |= {"Cask No": "4217", "Old mark": "88-1207", "Type": "ASB", "Cap (USgal)": "53", "Ex": "Bourbon", "Fills": "2", "Recharred": "2011", "Rec'd": "12/03/2015", "Full?": "F",
            "Date filled": "20 Mar 2015", "RL filled": "198.4", "Strength": "63.5", "°F": "57", "Tested": "15.3.2015", "P/F": "P", "Bar": "0.75", "Bay": "W1/05/2",
            "Last gauged": "2024-06-11", "Litres now": "181.5", "ABV now": "60.9", "Remarks": "hoops rusty"}  # fmt: skip
    made = Register([list(row.values())])
    assert answer(tmp_path, made.csv(), MAP, "--yes")["written"] == 1
    text = "\n".join(line for line in cask_text(tmp_path, "TH-004217").splitlines() if " id: " not in line and "sheet:" not in line and "source:" not in line)
    assert (
        text
        == """\
cask: TH-004217
format: 1
type: barrel
capacity_l: 200.63
was: ['4217', 88-1207]
prior:
  - {contents: bourbon, fills: 1}
charred: 2011
events:
    date: 2015-03-12
    job: receive
    verdict: accept
    date: 2015-03-15
    job: test
    psi: 10.88
    result: pass
    date: 2015-03-20
    job: fill
    spirit: malt
    litres: 198.4
    abv: 63.5
    temp_c: 13.89
    berth: W1/05/2
    date: 2024-06-11
    job: regauge
    litres: 181.5
    abv: 60.9
    method: dip
    date: 2026-06-30
    job: note
    note: hoops rusty"""
    )
