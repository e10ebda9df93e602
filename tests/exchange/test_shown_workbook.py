"""A workbook is read as it looks: what looks otherwise than its cells hold (merged, hidden, struck out, not worked out, half a day) is refused with its row."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from commands import caskbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.styles import Font

from exchange.houses import files, house, said
from exchange.test_workbook import brought

CHART = """\
opening: 2026-06-30
columns:
  Cask: {is: cask, prefix: TH-, digits: 6}
  Make: {is: spirit, blank: empty}
  Filled: filled
  Litres: {is: filled_litres, unit: L}
  Strength: filled_abv
  Charred: charred
  Fills: prior_fills
  Mark: was
every_row: {verdict: accept, type: barrel, prior_contents: bourbon}
"""
HEADINGS = ["Cask", "Make", "Filled", "Litres", "Strength", "Charred", "Fills", "Mark"]
FULL = ["malt", date(2015, 3, 2), 190, 63.5, 2012, 1, None]


def book(folder: Path, *rows: list[Any], change: Callable[[Any], None] = lambda sheet: None, xml: Callable[[str], str] | None = None) -> None:
    """A workbook of these rows below the headings, changed, and at last its XML."""
    made = openpyxl.Workbook()
    sheet = made.active
    assert sheet is not None
    for row in [HEADINGS, *rows]:
        sheet.append(row)
    change(sheet)
    path = folder / "old.xlsx"
    made.save(path)
    if xml is not None:
        with zipfile.ZipFile(path) as packed:
            parts = {name: packed.read(name) for name in packed.namelist()}
        name = "xl/worksheets/sheet1.xml"
        parts[name] = xml(parts[name].decode()).encode()
        with zipfile.ZipFile(path, "w") as packed:
            for one, data in parts.items():
                packed.writestr(one, data)


def prefixed(text: str) -> str:
    return re.sub(r"<(/?)([A-Za-z])", r"<\1x:\2", text).replace('xmlns="', 'xmlns:x="')


def stands(text: str, old: str, new: str) -> str:
    assert old in text, text
    return text.replace(old, new)


def shown(**formats: str) -> Callable[[Any], None]:
    def change(sheet: Any) -> None:
        for place, form in formats.items():
            sheet[place].number_format = form

    return change


def text_of(folder: Path, number: int) -> str:
    return files(folder)[f"TH-{number:06d}.yaml"].decode()


@pytest.mark.thorough
def test_cells_merged_over_rows_are_no_blanks(tmp_path: Path) -> None:
    house(tmp_path)

    def merge(sheet: Any) -> None:
        for cells in ("B2:B4", "D2:E2", "G5:G6", "A8:H8"):
            sheet.merge_cells(cells)

    rows = [[n, *FULL] for n in range(1, 5)]
    book(tmp_path, *rows, [5, "malt", date(2015, 3, 2), 190, 63.5, None, None, None], [], ["all of the lower warehouse"], change=merge)
    assert "Make: " in caskbook("import", "map", "old.xlsx", cwd=tmp_path).stdout
    found = brought(tmp_path, CHART)
    assert [one for one in said(found) if one[2] == "merged-cell"] == [
        (2, "Make", "merged-cell"), (2, "Litres", "merged-cell"), (2, "Strength", "merged-cell"), (3, "Make", "merged-cell"), (4, "Make", "merged-cell"),
        (5, "Fills", "merged-cell"), (6, "Fills", "merged-cell"), *((8, heading, "merged-cell") for heading in HEADINGS),
    ]  # fmt: skip
    assert found["written"] == 0 and found["rows"] == found["refused"] == 6


def test_merged_headings_and_merged_blanks_say_nothing(tmp_path: Path) -> None:
    house(tmp_path)

    def merge(sheet: Any) -> None:
        sheet.insert_rows(1)
        sheet["A1"] = "The lower warehouse"
        for cells in ("A1:H1", "B4:C4"):
            sheet.merge_cells(cells)

    book(tmp_path, [1, *FULL], [2, None, None, None, None, None, 1, None], change=merge)
    found = brought(tmp_path, CHART)
    assert said(found) == [] and found["written"] == 2


@pytest.mark.thorough
@pytest.mark.parametrize("xml", [None, prefixed])
def test_a_formula_that_was_never_worked_out_is_no_blank(tmp_path: Path, xml: Callable[[str], str] | None) -> None:
    house(tmp_path)
    book(tmp_path, [1, '=IF(1=1,"malt","")', "=DATE(2015,3,2)", "=190", "=63.5", 2012, 1, None], [2, *FULL], xml=xml)
    found = brought(tmp_path, CHART)
    assert [one for one in said(found) if one[0] == 2] == [(2, heading, "spreadsheet-error") for heading in HEADINGS[1:5]] and found["written"] == 1


@pytest.mark.thorough
@pytest.mark.parametrize("again", [False, True])
def test_a_formula_that_gave_nothing_is_a_blank_unless_all_is_to_be_worked_out_again(tmp_path: Path, again: bool) -> None:
    house(tmp_path)

    def worked_out(text: str) -> str:
        return re.sub(r'(<c r="B2"[^>]*)>(<f>[^<]*</f>)<v ?/?>(</v>)?', r'\1 t="str">\2<v></v>', text).replace("<f>95*2</f><v />", "<f>95*2</f><v>190</v>")

    book(tmp_path, [1, '=IF(1=1,"","malt")', None, None, None, 2012, 1, None], [2, "malt", date(2015, 3, 2), "=95*2", 63.5, 2012, 1, None], xml=worked_out)
    path = tmp_path / "old.xlsx"
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    parts["xl/workbook.xml"] = re.sub(rb'fullCalcOnLoad="1"', rb'fullCalcOnLoad="%d"' % again, parts["xl/workbook.xml"])
    with zipfile.ZipFile(path, "w") as packed:
        for one, data in parts.items():
            packed.writestr(one, data)
    found = brought(tmp_path, CHART)
    assert said(found) == ([(2, "Make", "spreadsheet-error"), (3, "Litres", "spreadsheet-error")] if again else [])
    assert again or ("job: fill" not in text_of(tmp_path, 1) and "litres: 190\n" in text_of(tmp_path, 2))


def test_a_day_shown_as_a_month_or_a_year_is_no_more_than_that(tmp_path: Path) -> None:
    house(tmp_path)
    days = ["malt", date(2015, 3, 2), 190, 63.5, date(2012, 5, 1), 1, None]
    rows = [[n, *days] for n in range(1, 7)]
    book(tmp_path, *rows, change=shown(C2="mmm-yy", C3="yyyy", C4="d-mmm", C5="dddd", F6="yyyy", F7="mmm yyyy"))
    found = brought(tmp_path, CHART)
    assert said(found) == [(2, "Filled", "no-whole-day"), (3, "Filled", "no-whole-day"), (4, "Filled", "no-day"), (5, "Filled", "shown-otherwise")]
    assert "charred: 2012\n" in text_of(tmp_path, 5) and "charred: 2012-05\n" in text_of(tmp_path, 6).replace('"', "").replace("'", "")


def test_days_before_spreadsheets_agree_are_refused(tmp_path: Path) -> None:
    house(tmp_path)
    book(
        tmp_path,
        [1, *FULL[:4], 59, 1, None],
        [2, *FULL[:4], 61, 1, None],
        [3, *FULL[:4], 60, 1, None],
        change=shown(F2="yyyy-mm-dd", F3="yyyy-mm-dd", F4="yyyy-mm-dd"),
    )
    assert [one for one in said(brought(tmp_path, CHART)) if one[2] == "early-day"] == [(2, "Charred", "early-day"), (4, "Charred", "early-day")]


def test_figures_are_taken_with_the_signs_that_are_shown(tmp_path: Path) -> None:
    house(tmp_path)
    rows = [[n, *FULL] for n in range(1, 6)]
    rows[3][4:] = [0.635, 2012, 0, 5012345678917]
    rows[4][7] = 881207
    book(tmp_path, *rows, change=shown(E2='0.0"%"', D3='0" L"', D4="0.0,", E5="0.0%", G5='0;-0;"-"', H6="00-0000", A6="000000"))
    found = brought(tmp_path, CHART)
    assert said(found) == [(4, "Litres", "shown-otherwise"), (5, "Fills", "shown-otherwise")]
    assert "abv: 63.5\n" in text_of(tmp_path, 1) and "litres: 190\n" in text_of(tmp_path, 2) and "88-1207" in text_of(tmp_path, 5)


def test_a_zero_that_a_worksheet_does_not_show_is_refused(tmp_path: Path) -> None:
    house(tmp_path)
    book(tmp_path, [1, *FULL[:5], 0, 42], [2, *FULL], xml=lambda text: stands(text, "<sheetView ", '<sheetView showZeros="0" '))
    assert said(brought(tmp_path, CHART)) == [(2, "Fills", "shown-otherwise")]


def test_a_mark_of_thirteen_figures_keeps_them_all(tmp_path: Path) -> None:
    house(tmp_path)
    book(tmp_path, [1, *FULL[:6], 5012345678917], [2, *FULL[:6], 1234567890123456])
    assert said(brought(tmp_path, CHART)) == [(3, "Mark", "shown-otherwise")] and "5012345678917" in text_of(tmp_path, 1)


def test_what_is_struck_out_does_not_hold(tmp_path: Path) -> None:
    house(tmp_path)

    def strike(sheet: Any) -> None:
        sheet["A2"].font = Font(strike=True)
        sheet["B3"] = CellRichText(TextBlock(InlineFont(strike=True), "rum"), " malt")
        sheet["B4"] = CellRichText(TextBlock(InlineFont(b=True), "ma"), "lt")

    chart = CHART.replace("blank: empty", "blank: empty, unclear: note")
    book(tmp_path, [1, *FULL], [2, *FULL], [3, *FULL], change=strike)
    found = brought(tmp_path, chart)
    assert said(found) == [(2, "Cask", "struck-out"), (3, "Make", "struck-out")] and "spirit: malt" in text_of(tmp_path, 3)


def test_hidden_rows_are_told_and_not_taken(tmp_path: Path) -> None:
    house(tmp_path)

    def hide(sheet: Any) -> None:
        sheet.auto_filter.ref = "A1:H4"
        sheet.row_dimensions[3].hidden = True

    low = '<row r="4" ht="0" customHeight="1"'
    book(tmp_path, [1, *FULL], [2, *FULL], [3, *FULL], change=hide, xml=lambda text: stands(text, '<row r="4"', low))
    found = brought(tmp_path, CHART)
    assert said(found) == [(3, "", "hidden-row"), (4, "", "hidden-row")] and found["written"] == 1


@pytest.mark.thorough
def test_headings_again_in_other_columns_are_refused(tmp_path: Path) -> None:
    house(tmp_path)
    book(tmp_path, [1, *FULL], [], ["Cask", "Make", "Filled", "Strength", "Litres"], [2, "malt", date(2015, 3, 2), 190, 63.5])
    (tmp_path / "map.yaml").write_text(CHART)
    done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", "--yes", cwd=tmp_path)
    assert done.returncode == 2 and "old.xlsx row 4: headings again" in done.stderr and files(tmp_path) == {}
    book(tmp_path, [1, *FULL], HEADINGS, [2, *FULL])
    found = brought(tmp_path, CHART)
    assert {(row, code) for row, column, code in said(found) if column == "Cask"} == {(3, "bad-number")} and found["written"] == 2


@pytest.mark.parametrize(("change", "told"), [
    (lambda text: text.replace('<row r="3"', '<row r="1"'), "row 1 stands behind row 2"),
    (lambda text: text.replace('r="B2"', 'r="A2"', 1), "cell A2 stands out of its place"),
    (lambda text: text.replace('r="H3"', 'r="ZZ3"', 1), "beyond column 400"),
    (lambda text: text.replace("schemas.openxmlformats.org/spreadsheetml/2006/main", "purl.oclc.org/ooxml/spreadsheetml/main"), "Strict Open XML"),
])  # fmt: skip
def test_what_would_lose_cells_is_refused_whole(tmp_path: Path, change: Callable[[str], str], told: str) -> None:
    house(tmp_path)
    book(tmp_path, [1, *FULL[:6], "a"], [2, *FULL[:6], "b"], xml=change)
    (tmp_path / "map.yaml").write_text(CHART)
    done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", "--yes", cwd=tmp_path)
    assert done.returncode == 2 and told in done.stderr and len(done.stderr.splitlines()) == 1 and files(tmp_path) == {}


@pytest.mark.thorough
def test_the_count_of_1904_is_read_as_its_own(tmp_path: Path) -> None:
    house(tmp_path)
    book(tmp_path, [1, *FULL], [2, "malt", 40603, *FULL[2:]])
    made = openpyxl.load_workbook(tmp_path / "old.xlsx")
    made.epoch = datetime(1904, 1, 1)
    made.save(tmp_path / "old.xlsx")
    (tmp_path / "map.yaml").write_text("excel_days: 1900\n" + CHART)
    done = caskbook("import", "register", "old.xlsx", "--map", "map.yaml", "--yes", cwd=tmp_path)
    assert done.returncode == 2 and "map.yaml:1: `excel_days` is 1900: old.xlsx itself counts its days from 1904" in done.stderr
    assert brought(tmp_path, "excel_days: 1904\n" + CHART)["written"] == 2
    assert "date: 2015-03-02" in text_of(tmp_path, 1) and "date: 2015-03-02" in text_of(tmp_path, 2)


@pytest.mark.thorough
def test_a_berth_or_a_parcel_that_became_a_day_is_refused(tmp_path: Path) -> None:
    house(tmp_path)
    chart = CHART.replace("Fills: prior_fills", "Fills: parcel").replace("Mark: was", "Mark: berth").replace("Charred: charred", "Charred: note")
    rows = [[n, *FULL[:4], date(2012, 5, 1), "P-9", "W1/5"] for n in range(1, 4)]
    rows[0][6:] = [date(2026, 4, 3), date(2026, 3, 5)]
    rows[1][6] = 1.1
    book(tmp_path, *rows, change=shown(G2="d-mmm", H2="d-mmm", G3="0.00"))
    assert said(brought(tmp_path, chart)) == [(2, "Fills", "day-in-cell"), (2, "Mark", "day-in-cell")]
    assert 'parcel: "1.10"' in text_of(tmp_path, 2).replace("'", '"') and "2012-05-01" in text_of(tmp_path, 3)
