"""What a row makes of a cask: the head tells what it was, the entries how it comes into the book, and nothing is made up."""

from __future__ import annotations

from pathlib import Path

import pytest

from exchange.houses import PLAIN_MAP, answer, bring, cask_text, facts, house, said

pytestmark = pytest.mark.thorough

HEAD = "opening: 2026-01-31\ncolumns:\n  Cask: cask\n"
FILL_OUT = "every_row: {verdict: accept, type: barrel}\n"


def one(folder: Path, every: str = FILL_OUT, **cells: str) -> dict:
    """The answer for one cask TH-000001 whose columns are called as the keys are."""
    house(folder)
    text = HEAD + "".join(f"  {key}: {key}\n" for key in cells) + every
    row = ["TH-000001", *cells.values()]
    return answer(folder, ",".join(["Cask", *cells]) + "\n" + ",".join(f'"{cell}"' for cell in row) + "\n", text, "--yes")


def test_a_full_cask_that_the_house_filled_keeps_its_whole_story(tmp_path: Path) -> None:
    cells = {
        "received": "2015-03-12",
        "spirit": "malt",
        "filled": "2015-03-20",
        "filled_litres": "198.4",
        "filled_abv": "63.5",
        "prior_contents": "bourbon",
        "prior_fills": "1",
        "charred": "2011",
    }
    assert one(tmp_path, **cells)["written"] == 1
    found = facts(tmp_path, "TH-000001", "--as-of", "2025-03-20")
    assert (found["state"], found["fills"], found["fills_life"], found["fills_since_char"], found["last_char"]) == ("filled", 1, 2, 2, "2011-07-01")
    assert found["in_this_cask_years"] == pytest.approx(10, abs=0.01) and found["age_years"] == 10


def test_a_full_cask_of_unknown_litres_comes_in_full_on_the_day_it_was_filled(tmp_path: Path) -> None:
    assert one(tmp_path, received="2010-01-01", spirit="malt", filled="2015-03-20", filled_litres="?")["kept_as_words"] == {"received": 1}
    text = cask_text(tmp_path, "TH-000001")
    assert (
        "note: here since 2010-01-01" in text
        and "date: 2015-03-20" in text
        and "oak_since: 2015-03-20" in text
        and "litres" not in text
        and "job: fill" not in text
    )
    found = facts(tmp_path, "TH-000001", "--as-of", "2025-03-20")
    assert found["age_years"] == 10 and found["in_this_cask_years"] == pytest.approx(10, abs=0.01) and found["fills"] == 1


def test_a_full_cask_of_no_day_comes_in_on_the_day_of_the_register(tmp_path: Path) -> None:
    assert one(tmp_path, spirit="malt", filled="?", litres="180", abv="60.1")["written"] == 1
    text = cask_text(tmp_path, "TH-000001")
    assert "date: 2026-01-31" in text and "litres: 180" in text and "oak_since" not in text
    assert facts(tmp_path, "TH-000001")["age_years"] is None


def test_a_cask_bought_full_is_as_old_as_its_filling(tmp_path: Path) -> None:
    cells = {"received": "2020-05-01", "spirit": "malt", "filled": "2012-04-02", "filled_litres": "200", "gauged": "2020-05-01", "litres": "181", "abv": "60"}
    assert one(tmp_path, **cells)["kept_as_words"] == {"filled_litres": 1}
    text = cask_text(tmp_path, "TH-000001")
    assert (
        "date: 2020-05-01" in text
        and "litres: 181" in text
        and "oak_since: 2012-04-02" in text
        and "note: 'filled 2012-04-02: 200 L'" in text
        and "regauge" not in text
    )
    assert facts(tmp_path, "TH-000001", "--as-of", "2025-04-02")["age_years"] == 13


def test_an_empty_cask_comes_in_when_it_came(tmp_path: Path) -> None:
    assert (
        one(tmp_path, received="2025-01-01", contents="empty", tested="2025-02-01", test_result="pass", test_psi="11", prior_contents="oloroso")["written"] == 1
    )
    found = facts(tmp_path, "TH-000001")
    assert found["contents"] == "empty" and found["last_test"] == {"date": "2025-02-01", "result": "pass", "psi": 11}
    assert found["fills"] == 0 and found["fills_life"] is None and found["fills_life_min"] == 0


def test_an_empty_cask_of_no_day_comes_in_with_its_last_test_or_the_register(tmp_path: Path) -> None:
    assert one(tmp_path / "a", contents="empty", tested="2025-02-01", test_result="fail", test_psi="10")["written"] == 1
    assert cask_text(tmp_path / "a", "TH-000001").count("date: 2025-02-01") == 2
    assert one(tmp_path / "b", contents="empty", tested="?")["written"] == 1
    assert "date: 2026-01-31" in cask_text(tmp_path / "b", "TH-000001")


def test_what_was_done_here_before_the_book_moves_its_beginning(tmp_path: Path) -> None:
    """Charred after it came: the head tells of what was before the book, so that begins later, and the day it came is kept in words."""
    assert one(tmp_path, received="2004-05-01", contents="empty", charred="2015-06-01", prior_emptied="2015-05")["written"] == 1
    text = cask_text(tmp_path, "TH-000001")
    assert (
        "date: 2026-01-31" in text
        and "here since 2004-05-01" in text
        and "charred: 2015-06-01" in text
        and "{contents: unknown, fills: unknown, emptied: 2015-05}" in text
    )
    assert facts(tmp_path, "TH-000001")["last_char"] == "2015-06-01"


@pytest.mark.parametrize("nobody", ["", "?", "n/a", "N/A", "not known", "Unknown", "-", "–", " ? ", "tba"])
def test_what_nobody_knows_stays_unknown(tmp_path: Path, nobody: str) -> None:
    keys = (
        "capacity",
        "wood",
        "made",
        "staves",
        "heads",
        "hoops",
        "owner",
        "supplier",
        "parcel",
        "charred",
        "prior_contents",
        "prior_fills",
        "oak_since",
        "abv",
        "litres",
        "temp",
        "berth",
        "stow",
        "was",
        "note",
        "tested",
        "test_psi",
        "test_result",
    )
    assert one(tmp_path, contents="empty", **dict.fromkeys(keys, nobody))["written"] == 1
    lines = [line.split(":")[0].strip(" -") for line in cask_text(tmp_path, "TH-000001").splitlines()]
    assert lines == ["cask", "format", "type", "events", "id", "date", "job", "verdict", "contents", "sheet", "source"]
    found = facts(tmp_path, "TH-000001")
    assert found["fills_life"] is None and found["last_char"] is None and found["last_test"] is None


def test_an_empty_cell_is_empty_only_where_the_map_says_so(tmp_path: Path) -> None:
    house(tmp_path)
    rows = "Cask,Make,Since\nTH-000001,,\nTH-000002,malt,2015-03-20\nTH-000003,?,\n"
    chart = HEAD + "  Make: {is: spirit, blank: empty}\n  Since: filled\n" + FILL_OUT
    found = answer(tmp_path, rows, chart, "--yes")
    assert found["written"] == 2 and said(found) == [(4, "contents", "contents-not-known")]
    assert "contents: empty" in cask_text(tmp_path, "TH-000001")


@pytest.mark.parametrize("column", ["contents", "state"])
@pytest.mark.parametrize("other", ["Make: {is: spirit, blank: empty}", "Since: {is: filled, blank: empty}"])
def test_a_cask_that_is_said_to_be_full_is_none_that_an_empty_cell_makes_empty(tmp_path: Path, column: str, other: str) -> None:
    """Whichever of its columns stands first: what the register says is never dropped and the contrary entered."""
    house(tmp_path)
    name = other.partition(":")[0]
    for order in ((name, "How"), ("How", name)):
        rows = f"Cask,{','.join(order)}\n" + "".join(
            f"TH-00000{n},{','.join(word if one == 'How' else '' for one in order)}\n" for n, word in enumerate(("full", "filled", "malt"), 1)
        )
        found = answer(tmp_path, rows, HEAD + f"  {other}\n  How: {column}\n" + FILL_OUT, "--yes")
        assert found["written"] == 0 and [fault[1:] for fault in said(found)] == [("How", "contents-contradict")] * 3, found


def test_an_empty_day_of_filling_can_mean_an_empty_cask(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  Since: {is: filled, blank: empty}\nevery_row: {verdict: accept, type: barrel, spirit: malt}\n"
    assert answer(tmp_path, "Cask,Since\nTH-000001,\nTH-000002,2015-03-20\n", chart, "--yes")["written"] == 2
    assert "contents: empty" in cask_text(tmp_path, "TH-000001") and "spirit: malt" in cask_text(tmp_path, "TH-000002")


@pytest.mark.parametrize(
    ("cells", "key", "code"),
    [
        ({"spirit": "malt", "filled": "2015-03-20", "litres": "180"}, "litres", "gauge-without-day"),
        ({"spirit": "malt", "filled": "2015-03-20", "gauged": "2014-01-01", "litres": "180"}, "gauged", "gauged-before-filled"),
        ({"spirit": "malt", "received": "2014-01-01", "filled": "2015-03-20", "tested": "2016-01-01"}, "tested", "tested-while-full"),
        ({"contents": "empty", "spirit": "malt"}, "spirit", "contents-contradict"),
        ({"contents": "empty", "filled_litres": "180"}, "filled_litres", "contents-contradict"),
        ({"contents": "rum", "spirit": "malt"}, "spirit", "contents-contradict"),
        ({"contents": "empty", "spirit": "full"}, "spirit", "contents-contradict"),
        ({"contents": "full", "spirit": "empty"}, "contents", "contents-contradict"),
        ({"contents": "spirit", "spirit": "empty"}, "contents", "contents-contradict"),
        ({"contents": "empty", "charred": "none"}, "charred", "unknown-word"),
        ({"contents": "empty", "prior_contents": "None"}, "prior_contents", "unknown-word"),
        ({"contents": "full"}, "contents", "contents-not-known"),
        ({"contents": "?", "spirit": "?"}, "contents", "contents-not-known"),
        ({"spirit": "malt", "litres": "0"}, "litres", "contents-contradict"),
        ({"contents": "empty", "prior_contents": "virgin", "prior_fills": "2"}, "prior_fills", "fills-contradict"),
        ({"contents": "empty", "prior_contents": "bourbon", "prior_fills": "0"}, "prior_contents", "fills-contradict"),
        ({"contents": "empty", "prior_contents": "virgin", "prior_emptied": "2014"}, "prior_emptied", "fills-contradict"),
        ({"spirit": "malt", "fills_in_all": "0"}, "fills_in_all", "fills-contradict"),
        ({"contents": "empty", "charred": "2026-05-01"}, "charred", "later-than-its-opening"),
        ({"contents": "empty", "received": "2031-01-01"}, "received", "date-in-future"),
        ({"contents": "empty", "oak_since": "2031-01-01"}, "oak_since", "date-in-future"),
        ({"spirit": "malt", "filled": "2015-03-20", "gauged": "2031-01-01"}, "gauged", "date-in-future"),
        ({"spirit": "malt", "filled": "2015-03-20", "oak_since": "2016-01-01"}, "oak_since", "oak-since-after-filling"),
        ({"spirit": "malt", "filled": "2015-03-20", "filled_abv": "6.35"}, "filled_abv", "hardly-possible"),
        ({"spirit": "malt", "filled": "2015-03-20", "filled_litres": "1984"}, "filled_litres", "hardly-possible"),
        ({"spirit": "malt", "filled": "2015-03-20", "filled_litres": "0", "filled_abv": "63.5"}, "filled_litres", "hardly-possible"),
        ({"spirit": "malt", "filled": "2015-03-20", "filled_litres": "0.9", "filled_abv": "63.5"}, "filled_litres", "hardly-possible"),
        ({"spirit": "oloroso", "abv": "40"}, "abv", "hardly-possible"),
        ({"contents": "empty", "capacity": "2000000"}, "capacity", "no-such-value"),
        ({"contents": "empty", "staves": "31.5"}, "staves", "no-such-value"),
        ({"contents": "empty", "capacity": "500"}, "capacity", "capacity-unlike-type"),
        ({"contents": "empty", "heads": "5"}, "heads", "bad-length"),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_refused(tmp_path: Path, cells: dict[str, str], key: str, code: str) -> None:
    found = one(tmp_path, **cells)
    assert said(found)[0][:2] == (2, key) and (code == "bad-length" or said(found) == [(2, key, code)]), found
    assert found["written"] == 0 and not list((tmp_path / "records" / "casks").rglob("*.yaml"))


def test_a_cask_of_wine_is_full_of_wine(tmp_path: Path) -> None:
    assert one(tmp_path, contents="Oloroso", filled="2020-01-01", filled_litres="190", filled_abv="17")["written"] == 1
    found = facts(tmp_path, "TH-000001")
    assert found["contents"] == "wine" and found["wine_held"] is True
    assert "oak_since" not in cask_text(tmp_path, "TH-000001")


def test_none_means_what_the_map_says_that_it_means(tmp_path: Path) -> None:
    """Never charred, and held nothing; or that nobody noted it."""
    house(tmp_path)
    chart = HEAD + "  How: contents\n  Ex: {is: prior_contents, words: {none: %s}}\n  Char: {is: charred, words: {none: %s}}\n" + FILL_OUT
    rows = "Cask,How,Ex,Char\nTH-00000%d,empty,none,none\n"
    assert answer(tmp_path, rows % 1, chart % ("virgin", "never"), "--yes")["written"] == 1
    assert answer(tmp_path, rows % 2, chart % ("'?'", "unknown"), "--yes")["written"] == 1
    assert "prior: []" in cask_text(tmp_path, "TH-000001") and "charred: never" in cask_text(tmp_path, "TH-000001")
    assert "prior" not in cask_text(tmp_path, "TH-000002") and "charred" not in cask_text(tmp_path, "TH-000002")


def test_every_fault_of_a_row_is_told_and_none_that_only_follows(tmp_path: Path) -> None:
    found = one(
        tmp_path,
        every="every_row: {verdict: accept}\n",
        type="hogshed",
        contents="mlat",
        filled="31/02/2015",
        capacity="abc",
        prior_contents="burbon",
        received="2031-01-01",
    )
    assert sorted(said(found)) == sorted([
        (2, "type", "unknown-word"), (2, "contents", "unknown-word"), (2, "filled", "day-or-month-first"), (2, "capacity", "no-such-value"),
        (2, "prior_contents", "unknown-word"), (2, "received", "date-in-future"),
    ])  # fmt: skip


def test_units_by_column_go_through_the_books_own_tables(tmp_path: Path) -> None:
    house(tmp_path)
    chart = (
        HEAD
        + "  Cap: {is: capacity, unit: USgal}\n  T: {is: filled_temp, unit: °F}\n  RL: {is: filled_litres, unit: gal}\n  P: {is: filled_abv, unit: proof}\n  Since: filled\ngallon: uk\nproof: us\nevery_row: {verdict: accept, type: barrel, spirit: malt}\n"
    )
    assert answer(tmp_path, "Cask,Cap,T,RL,P,Since\nTH-000001,53,57,42,125,2015-03-20\n", chart, "--yes")["written"] == 1
    text = cask_text(tmp_path, "TH-000001")
    assert "capacity_l: 200.63" in text and "temp_c: 13.89" in text and "litres: 190.94" in text and "abv: 62.55" in text


def test_a_cell_with_a_unit_of_its_own_keeps_it(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  Cap: {is: capacity, unit: USgal}\n" + "every_row: {verdict: accept, type: barrel, contents: empty}\n"
    answer(tmp_path, "Cask,Cap\nTH-000001,200 L\n", chart, "--yes")
    assert "capacity_l: 200\n" in cask_text(tmp_path, "TH-000001")


def test_the_decimal_comma_is_one_only_where_the_map_says_so(tmp_path: Path) -> None:
    house(tmp_path)
    rows = 'Cask,RL\nTH-000001,"198,4"\nTH-000002,198.4\nTH-000003,"1.984"\n'
    chart = HEAD + "  RL: litres\nevery_row: {verdict: accept, type: barrel, spirit: malt}\n"
    found = answer(tmp_path, rows, chart, "--dry-run")
    assert said(found) == [(2, "RL", "decimal-comma")]
    found = answer(tmp_path, rows, chart + "decimal_comma: true\n", "--yes")
    assert said(found) == [(4, "RL", "decimal-comma")] and "litres: 198.4" in cask_text(tmp_path, "TH-000001")


def test_what_cannot_be_read_is_kept_in_words_where_the_map_says_so(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  Since: {is: filled, unclear: note}\n  Cap: {is: capacity, unclear: note}\nevery_row: {verdict: accept, type: barrel, spirit: malt}\n"
    assert answer(tmp_path, "Cask,Since,Cap\nTH-000001,spring 2015,about 200\n", chart, "--yes")["written"] == 1
    text = cask_text(tmp_path, "TH-000001")
    assert "note: 'Since: spring 2015; Cap: about 200'" in text and "capacity_l" not in text and "date: 2026-01-31" in text


def test_numbers_are_given_their_beginning_and_the_old_writing_stays_a_mark(tmp_path: Path) -> None:
    house(tmp_path)
    chart = "opening: 2026-01-31\ncolumns:\n  Cask: {is: cask, prefix: TH-, digits: 6}\n  Old: was\n  Older: was\nevery_row: {verdict: accept, type: barrel, contents: empty}\n"
    found = answer(tmp_path, "Cask,Old,Older\n17,88-1207,x9\nth-000018,,\n88/12,,\n1234567890,,\n", chart, "--yes")
    assert found["written"] == 2 and said(found) == [(4, "Cask", "bad-number"), (5, "Cask", "bad-number")]
    assert "was: ['17', 88-1207, x9]" in cask_text(tmp_path, "TH-000017") and "was" not in cask_text(tmp_path, "TH-000018")


@pytest.mark.parametrize(("typed", "kind"), [("ASB", "barrel"), ("Hogsheads", "hogshead"), ("HHD", "hogshead"), ("Sherry Butt", "butt"), ("bbl", "barrel")])
def test_types_by_the_trades_words_and_the_maps(tmp_path: Path, typed: str, kind: str) -> None:
    house(tmp_path)
    chart = HEAD + "  T: {is: type, words: {bbl: barrel}}\nevery_row: {verdict: accept, contents: empty}\n"
    assert answer(tmp_path, f"Cask,T\nTH-000001,{typed}\n", chart, "--yes")["written"] == 1
    assert f"type: {kind}\n" in cask_text(tmp_path, "TH-000001")


def test_a_row_with_too_many_cells_is_no_row_of_this_table(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  C: contents\n" + FILL_OUT
    found = answer(tmp_path, "Cask,C\nTH-000001,empty,rusty\nTH-000002,empty,\n\n\nTH-000003,empty\n", chart, "--yes")
    assert found["rows"] == 3 and found["written"] == 2 and said(found) == [(2, "", "too-many-cells")]


def test_no_hostile_cell_reaches_the_terminal_or_breaks_the_file(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  C: contents\n  Words: note\n  O: owner\n" + FILL_OUT
    done = bring(
        tmp_path,
        'Cask,C,Words,O\nTH-000001,empty,"a: [b]\nc # d",\x1b[31mred\nTH-000002,\x1b]0;x\x07,,\nTH-000003,empty,"""x""\t\'y\'",&a *b !c\n',
        chart,
        "--yes",
    )
    assert "\x1b" not in done.stdout + done.stderr
    assert done.returncode == 1 and "1 written" in done.stdout
    assert "owner: '&a *b !c'" in cask_text(tmp_path, "TH-000003")
    assert not (tmp_path / "records/casks/TH-000/TH-000001.yaml").exists()  # its owner holds a sign that steers a terminal


def test_litres_at_20_degrees_are_said_once_for_all_rows(tmp_path: Path) -> None:
    house(tmp_path)
    chart = HEAD + "  RL: filled_litres\n  T: filled_temp\n  Since: filled\nevery_row: {verdict: accept, type: barrel, spirit: malt, at_20: true}\n"
    answer(tmp_path, "Cask,RL,T,Since\nTH-000001,198,,2015-03-20\nTH-000002,198,14,2015-03-20\nTH-000003,,,2015-03-20\n", chart, "--yes")
    texts = [cask_text(tmp_path, f"TH-00000{n}") for n in (1, 2, 3)]
    assert "at_20: true" in texts[0] and "temp_c: 14" in texts[1] and "at_20" not in texts[1] + texts[2]


def test_two_benches_that_bring_in_one_register_have_the_same_bytes(tmp_path: Path) -> None:
    cells = {
        "received": "2015-03-12",
        "spirit": "malt",
        "filled": "2015-03-12",
        "filled_litres": "198.4",
        "filled_abv": "63.5",
        "tested": "2015-03-12",
        "test_result": "pass",
        "test_psi": "11",
        "note": "x",
    }
    for bench in ("a", "b"):
        assert one(tmp_path / bench, **cells)["written"] == 1
    text = cask_text(tmp_path / "a", "TH-000001")
    assert text == cask_text(tmp_path / "b", "TH-000001")
    assert [line.split()[-1] for line in text.splitlines() if "job:" in line] == ["receive", "test", "fill", "note"]


@pytest.mark.parametrize(
    ("key", "inside", "outside", "cells"),
    [
        ("filled_litres", "220", "220.1", {"spirit": "malt", "filled": "2015-03-20", "capacity": "200"}),
        ("filled_litres", "231", "231.1", {"spirit": "malt", "filled": "2015-03-20"}),
        ("filled_abv", "40", "39.9", {"spirit": "malt", "filled": "2015-03-20"}),
        ("filled_abv", "80", "80.1", {"spirit": "malt", "filled": "2015-03-20"}),
        ("abv", "20", "19.9", {"spirit": "malt"}),
        ("abv", "95", "95.1", {"spirit": "malt"}),
        ("abv", "24", "24.1", {"spirit": "oloroso"}),
        ("abv", "10", "9.9", {"spirit": "oloroso"}),
        ("note", "x" * 2000, "x" * 2001, {"contents": "empty"}),
        ("prior_fills", "99", "100", {"contents": "empty"}),
        ("received", "2026-11-01", "2999-11-01", {"contents": "empty"}),
    ],
)  # fmt: skip
def test_just_inside_and_just_outside(tmp_path: Path, key: str, inside: str, outside: str, cells: dict[str, str]) -> None:
    assert one(tmp_path / "in", **cells, **{key: inside})["written"] == 1
    found = one(tmp_path / "out", **cells, **{key: outside})
    assert found["written"] == 0 and [column for _, column, _ in said(found)] == [key]


def test_a_note_that_grows_too_long_is_told(tmp_path: Path) -> None:
    """Each note fits by itself, and both together do not."""
    house(tmp_path)
    chart = HEAD + "  One: note\n  Two: note\nevery_row: {verdict: accept, type: barrel, contents: empty}\n"
    found = answer(tmp_path, f"Cask,One,Two\nTH-000001,{'a' * 1000},{'b' * 1000}\n", chart, "--yes")
    assert [code for _, _, code in said(found)] == ["too-long"] and found["written"] == 0


@pytest.mark.parametrize(("columns", "column"), [("", "capacity"), ("  Gals: {is: capacity, unit: L}\n", "Gals")])
def test_what_a_cask_lacks_is_told_of_its_column(tmp_path: Path, columns: str, column: str) -> None:
    chart = PLAIN_MAP.replace("every_row", f"{columns or '  Gals: leave-out' + chr(10)}every_row")
    (fault,) = answer(house(tmp_path), "No,Type,In it,Gals\n1,quarter-cask,empty,?\n2,barrel,empty,?\n", chart)["faults"]
    assert (fault["row"], fault["column"], fault["code"]) == (2, column, "missing-field")
    assert "capacity_l" not in fault["reason"] + fault["help"] and fault["help"] == "say it in a column that is `capacity`, or in every_row"
