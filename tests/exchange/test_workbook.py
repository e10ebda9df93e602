"""A workbook reads as the same table in a CSV does, and what only a workbook knows is used: a day is a day, a formula that broke is no value."""

from __future__ import annotations

import csv
import io
import sys
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from commands import caskbook

from exchange.houses import answer, files, house, said
from exchange.messy import MAP, register

pytestmark = pytest.mark.thorough

CHART = "opening: 2026-01-31\ncolumns:\n  Cask: {is: cask, prefix: TH-, digits: 6}\n  Since: filled\n  Strength: filled_abv\n  Heads: heads\n  Mark: was\nevery_row: {verdict: accept, type: barrel, spirit: malt}\n"
HEADINGS = ["Cask", "Since", "Strength", "Heads", "Mark"]


def book(folder: Path, *rows: list[Any], formats: dict[str, str] | None = None, epoch: datetime | None = None) -> None:
    made = openpyxl.Workbook()
    if epoch is not None:
        made.epoch = epoch
    sheet = made.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    for place, form in (formats or {}).items():
        sheet[place].number_format = form
    made.save(folder / "old.xlsx")


def brought(folder: Path, chart: str = CHART, *words: str) -> dict[str, Any]:
    (folder / "map.yaml").write_text(chart)
    import json

    done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", "--format", "json", "--yes", *words, cwd=folder)
    assert done.stdout, done.stderr
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def test_the_same_table_makes_the_same_files(tmp_path: Path) -> None:
    made = register(90, seed=3, faults=1)
    first, second = house(tmp_path / "a"), house(tmp_path / "b")
    from_csv = answer(first, made.csv(), MAP, "--yes")
    rows = [[int(cell) if n and cell.isdecimal() else cell or None for cell in row] for n, row in enumerate(csv.reader(io.StringIO(made.csv())))]
    book(second, *rows)
    from_book = brought(second, MAP)
    assert [(one["row"], one["column"], one["code"]) for one in from_book["faults"]] == said(from_csv)
    assert files(first) == files(second) and from_csv["written"] > 20


@pytest.mark.parametrize("epoch", [None, datetime(1904, 1, 1)])
def test_a_day_is_a_day_however_it_is_shown(tmp_path: Path, epoch: datetime | None) -> None:
    house(tmp_path)
    book(
        tmp_path,
        HEADINGS,
        [1, date(2015, 4, 3), 63.5, "5/5", "x"],
        [2, datetime(2015, 4, 3, 14, 30), 0.635, None, None],
        formats={"B2": "dd/mm/yy", "C3": "0.0%"},
        epoch=epoch,
    )
    assert brought(tmp_path)["written"] == 2
    found = files(tmp_path)
    assert b"date: 2015-04-03" in found["TH-000001.yaml"] and b"date: 2015-04-03" in found["TH-000002.yaml"] and b"abv: 63.5" in found["TH-000002.yaml"]


def test_what_the_spreadsheet_spoiled_is_refused(tmp_path: Path) -> None:
    house(tmp_path)
    book(
        tmp_path, HEADINGS, [1, 42075, 63.5, None, None], [2, "2015-04-03", "=1/0", None, None], [3, "2015-04-03", 63.5, date(2026, 5, 5), None],
        [4, "2015-04-03", 63.5, None, date(2088, 12, 7)], [5, time(14, 30), 63.5, None, None], [6, "2015-04-03", "#REF!", None, None],
        [7, "2015-04-03", 63.300000000000004, None, None], [None] * 5, [8, True, 63.5, None, None],
    )  # fmt: skip
    found = brought(tmp_path)
    assert said(found) == [
        (2, "Since", "spreadsheet-day"), (3, "Strength", "spreadsheet-error"), (4, "Heads", "day-in-cell"), (5, "Mark", "day-in-cell"),
        (6, "Since", "spreadsheet-error"), (7, "Strength", "spreadsheet-error"), (10, "Since", "no-day"),
    ]  # fmt: skip
    assert found["written"] == 1 and b"abv: 63.3\n" in files(tmp_path)["TH-000007.yaml"]


def test_which_of_several_worksheets_is_asked(tmp_path: Path) -> None:
    house(tmp_path)
    made = openpyxl.Workbook()
    made.create_sheet("casks").append(HEADINGS)
    made["casks"].append([1, "2015-04-03", 63.5, None, None])
    made.save(tmp_path / "old.xlsx")
    (tmp_path / "map.yaml").write_text(CHART)
    done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", cwd=tmp_path)
    assert done.returncode == 2 and "which worksheet?" in done.stderr and "Sheet, casks" in done.stderr
    assert brought(tmp_path, "worksheet: casks\n" + CHART)["written"] == 1
    (tmp_path / "map.yaml").write_text("worksheet: tuns\n" + CHART)
    assert "no worksheet 'tuns'" in caskbook("import", "register", "old.xlsx", "--map", "map.yaml", cwd=tmp_path).stderr
    assert "worksheet: casks" in caskbook("import", "map", "old.xlsx", "--worksheet", "casks", cwd=tmp_path).stdout


def test_without_the_reader_it_says_how_to_go_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    house(tmp_path)
    book(tmp_path, HEADINGS, [1, "2015-04-03", 63.5, None, None])
    (tmp_path / "map.yaml").write_text(CHART)
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", cwd=tmp_path)
    assert done.returncode == 2 and "caskbook[xlsx]" in done.stderr


def test_a_damaged_workbook_is_one_line(tmp_path: Path) -> None:
    house(tmp_path)
    book(tmp_path, HEADINGS, [1, "2015-04-03", 63.5, None, None])
    (tmp_path / "map.yaml").write_text(CHART)
    data = (tmp_path / "old.xlsx").read_bytes()
    for cut in (4, len(data) // 2, len(data) - 30):
        (tmp_path / "old.xlsx").write_bytes(data[:cut] + b"\0" * 40)
        done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", "--yes", cwd=tmp_path)
        assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and "XLSX" in done.stderr and files(tmp_path) == {}
