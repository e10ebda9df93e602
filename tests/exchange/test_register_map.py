"""A map that does not fit is not taken, and everything that is wrong with it is told at once, each with its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from exchange.houses import HOUSE, PLAIN_MAP, bring, files, house

pytestmark = pytest.mark.thorough

ROWS = "No,Type,In it\n1,barrel,empty\n"


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("  Type: type\n", "", 4, "nothing says what the column 'Type' is"),
        ("  Type: type\n", "  Type: type\n  Typee: note\n", 6, "has no column 'Typee' in row 1: did you mean Type?"),
        ("Type: type", "Type: typee", 5, "is 'typee': expected a key, `note`, or `leave-out`: did you mean type?"),
        ("Type: type", "Type: ask", 5, "say what the column 'Type' is"),
        ("prefix: TH-", "prefix: ask", 4, "say its `prefix`"),
        ("digits: 6", "digits: 12", 4, "expected 4 to 9"),
        ("digits: 6", "digit: 6", 4, "`digit` says nothing of a column: did you mean digits?"),
        ("Type: type", "Type: {is: type, unit: L}", 5, "a `type` has no unit"),
        ("Type: type", "Type: {is: capacity, unit: pints}", 5, "'pints' is no unit of volume"),
        ("Type: type", "Type: {is: capacity, unit: gal}", 5, "US or imperial gallons?"),
        ("Type: type", "Type: {is: type, blank: empty}", 5, "`blank` can only say `empty`"),
        ("Type: type", "Type: {is: type, unclear: guess}", 5, "expected note or refuse"),
        ("Type: type", "Type: {is: filled, dates: dmy}", 5, "expected day-month-year"),
        ("Type: type", "Type: {is: filled, century: 50}", 5, "expected the first year of a hundred"),
        ("Type: type", "Type: {is: type, words: [a]}", 5, "expected {what stands there: what it means}"),
        ("In it: contents", "In it: type", 4, "'Type' and 'In it' are both `type`"),
        ("\"No\": {is: cask, prefix: TH-, digits: 6}", "\"No\": note", 4, "no column is `cask`"),
        ("  Type: type\n", "  Type: note\n", 4, "nothing says the `type`"),
        ("every_row: {verdict: accept}", "every_row: {}", 4, "nothing says the `verdict`"),
        ("every_row: {verdict: accept}", "every_row: {verdict: accept, type: butt}", 7, "`type` is told by a column: what is unknown there stays unknown"),
        ("every_row: {verdict: accept}", "every_row: {verdict: accept, cask: TH-1}", 7, "`cask` cannot be said for every row"),
        ("every_row: {verdict: accept}", "every_row: {verdict: accept, spirit: ask}", 7, "say the `spirit` of every row"),
        ("dates: day-month-year", "dates: dmy", 2, "`dates` is 'dmy': expected day-month-year, month-day-year or year-month-day"),
        ("dates: day-month-year", "date: day-month-year", 2, "`date` is no setting of a map: did you mean dates?"),
        ("dates: day-month-year", "excel_days: 1901", 2, "expected 1900 or 1904"),
        ("dates: day-month-year", "decimal_comma: 1", 2, "expected true or false"),
        ("dates: day-month-year", "encoding: ebcdic", 2, "expected utf-8"),
        ("dates: day-month-year", "unknown: nix", 2, "expected a list of words"),
        ("dates: day-month-year", "header: 0", 2, "expected the row of the headings"),
        ("dates: day-month-year", "century: ask", 2, "expected the first year of a hundred"),
        ("opening: 2026-01-31", "opening: ask", 1, "expected the day on which the register was right"),
        ("opening: 2026-01-31", "opening: 2099-01-31", 1, "lies ahead"),
        ("Type: type", "Type: {is: prior}\n  In it2: {is: prior_contents}", 4, "`prior` and `prior_contents` both tell of the fills before"),
        ("every_row: {verdict: accept}", "every_row: {verdict: fine}", 7, "'every_row verdict': 'fine' is no "),
        ("every_row: {verdict: accept}", "every_row: {verdict: accept, gauged: 03/04/2015, dates: x}", 7, "`dates` cannot be said for every row"),
        ("Type: type", "Type: {is: type, words: {B: barel}}", 5, "'Type': 'barel' is no cask type: did you mean barrel?"),
        ("Type: type", "Type: {is: type, words: {B: ask}}", 5, "'Type': say what 'b' means"),
        ("opening: 2026-01-31", "opening: &x 2026-01-31", 1, "anchor"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_map_is_told_with_its_line(tmp_path: Path, old: str, new: str, line: int, words: str) -> None:
    house(tmp_path)
    assert old in PLAIN_MAP
    done = bring(tmp_path, ROWS, PLAIN_MAP.replace(old, new), "--yes")
    told = done.stderr.splitlines()
    assert done.returncode == 2 and done.stdout == "" and files(tmp_path) == {}
    assert any(one.startswith(f"map.yaml:{line}: ") and words in one for one in told), told
    assert told[-1] == f"nothing written: {len(told) - 1} to put right in the map"


def test_all_that_is_wrong_is_told_at_once_in_the_order_of_the_map(tmp_path: Path) -> None:
    house(tmp_path)
    chart = PLAIN_MAP.replace("2026-01-31", "ask").replace("Type: type", "Type: ask").replace("{verdict: accept}", "{cask: x}")
    told = bring(tmp_path, ROWS, chart).stderr.splitlines()
    lines = [int(one.split(":")[1]) for one in told[:-1]]
    assert lines == sorted(lines) and len(told) == 6, told


@pytest.mark.parametrize("text", ["", "- a\n", "columns:\n", "columns: [a]\n", "columns: {a: b\n", "\x00", "x: 1\n"])
def test_what_is_no_map_is_told_in_a_line(tmp_path: Path, text: str) -> None:
    house(tmp_path)
    done = bring(tmp_path, ROWS, text)
    assert done.returncode == 2 and done.stderr.startswith("map.yaml:") and files(tmp_path) == {}


def test_what_the_house_declares_need_not_be_said_again(tmp_path: Path) -> None:
    house(tmp_path, HOUSE + "gallon: uk\ndecimal_comma: true\n")
    chart = PLAIN_MAP.replace("  Type: type\n", "  Type: {is: capacity, unit: gal}\n").replace("{verdict: accept}", "{verdict: accept, type: barrel}")
    assert bring(tmp_path, 'No,Type,In it\n1,"43,5",empty\n', chart, "--yes").returncode == 0
    assert b"capacity_l: 197.75" in next(iter(files(tmp_path).values()))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "nothing stands in it"), (b"No,Type,In it\n", "no rows below the headings"), (b"No,Type,Type\n1,a,b\n", "two columns are called 'Type'"),
        (b'No,Type,In it\n1,"barrel,empty\n2,a,b\n', "row 2: no CSV"), ("No,Type,In it\n1,bärrel,empty\n".encode("cp1252"), "row 2: not UTF-8; say which it is in the map"),
        (b"No,,Type,In it\n1,,barrel,empty\n2,lost,barrel,empty\n", "row 3: 'lost' stands in column 2, which has no heading"),
        (b"No,Type,In it\n1,bar\x00rel,empty\n", "signs of value 0"), (b"PK\x03\x04junk", "no XLSX, or a damaged one"), (b"\xd0\xcf\x11\xe0junk", "an old XLS"),
    ],
)  # fmt: skip
def test_a_register_that_cannot_be_read_whole_is_not_read(tmp_path: Path, data: bytes, words: str) -> None:
    house(tmp_path)
    bring(tmp_path, ROWS, PLAIN_MAP, "-n")
    (tmp_path / "old.csv").write_bytes(data)
    from commands import caskbook

    done = caskbook("import", "register", "old.csv", "--map", "map.yaml", "--yes", cwd=tmp_path)
    assert done.returncode == 2 and words in done.stderr and len(done.stderr.splitlines()) == 1 and files(tmp_path) == {}


def test_encodings_separators_and_headings_further_down(tmp_path: Path) -> None:
    house(tmp_path)
    chart = PLAIN_MAP + "encoding: cp1252\n"
    (tmp_path / "map.yaml").write_text(chart.replace("In it", "Für"))
    (tmp_path / "old.csv").write_bytes("The old book;;\n;;\nNo;Type;Für\n1;barrel;empty\n".encode("cp1252"))
    from commands import caskbook

    done = caskbook("import", "register", "old.csv", "--map", "map.yaml", "--yes", cwd=tmp_path)
    assert done.returncode == 0 and list(files(tmp_path)) == ["TH-000001.yaml"], done.stderr
    for name in ("nowhere.csv", "records"):
        done = caskbook("import", "register", name, "--map", "map.yaml", cwd=tmp_path)
        assert done.returncode == 2 and len(done.stderr.splitlines()) == 1
    assert caskbook("import", "register", "old.csv", cwd=tmp_path).returncode == 2


def test_the_map_in_the_readme_is_taken(tmp_path: Path) -> None:
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    chart = text.partition("### The first day of an old house")[2].partition("```yaml\n")[2].partition("```")[0]
    rows = "Cask No,Type,Gals,Make,Filled,Ref\n4217,B,53,malt,03/04/2015,x\n4218,HHD,?,,,\n4219,hogshed,66,?,,\n"
    done = bring(house(tmp_path), rows, chart, "--yes")
    assert "3 rows = 2 written + 0 in the book already + 1 refused" in done.stdout, done.stdout + done.stderr
    found = files(tmp_path)
    assert b"date: 2015-04-03" in found["TH-004217.yaml"] and b"contents: empty" in found["TH-004218.yaml"] and b"capacity" not in found["TH-004218.yaml"]
