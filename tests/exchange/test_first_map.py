"""A guessed map: right where headings and cells tell, open where only a person can, and nothing in it is a default that nobody said."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from commands import caskbook

from exchange.houses import answer, bring, house
from exchange.messy import HEADINGS, register


def guessed(folder: Path, register_text: str, *words: str) -> tuple[str, dict]:
    (folder / "old.csv").write_text(register_text)
    done = caskbook("import", "map", "old.csv", *words, cwd=folder)
    assert done.returncode == 0, done.stderr
    return done.stdout, yaml.safe_load(done.stdout)


def test_the_columns_of_a_messy_register(tmp_path: Path) -> None:
    text, found = guessed(house(tmp_path), register(600).csv())
    keys = {heading: value["is"] if isinstance(value, dict) else value for heading, value in found["columns"].items()}
    assert list(keys) == list(HEADINGS)
    assert keys == {
        "Cask No": "cask", "Old mark": "was", "Type": "type", "Cap (USgal)": "capacity", "Wood": "wood", "Made": "made", "Ex": "prior_contents", "Fills": "fills_in_all",
        "Recharred": "charred", "Rec'd": "received", "Full?": "ask", "Make": "spirit", "Date filled": "filled", "RL filled": "filled_litres", "Strength": "filled_abv", "°F": "ask",
        "Last gauged": "gauged", "Litres now": "litres", "ABV now": "abv", "Tested": "tested", "P/F": "ask", "Bar": "test_psi", "Bay": "berth",
        "Bought of": "ask", "Remarks": "note",
    }  # fmt: skip
    assert found["opening"] == found["century"] == found["excel_days"] == found["dates"] == "ask"  # one month in it is the 25th
    assert found["columns"]["Cap (USgal)"]["unit"] == "USgal" and found["columns"]["Cask No"] == {"is": "cask", "prefix": "ask", "digits": 6}
    assert {"B", "H"} <= found["columns"]["Type"]["words"].keys() and set(found["columns"]["Type"]["words"].values()) == {"ask"}
    assert all(len(line) <= 80 for line in text.splitlines() if line.lstrip().startswith("#"))


def test_a_first_map_is_not_taken_before_it_is_finished(tmp_path: Path) -> None:
    text, found = guessed(house(tmp_path), "Cask No,Type,Contents,Ref\n4217,barrel,empty,x\n")
    done = bring(tmp_path, "Cask No,Type,Contents,Ref\n4217,barrel,empty,x\n", text, "--yes")
    assert done.returncode == 2 and done.stderr.count("map.yaml:") == 3  # opening, prefix, Ref
    finished = text.replace("opening: ask", "opening: 2026-01-31").replace("prefix: ask", "prefix: TH-").replace("Ref: ask", "Ref: leave-out")
    assert answer(tmp_path, "Cask No,Type,Contents,Ref\n4217,barrel,empty,x\n", finished, "--yes")["written"] == 1


@pytest.mark.parametrize(
    ("cells", "order", "century"),
    [
        (["13/04/2015", "03/04/2015"], "day-month-year", None), (["04/13/2015", "03/04/2015"], "month-day-year", None), (["03/04/2015", "05/06/2015"], "ask", None),
        (["13/04/2015", "04/13/2015"], "ask", None), (["2015-04-03"], None, None), (["13/04/15"], "day-month-year", "ask"), (["12 Mar 15"], None, "ask"),
    ],
)  # fmt: skip
def test_the_order_of_days_is_told_by_the_cells_or_asked(tmp_path: Path, cells: list[str], order: str | None, century: str | None) -> None:
    rows = "".join(f"TH-{n:06d},{cell}\n" for n, cell in enumerate(cells))
    _, found = guessed(house(tmp_path), f"Cask,Filled\n{rows}")
    assert (found.get("dates"), found.get("century")) == (order, century)


def test_spreadsheet_days_commas_and_bare_gallons_are_asked_about(tmp_path: Path) -> None:
    _, found = guessed(house(tmp_path), 'Cask,Filled,Fill litres (gal),Fill ABV\nTH-000001,42075,"43,5","63,5"\n')
    assert found["excel_days"] == "ask" and found["gallon"] == "ask" and found["decimal_comma"] is True
    _, both = guessed(tmp_path, 'Cask,Filled,Fill litres,Fill ABV\nTH-000001,2015-04-03,"43,5",63.5\n')
    _, none = guessed(tmp_path, "Cask,Filled,Fill litres,Fill ABV\nTH-000001,2015-04-03,43.5,63.5\n")
    assert both["decimal_comma"] == "ask" and "decimal_comma" not in none
    assert found["columns"]["Fill litres (gal)"] == {"is": "filled_litres", "unit": "gal"}


def test_litres_without_a_day_of_a_gauge_are_those_of_the_filling(tmp_path: Path) -> None:
    _, found = guessed(house(tmp_path), "Cask,Filled,Litres,ABV\nTH-000001,2015-03-20,198,63.5\n")
    assert found["columns"]["Litres"] == "filled_litres" and found["columns"]["ABV"] == "filled_abv"
    _, found = guessed(tmp_path, "Cask,Filled,Gauged,Litres,ABV\nTH-000001,2015-03-20,2020-01-01,198,63.5\n")
    assert found["columns"]["Litres"] == "litres" and found["every_row"]["gauge_method"] == "ask"


@pytest.mark.parametrize("heading", ["Prev. fills", "Prev fills", "PREV.FILLS", "Prev. Fills (no.)", "Previous fills"])
def test_previous_may_be_cut_short(tmp_path: Path, heading: str) -> None:
    """It was taken for the fills in all, of which the present one is counted."""
    _, found = guessed(house(tmp_path), f"Cask,{heading},Prev. contents\nTH-000001,1,bourbon\nTH-000002,2,oloroso\n")
    assert found["columns"] == {"Cask": found["columns"]["Cask"], heading: "prior_fills", "Prev. contents": "prior_contents"}


@pytest.mark.parametrize(("cells", "key"), [(("bourbon", "oloroso"), "prior_contents"), (("bourbon 1", "oloroso 2"), "prior")])
def test_liquors_beside_a_column_of_their_fills_are_contents_before(tmp_path: Path, cells: tuple[str, str], key: str) -> None:
    text = f"Cask,Prior,Fills before\nTH-000001,{cells[0]},1\nTH-000002,{cells[1]},2\n"
    _, found = guessed(house(tmp_path), text)
    assert (found["columns"]["Prior"], found["columns"]["Fills before"]) == (key, "prior_fills")


def test_a_column_is_known_by_what_stands_in_it(tmp_path: Path) -> None:
    _, found = guessed(house(tmp_path), "A,B,Type\nTH-000001,hogshead,empty\nTH-000002,barrel,empty\n")
    assert found["columns"]["A"] == "cask" and found["columns"]["B"] == "type" and found["columns"]["Type"] == "ask"


def test_the_numbers_of_the_book_tell_how_the_bare_ones_begin(tmp_path: Path) -> None:
    house(tmp_path)
    assert caskbook("enter", "receive", "WH-000001", "accept", "--type", "barrel", "--by", "ab", "--yes", cwd=tmp_path).returncode == 0
    _, found = guessed(tmp_path, "Cask,Type\n4217,barrel\n")
    assert found["columns"]["Cask"]["prefix"] == "WH-"


def test_it_is_saved_once_and_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "old.csv").write_text("Cask,Type\n4217,barrel\n")
    assert caskbook("import", "map", "old.csv", "--save", "m.yaml", cwd=tmp_path).returncode == 0  # there need be no book yet
    before = (tmp_path / "m.yaml").read_text()
    done = caskbook("import", "map", "old.csv", "--save", "m.yaml", cwd=tmp_path)
    assert done.returncode == 2 and "is there already" in done.stderr and (tmp_path / "m.yaml").read_text() == before


@pytest.mark.thorough
@pytest.mark.parametrize("heading", ["a: b", "#x", "yes", "2015", "'q'", '"q"', "[x]", "- y", "null", "x\ty", "é°", "{a", "&a", "*a", "!a", "%a", "@a"])
def test_any_heading_can_stand_in_a_map(tmp_path: Path, heading: str) -> None:
    quoted = heading.replace('"', '""')
    text, found = guessed(house(tmp_path), f'Cask,"{quoted}",Type,Contents\nTH-000001,1,barrel,empty\n')
    assert " ".join(heading.split()) in [str(one) for one in found["columns"]]
    finished = text.replace("opening: ask", "opening: 2026-01-31").replace(": ask\n", ": leave-out\n")
    assert answer(tmp_path, f'Cask,"{quoted}",Type,Contents\nTH-000001,1,barrel,empty\n', finished, "--dry-run")["to_write"] == 1, text


def test_a_map_that_could_not_be_written_leaves_nothing_behind(tmp_path: Path) -> None:
    """No file can grow: no empty one is there that the next run would take for a map finished by hand."""
    import resource

    (tmp_path / "old.csv").write_text("Cask No,Type\nTH-000001,barrel\n")
    caskbook("import", "map", "old.csv", cwd=tmp_path)
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, before[1]))
        done = caskbook("import", "map", "old.csv", "--save", "m.yaml", cwd=tmp_path)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert done.returncode == 2 and "m.yaml: not written, file too large" in done.stderr and [path.name for path in tmp_path.iterdir()] == ["old.csv"]
    done = caskbook("import", "map", "old.csv", "--save", "nowhere/m.yaml", cwd=tmp_path)
    assert done.returncode == 2 and "there is no folder nowhere" in done.stderr and not (tmp_path / "nowhere").exists()
    assert caskbook("import", "map", "old.csv", "--save", "m.yaml", cwd=tmp_path).returncode == 0 and (tmp_path / "m.yaml").stat().st_size
