"""move-event --sheet --map: a sheet entered on the wrong casks goes to the right ones in one run; casks may change places."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.conftest import shop as shop
from entry.shop import Ran, Shop, days_ago
from entry.states import STATES
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.cli.commands.correct import move_event, void
from caskbook.model.standing import corrections

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
FILLED = STATES["filled"] or []
CASKS = ("TH-007005", "TH-007006", "TH-007007", "TH-007008")


def standing(shop: Shop, cask: str) -> list[dict[str, Any]]:
    """The entries of a cask that count, in the order of the file, corrections aside."""
    fallen = corrections(shop.cask(cask).events).fallen
    return [event for event in shop.data(cask)["events"] if event["id"] not in fallen and event["job"] not in ("void", "moved")]


@pytest.fixture
def four(shop: Shop) -> Shop:
    """Four casks; the first three tested on a sheet, each at a pressure of its own."""
    for cask in CASKS:
        shop.put(*READY, cask=cask)
    for cask, psi in zip(CASKS, ("9", "10", "11"), strict=False):
        assert shop.enter("test", cask, "pass", "--psi", psi, "--sheet", "B-17", "--yes").code == 0
    return shop


def move(shop: Shop, pairs: str, *words: str) -> Ran:
    return shop.run(move_event, "--sheet", "B-17", "--map", pairs, "--why", "read one row too low", "--yes", *words)


def pressures(shop: Shop) -> list[float | None]:
    """The pressure of the test that counts, cask by cask."""
    return [next((one["psi"] for one in standing(shop, cask) if one["job"] == "test"), None) for cask in CASKS]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("pairs", "then"),
    [
        ("7005=7006,7006=7005", [10, 9, 11, None]), ("7005=7006, 7006=7007, 7007=7005", [11, 9, 10, None]), ("7005..7007=7006..7008", [None, 9, 10, 11]),
        ("7007=7008", [9, 10, None, 11]), ("7005=7005;7007=7008", [9, 10, None, 11]), ("TH-007007=TH-007008", [9, 10, None, 11]),
    ],
)  # fmt: skip
def test_swaps_chains_and_ranges(four: Shop, pairs: str, then: list[float | None]) -> None:
    lines = {cask: four.path(cask).read_text(encoding="utf-8").splitlines() for cask in CASKS}
    ran = move(four, pairs)
    assert ran.code == 0, ran.err
    assert pressures(four) == then and [four.codes(cask) for cask in CASKS] == [[], [], [], []]
    for cask in CASKS:
        assert set(lines[cask]) <= set(four.path(cask).read_text(encoding="utf-8").splitlines()), "nothing that stood there is gone"
    moved = [one for cask in CASKS for one in four.data(cask)["events"] if one["job"] == "moved"]
    assert len({one["sheet"] for one in moved}) == 1 and all(one["why"] == "read one row too low" for one in moved)
    copies = [one for cask in CASKS for one in standing(four, cask) if "moved_from" in one]
    assert len(copies) == len(moved) and {one["sheet"] for one in copies} == {"B-17"}


def test_the_run_that_moved_can_be_taken_back_as_a_whole(four: Shop) -> None:
    assert move(four, "7005=7006,7006=7005").code == 0
    run = next(one["sheet"] for one in four.data(CASKS[0])["events"] if one["job"] == "moved")
    ran = four.run(void, "--sheet", run, "--why", "it was right", "--yes")
    assert ran.code == 0 and pressures(four) == [9, 10, 11, None], ran.err
    assert [four.codes(cask) for cask in CASKS] == [[], [], [], []]


def test_a_map_out_of_a_file(four: Shop, tmp_path: Path) -> None:
    file = tmp_path / "pairs.csv"
    file.write_text("wrong;right\n7005;7006\n\n# the last row\n7006 7007 # misread\nTH-007007\t7005\n7008,7008\n", encoding="utf-8")
    assert move(four, str(file)).code == 0 and pressures(four) == [11, 9, 10, None]
    file.write_text("7005;7006;7007\n7005=7099\n7005..7007=7006\n7005=7006\n7005=7007\n", encoding="utf-8")
    ran = move(four, str(file))
    assert ran.code == 2 and "4 pairs of the map cannot be read; nothing written" in ran.err
    assert [line.partition(":")[2].partition(":")[0] for line in ran.err.splitlines()[:4]] == ["1", "2", "3", "5"], ran.err


def test_a_sheet_that_is_put_right_too_adds_nothing(four: Shop, tmp_path: Path) -> None:
    rows = tmp_path / "D-4.csv"
    text = f"date,job,cask,note\n{days_ago(0)},note,7005,wet\n{days_ago(0)},note,7006,dry\n"
    rows.write_text(text, encoding="utf-8")
    assert four.enter("sheet", str(rows), "--yes").code == 0
    assert four.run(move_event, "--sheet", "D-4", "--map", "7005=7006,7006=7005", "--why", "swapped", "--yes").code == 0
    before = {cask: four.path(cask).read_bytes() for cask in CASKS}
    for again in (text.replace("7005,wet", "7006,wet").replace("7006,dry", "7005,dry"), text):
        rows.write_text(again, encoding="utf-8")
        ran = four.enter("sheet", str(rows), "--yes")
        assert ran.code == 0 and "nothing to write" in ran.err and {cask: four.path(cask).read_bytes() for cask in CASKS} == before, ran.err


@pytest.mark.thorough
def test_several_jobs_of_a_cask_keep_their_order_and_name_each_other(shop: Shop) -> None:
    for cask in CASKS[:2]:
        shop.put(*FILLED, cask=cask)
    assert shop.enter("leak", CASKS[0], "--at", "joint-3", "--severity", "weep", "--sheet", "B-17").code == 0
    leak = shop.last(CASKS[0])["id"]
    assert shop.enter("look", CASKS[0], "drip", "--of", leak, "--sheet", "B-17").code == 0
    assert shop.enter("drive", CASKS[0], "--closes", leak, "--sheet", "B-17").code == 0
    assert shop.enter("leak", CASKS[1], "--at", "joint-9", "--severity", "run", "--sheet", "B-17").code == 0
    ran = move(shop, "7005=7006,7006=7005")
    assert ran.code == 0, ran.err
    found = [one for one in standing(shop, CASKS[1]) if one.get("sheet") == "B-17"]
    assert [one["job"] for one in found] == ["leak", "look", "drive"] and found[1]["of"] == found[2]["closes"] == found[0]["id"]
    assert shop.facts(CASKS[1]).open_leaks == [] and [one["at"] for one in shop.facts(CASKS[0]).open_leaks] == ["joint-9"]
    assert shop.codes(CASKS[0]) == shop.codes(CASKS[1]) == []


def test_what_a_wrong_entry_answered_is_open_again_for_the_right_one(shop: Shop) -> None:
    """Each cask has a defect of its own at one place, and the sheet answered the one with the other's work."""
    for cask in CASKS[:2]:
        arrival = {**READY[0], "findings": [{"at": "joint-3", "defect": "joint-leak", "severity": 1}]}
        shop.put(arrival, cask=cask)
    for cask in CASKS[:2]:
        assert shop.enter("treat", cask, "air", "--for", "residue", "--answers", "joint-3", "--sheet", "B-17").code == 0
    ran = move(shop, "7005=7006,7006=7005")
    assert ran.code == 0, ran.err
    assert [shop.facts(cask).open_defects for cask in CASKS[:2]] == [[], []] and shop.codes(CASKS[0]) == shop.codes(CASKS[1]) == []


def test_openings_go_out_and_new_ones_come_in(shop: Shop) -> None:
    for cask in CASKS[:3]:
        shop.put(*READY, cask=cask)
    assert shop.enter("shave+char", *CASKS[:2], "flail", "--level", "3", "--sheet", "B-17", "--yes").code == 0
    assert move(shop, "7005..7006=7006..7007").code == 0
    assert [shop.facts(cask).form for cask in CASKS[:3]] == ["whole", "open", "open"]
    assert [one["job"] for one in standing(shop, CASKS[1])[-3:]] == ["open", "shave", "char"]
    assert [shop.codes(cask) for cask in CASKS[:3]] == [[], [], []]


def test_all_or_nothing_and_each_refusal_is_told(four: Shop) -> None:
    four.put(*FILLED, cask=CASKS[3])
    before = {cask: four.path(cask).read_bytes() for cask in CASKS}
    ran = move(four, "7005=7008,7006=7007")
    assert ran.code == 1 and "TH-007008  test needs it empty" in ran.err and "casks refused" in ran.err, ran.err
    ran = move(four, "7008=7005,7005=7006")
    assert ran.code == 1 and "TH-007008  has no standing entry of the sheet B-17: leave it out of the map\nnothing written" in ran.err
    assert {cask: four.path(cask).read_bytes() for cask in CASKS} == before


def test_a_racking_is_not_moved(shop: Shop) -> None:
    shop.put(*FILLED, cask=CASKS[0])
    shop.put(*READY, cask=CASKS[1])
    shop.put(*READY, cask=CASKS[2])
    words = ("--litres", "190", "--abv", "60", "--why", "leak", "--sheet", "B-17", "--yes")
    assert shop.enter("rack", CASKS[0], "--to", CASKS[1], *words).code == 0
    ran = move(shop, "7006=7007")
    assert ran.code == 1 and "its rack-in" in ran.err and "cannot be moved: void it, and enter it anew on TH-007007" in ran.err


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--sheet", "B-17"], "as: caskbook move-event --sheet REF --map"), (["--map", "7005=7006"], "as: caskbook move-event --sheet REF --map"),
        (["--sheet", "B-17", "--map", "7005=7006", "--to", "7007"], "as: caskbook move-event --sheet"), (["--sheet", "B-18", "--map", "7005=7006"], "no standing entry bears"),
        (["--sheet", "B-17", "--map", "7005-7006"], "7005-7006: no such file"), (["--sheet", "B-17", "--map", "7005=7099"], "7099"),
        (["--sheet", "B-17", "--map", "7005=TH-009999"], "not in the book"), (["--sheet", "B-17", "--map", "=,,"], "no pair"), (["--sheet", "B-17", "--map", "7005="], "is no pair"),
        (["--sheet", "B-17", "--map", "7005=7006,7005=7007"], "mapped to TH-007006 already"), (["--sheet", "B-17", "--map", "7005..7006=7007"], "names 2 casks"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told(four: Shop, words: list[str], told: str) -> None:
    ran = four.run(move_event, *words, "--why", "x", "--yes")
    assert ran.code == 2 and told in ran.err, ran.err
    assert pressures(four) == [9, 10, 11, None]


def test_a_dry_run_and_the_wish_for_a_yes(four: Shop) -> None:
    ran = four.run(move_event, "--sheet", "B-17", "--map", "7005=7006,7006=7005", "--why", "x", "--dry-run")
    assert ran.code == 0 and ran.out.count("+    job: moved") == 2 and pressures(four) == [9, 10, 11, None]
    assert "TH-007005 → TH-007006" in ran.err
    assert "nobody to ask" in four.run(move_event, "--sheet", "B-17", "--map", "7005=7006,7006=7005", "--why", "x").err
    assert "every cask of the map is mapped to itself" in move(four, "7005=7005").err


@pytest.mark.thorough
@settings(max_examples=many(12), deadline=None)
@given(order=st.permutations(CASKS))
def test_whatever_changes_places_each_entry_is_where_the_map_says(tmp_path_factory: pytest.TempPathFactory, order: list[str]) -> None:
    shop = Shop(tmp_path_factory.mktemp("order"))
    for number, cask in enumerate(CASKS):
        shop.put(*READY, {"date": days_ago(1), "job": "test", "psi": 8 + number, "result": "pass", "sheet": "B-17"}, cask=cask)
    pairs = ",".join(f"{wrong}={right}" for wrong, right in zip(CASKS, order, strict=True))
    assert move(shop, pairs, "--by", "ab").code == 0
    assert pressures(shop) == [8 + order.index(cask) for cask in CASKS]
    assert [shop.codes(cask) for cask in CASKS] == [[]] * 4


def test_the_installed_command(four: Shop) -> None:
    ran = caskbook("move-event", "--sheet", "B-17", "--map", "7005=7006,7006=7005", "--why", "misread", "--yes", "--records", str(four.root))
    assert ran.returncode == 0 and "4 entries on 2 casks" in ran.stderr, ran.stderr
    assert caskbook("check", "--records", str(four.root)).returncode == 0
    help_ = caskbook("move-event", "--help").stdout
    assert "--map '7005=7006,7006=7005'" in help_ and "exit code" in help_ and max(map(len, help_.splitlines())) <= 80


@pytest.mark.parametrize("bits", [0, 7, 16383])
def test_a_copy_and_the_entry_that_takes_another_out_have_ids_of_their_own(shop: Shop, monkeypatch: pytest.MonkeyPatch, bits: int) -> None:
    """Whatever chance gives: both are written in one minute into one file."""
    monkeypatch.setattr("caskbook.cli.entering.desk.random_bits", lambda count: bits & (1 << count) - 1)
    for cask in CASKS[:2]:
        shop.put(*READY, cask=cask)
        assert shop.enter("treat", cask, "air", "--for", "residue", "--sheet", "B-17").code == 0
    ran = move(shop, "7005=7006,7006=7005")
    assert ran.code == 0, ran.err
    for cask in CASKS[:2]:
        ids = [one["id"] for one in shop.data(cask)["events"]]
        assert len(set(ids)) == len(ids) and shop.codes(cask) == []
