"""The vat of a fill in an old register: it comes in with the entry of the filling, and the casks of a vat are held against what it held."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from commands import caskbook

from exchange.houses import answer, bring, cask_text, facts, house, said

CHART = """\
opening: 2026-01-31
columns: {Cask: cask, In: received, Filled: filled, RL: filled_litres, ABV: filled_abv, Vat: vat, Held: vat_litres, Make: {is: spirit, blank: empty}}
every_row: {verdict: accept, type: barrel}
"""
HEADINGS = "Cask,In,Filled,RL,ABV,Vat,Held,Make\n"


def row(
    number: int, came: str = "", filled: str = "2015-03-20", litres: str = "190", abv: str = "63.5", vat: str = "V12", held: str = "", make: str = "malt"
) -> str:
    return f"TH-{number:06d},{came},{filled},{litres},{abv},{vat},{held},{make}\n"


def jobs(folder: Path, number: str) -> list[tuple[str, str, str | None]]:
    return [(str(one["date"]), one["job"], one.get("vat")) for one in yaml.safe_load(cask_text(folder, number))["events"]]


def findings(folder: Path) -> list[str]:
    checked = json.loads(caskbook("check", "--format", "json", cwd=folder).stdout)
    return [one["code"] for one in checked["findings"]]


def test_a_vat_comes_in_with_the_entry_of_the_filling(tmp_path: Path) -> None:
    """Where nobody knows when the cask came, the filling is the first that is told of it: received and filled that day."""
    house(tmp_path)
    found = answer(tmp_path, HEADINGS + row(1, "2014-01-01", held="380") + row(2), CHART, "--yes")
    assert found["written"] == 2 and found["kept_as_words"] == {}
    assert jobs(tmp_path, "TH-000001") == [("2014-01-01", "receive", None), ("2015-03-20", "fill", "V12")]
    assert jobs(tmp_path, "TH-000002") == [("2015-03-20", "receive", None), ("2015-03-20", "fill", "V12")]
    assert "vat_litres: 380" in cask_text(tmp_path, "TH-000001") and facts(tmp_path, "TH-000002")["vat"] == "V12"
    assert caskbook("list", "--vat", "v12", "--columns", "cask", "--format", "csv", cwd=tmp_path).stdout.split()[1:] == ["TH-000001", "TH-000002"]
    assert findings(tmp_path) == []
    assert answer(tmp_path, HEADINGS + row(1, "2014-01-01", held="380") + row(2), CHART, "--yes")["already_there"] == 2


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"litres": ""}, "vat V12"),
        ({"abv": "?"}, "vat V12"),
        ({"came": "2016-01-01"}, "vat V12"),
        ({"filled": ""}, "vat V12"),
        ({"filled": "", "litres": "", "abv": "", "make": ""}, "vat V12"),
        ({"make": "Oloroso", "abv": "17"}, "vat V12"),
        ({"vat": "?", "held": "500"}, "vat litres 500 L"),
    ],
)
@pytest.mark.thorough
def test_where_no_entry_of_a_filling_can_be_it_is_kept_in_words(tmp_path: Path, cells: dict, words: str) -> None:
    house(tmp_path)
    found = answer(tmp_path, HEADINGS + row(1, **cells), CHART, "--yes")
    text = cask_text(tmp_path, "TH-000001")
    assert words in text and "vat:" not in text and set(found["kept_as_words"]) & {"vat", "vat_litres"} and findings(tmp_path) == []


@pytest.mark.parametrize("vat", ["", "none"])
@pytest.mark.thorough
def test_a_row_without_a_vat_comes_in_as_before(tmp_path: Path, vat: str) -> None:
    house(tmp_path)
    assert answer(tmp_path, HEADINGS + row(1, vat=vat), CHART, "--yes")["written"] == 1
    assert jobs(tmp_path, "TH-000001") == [("2015-03-20", "receive", None)]


@pytest.mark.parametrize(
    ("rows", "refused"),
    [
        (
            [row(1, held="500"), row(2), row(3, vat="v12"), row(4, vat="V13")],
            [(2, "Vat", "vat-overdrawn"), (3, "Vat", "vat-overdrawn"), (4, "Vat", "vat-overdrawn")],
        ),
        ([row(1, held="500"), row(2, held="400"), row(3, vat="V13")], [(2, "Held", "vat-litres-differ"), (3, "Held", "vat-litres-differ")]),
        ([row(1, held="380"), row(2), row(3, filled="2015-03-21", held="400")], []),
    ],
)
@pytest.mark.thorough
def test_the_casks_of_a_vat_are_held_against_what_it_held(tmp_path: Path, rows: list[str], refused: list) -> None:
    house(tmp_path)
    found = answer(tmp_path, HEADINGS + "".join(rows), CHART, "--yes")
    assert said(found) == refused and found["written"] == len(rows) - len(refused)
    assert set(findings(tmp_path)) <= {"vat-remainder"}
    again = answer(tmp_path, HEADINGS + "".join(rows), CHART, "--yes")
    assert (again["written"], again["already_there"], said(again)) == (0, found["written"], refused)


@pytest.mark.thorough
def test_what_the_book_has_of_a_vat_counts_too(tmp_path: Path) -> None:
    house(tmp_path)
    assert answer(tmp_path, HEADINGS + row(1, held="380") + row(2), CHART, "--yes")["written"] == 2
    found = answer(tmp_path, HEADINGS + row(3), CHART, "--yes")
    assert said(found) == [(2, "Vat", "vat-overdrawn")] and "3 casks, 570.0 L of 380 L" in found["faults"][0]["reason"]


def test_what_is_left_in_a_vat_is_told_and_nothing_refused(tmp_path: Path) -> None:
    house(tmp_path)
    done = bring(tmp_path, HEADINGS + row(1, held="500"), CHART, "--dry-run")
    assert answer(tmp_path, HEADINGS + row(1, held="500"), CHART, "--dry-run")["vats_left"] == [
        "vat V12 on 2015-03-20: 1 cask, 190.0 L of 500 L: 310.0 L in none of them"
    ]
    assert done.returncode == 0 and "vat V12 on 2015-03-20: 1 cask, 190.0 L of 500 L: 310.0 L in none of them" in done.stdout


def test_a_vat_whose_name_is_a_number_stays_a_word(tmp_path: Path) -> None:
    house(tmp_path)
    assert answer(tmp_path, HEADINGS + row(1, vat="012"), CHART, "--yes")["written"] == 1
    assert "vat: '012'" in cask_text(tmp_path, "TH-000001") and findings(tmp_path) == []


def test_litres_of_a_vat_want_its_column(tmp_path: Path) -> None:
    house(tmp_path)
    chart = "opening: 2026-01-31\ncolumns: {Cask: cask, Held: vat_litres}\nevery_row: {verdict: accept, type: barrel, contents: empty}\n"
    done = bring(tmp_path, "Cask,Held\nTH-000001,500\n", chart, "--yes")
    assert done.returncode == 2 and "`vat_litres`: the litres of which vat?" in done.stderr


def test_the_first_map_knows_a_vat_by_its_heading(tmp_path: Path) -> None:
    house(tmp_path)
    (tmp_path / "old.csv").write_text(
        "Cask,Type,Make,Filled,Litres filled,Fill ABV,Vat No,Vat litres (USgal),Batch\nTH-000001,barrel,malt,2015-03-20,190,63.5,V12,500,B1\n"
    )
    found = yaml.safe_load(caskbook("import", "map", "old.csv", cwd=tmp_path).stdout)["columns"]
    assert found["Vat No"] == "vat" and found["Vat litres (USgal)"] == {"is": "vat_litres", "unit": "USgal"} and found["Batch"] == "parcel"
