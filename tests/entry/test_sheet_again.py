"""Sheets as they come back from the bench: partly filled in, with one pressure for all, and read again after a row was changed."""

from __future__ import annotations

import csv
import io
import re
import tempfile
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from hypothesis import example, given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.cli.commands import correct
from caskbook.cli.entering import blank_sheet
from entry.shop import CASK, Ran, Shop, days_ago
from entry.states import STATES

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
CASKS = [f"TH-{number:06d}" for number in range(4501, 4505)]
DAY = days_ago(2)


@pytest.fixture
def four(shop: Shop) -> Shop:
    for cask in CASKS:
        shop.put(*READY, cask=cask)
    return shop


def sheet(tmp_path: Path, text: str, name: str = "tuesday.csv") -> str:
    path = tmp_path / name
    path.write_text(text.format(day=DAY), encoding="utf-8")
    return str(path)


def filled(shop: Shop, tmp_path: Path, job: str, cells: dict[str, dict[str, str]], casks: list[str] = CASKS) -> str:
    """A blank CSV as `sheet` makes it, with these cells filled in: cask → heading → what is written."""
    blank = shop.run(blank_sheet.blank, "--for", job, *casks, "--format", "csv")
    assert blank.code == 0, blank.err
    rows = list(csv.DictReader(io.StringIO(blank.out)))
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    for row in rows:
        assert set(cells.get(row["cask"], {})) <= set(row), row
        writer.writerow({**row, **cells.get(row["cask"], {})})
    path = tmp_path / "tuesday.csv"
    path.write_text(out.getvalue(), encoding="utf-8")
    return str(path)


def enter(shop: Shop, path: str, *words: str) -> Ran:
    return shop.enter("sheet", path, "--by", "kd", "--date", DAY.isoformat(), *words)


def stands(shop: Shop, cask: str = CASKS[0]) -> list[dict[str, Any]]:
    """What the sheet's day holds of the cask, what was replaced or voided left out."""
    life = shop.ledger.life_of(shop.cask(cask), shop.today)
    return [one for one in shop.data(cask)["events"] if one["id"] in {event.id for event in life.events} and one["date"] == DAY and one["job"] != "void"]


def test_rows_that_are_not_filled_in_are_skipped_and_counted(four: Shop, tmp_path: Path) -> None:
    path = filled(four, tmp_path, "test", {CASKS[0]: {"result": "pass", "psi": "9"}, CASKS[2]: {"result": "fail", "leaks": "joint-3"}})
    ran = enter(four, path, "--psi", "11", "--yes")
    assert ran.code == 0 and "not filled in, and skipped: 2 rows" in ran.err, ran.err
    assert [four.last(cask)["job"] for cask in CASKS] == ["test", "examine", "test", "examine"]
    assert four.last(CASKS[0])["psi"] == 9 and four.last(CASKS[2])["psi"] == 11, "a row's own figure goes first"
    again = enter(four, path, "--psi", "11", "--yes")
    assert again.code == 0 and "in the book already: 2 entries" in again.err and "nothing to write" in again.err


def test_day_and_hand_filled_down_a_column_make_no_row(four: Shop, tmp_path: Path) -> None:
    common = {"date": DAY.isoformat(), "by": "kd"}
    path = filled(four, tmp_path, "test", dict.fromkeys(CASKS, common) | {CASKS[1]: common | {"result": "pass", "psi": "11"}})
    ran = four.enter("sheet", path, "--yes")
    assert ran.code == 0 and "skipped: 3 rows" in ran.err and four.last(CASKS[1])["result"] == "pass"


def test_a_job_without_fields_is_done_by_its_tick(four: Shop, tmp_path: Path) -> None:
    path = filled(four, tmp_path, "drive", {CASKS[0]: {"tick": "x"}, CASKS[1]: {"hoops": "A-1"}, CASKS[2]: {"tick": "no"}})
    ran = enter(four, path, "--yes")
    assert ran.code == 0 and "skipped: 2 rows" in ran.err, ran.err
    assert [four.last(cask)["job"] for cask in CASKS] == ["drive", "drive", "examine", "examine"]
    alone = sheet(tmp_path, f"job,cask\ndrive,{CASKS[2]}\ntest,{CASKS[3]}\n", "plain.csv")
    ran = enter(four, alone, "--yes")
    assert ran.code == 0 and "skipped: 1 row" in ran.err and four.last(CASKS[2])["job"] == "drive"


def test_a_tick_that_says_no_beside_what_was_done_is_asked_about(four: Shop, tmp_path: Path) -> None:
    path = filled(four, tmp_path, "test", {CASKS[0]: {"tick": "no", "result": "pass"}, CASKS[1]: {"tick": "x"}})
    ran = enter(four, path, "--psi", "11", "--yes")
    assert ran.code == 1 and "row 2: `tick` says no, and result is filled in" in ran.err and "row 3: test on TH-004502 needs result" in ran.err
    assert "nothing written: 2 of 2 rows" in ran.err and "skipped: 2 rows" in ran.err


def test_a_sheet_with_nothing_filled_in_is_refused(four: Shop, tmp_path: Path) -> None:
    ran = enter(four, filled(four, tmp_path, "test", {}), "--yes")
    assert ran.code == 2 and ran.err == "caskbook: no row of tuesday.csv is filled in (4 rows): nothing to write\n"


def test_a_yaml_sheet_has_ticks_too(four: Shop, tmp_path: Path) -> None:
    rows = "".join(f"  - {{{{job: drive, cask: {cask}, tick: {tick}}}}}\n" for cask, tick in zip(CASKS, ("'yes'", "'no'", "x", "''"), strict=True))
    ran = enter(four, sheet(tmp_path, f"jobs:\n{rows}", "b.yaml"), "--yes")
    assert ran.code == 0 and "skipped: 2 rows" in ran.err, ran.err
    assert [four.last(cask)["job"] for cask in CASKS] == ["drive", "examine", "drive", "examine"]


def test_a_field_for_all_rows_goes_where_it_belongs(four: Shop, tmp_path: Path) -> None:
    text = f"job,cask,result,method\ntest,{CASKS[0]},pass,\ntest,{CASKS[1]},pass,water\ndrive,{CASKS[2]},,\n"
    ran = enter(four, sheet(tmp_path, text), "--psi", "0.75bar", "--minutes", "5", "--yes")
    assert ran.code == 0, ran.err
    assert four.last(CASKS[0])["psi"] == 10.88 and four.last(CASKS[0])["minutes"] == 5
    assert "psi" not in four.last(CASKS[1]) and four.last(CASKS[1])["minutes"] == 5, "a test with water has no pressure"
    assert four.last(CASKS[2])["job"] == "drive"
    for words, told in (
        (("--colour", "red"), "--colour: `colour` is no field of"),
        (("--psi",), "--psi needs a value"),
        (("--psi", "11", "--psi", "12"), "--psi"),
    ):
        before = four.path(CASKS[0]).read_bytes()
        ran = enter(four, sheet(tmp_path, text, "other.csv"), *words, "--yes")
        assert ran.code == 2 and told in ran.err and four.path(CASKS[0]).read_bytes() == before


def test_what_shave_and_char_share_is_asked_for_each(four: Shop, tmp_path: Path) -> None:
    cells = {"method": "flail", "level": "3", "shave_depth_mm": "2", "char_depth_mm": "4", "stave_mm": "24"}
    ran = enter(four, filled(four, tmp_path, "shave+char", {CASKS[0]: cells}), "--yes")
    assert ran.code == 0 and "skipped: 3 rows" in ran.err, ran.err
    done = four.data(CASKS[0])["events"][-3:]
    assert [one["job"] for one in done] == ["open", "shave", "char"]
    assert (done[1]["depth_mm"], done[1]["stave_mm"], done[2]["depth_mm"], done[2]["level"]) == (2, 24, 4, 3)
    text = f"job,cask,method,level,depth_mm\nshave+char,{CASKS[1]},flail,3,2\n"
    ran = enter(four, sheet(tmp_path, text, "b.csv"), "--yes")
    assert ran.code == 1 and "`depth_mm`: of which job? shave_depth_mm or char_depth_mm" in ran.err


def test_a_delivery_comes_in_whole_from_its_sheet(shop: Shop, tmp_path: Path) -> None:
    cells = {
        "verdict": "accept", "type": "hogshead", "capacity_l": "250", "wood": "european-oak", "maker": "Fenwick", "made": "2006", "staves": "31", "heads": "5,5",
        "hoops": "6", "was": "K 17", "owner": "the house", "prior": "bourbon 1", "charred": "2011", "parcel": "P-2026-020", "supplier": "northquay", "berth": "Y1",
        "stow": "bilge", "residue_l": "1", "note": "wet",
    }  # fmt: skip
    ran = enter(shop, filled(shop, tmp_path, "receive", {CASKS[1]: cells}), "--yes")
    assert ran.code == 0 and "skipped: 3 rows" in ran.err, ran.err
    head, receipt = shop.data(CASKS[1]), shop.last(CASKS[1])
    assert {key: head[key] for key in ("type", "capacity_l", "staves", "heads", "hoops", "was", "parcel")} == {
        "type": "hogshead", "capacity_l": 250, "staves": 31, "heads": [5, 5], "hoops": 6, "was": ["K 17"], "parcel": "P-2026-020",
    }  # fmt: skip
    assert all(head[key] for key in ("wood", "maker", "made", "owner", "prior", "charred", "supplier"))
    assert (receipt["verdict"], receipt["berth"], receipt["stow"], receipt["residue_l"], receipt["note"]) == ("accept", "Y1", "bilge", 1, "wet")


HEAD = "date,job,cask,by,psi,result,leaks\n"


def test_a_changed_row_asks_to_replace_what_it_wrote(four: Shop, tmp_path: Path) -> None:
    rows = f"{{day}},drive,{CASKS[0]},kd,,,\n{{day}},test,{CASKS[0]},kd,11,pass,\n{{day}},test,{CASKS[1]},kd,11,pass,\n"
    assert four.enter("sheet", sheet(tmp_path, HEAD + rows), "--yes").code == 0
    old, kept = stands(four)[-1], four.path(CASKS[0]).read_bytes()
    changed = sheet(tmp_path, HEAD + rows.replace("pass,\n", "fail,joint-3\n", 1))
    ran = four.enter("sheet", changed)
    assert (
        ran.code == 1 and f"row 3: changed since this sheet was entered; TH-004501 test {old['id']} (pass, 11 psi) is replaced by: FAIL at joint-3" in ran.err
    )
    assert four.path(CASKS[0]).read_bytes() == kept and "in the book already: 2 entries" in ran.err
    other = four.path(CASKS[1]).read_bytes()
    ran = four.enter("sheet", changed, "--yes", "--why", "misread")
    assert ran.code == 0 and four.path(CASKS[1]).read_bytes() == other, ran.err
    assert [(one["job"], one.get("result")) for one in stands(four)] == [("drive", None), ("test", "fail")]
    assert four.last(CASKS[0])["replaces"] == old["id"] and four.last(CASKS[0])["why"] == "misread" and four.codes(CASKS[0]) == []
    kept = four.path(CASKS[0]).read_bytes()
    again = four.enter("sheet", changed, "--yes")
    assert again.code == 0 and "in the book already: 3 entries" in again.err and four.path(CASKS[0]).read_bytes() == kept
    ran = four.enter("sheet", sheet(tmp_path, HEAD + rows), "--yes")
    assert ran.code == 0 and "is replaced by: pass, 11 psi" in ran.err, "and back"
    assert [one.get("result") for one in stands(four)] == [None, "pass"] and four.last(CASKS[0])["why"] == "row changed on the sheet tuesday"
    kept = four.path(CASKS[0]).read_bytes()
    assert "in the book already: 3 entries" in four.enter("sheet", sheet(tmp_path, HEAD + rows), "--yes").err and four.path(CASKS[0]).read_bytes() == kept


def test_only_what_the_same_sheet_wrote_that_day_is_replaced(four: Shop, tmp_path: Path) -> None:
    row = f"{{day}},test,{CASKS[0]},kd,11,pass,\n"
    assert four.enter("sheet", sheet(tmp_path, HEAD + row), "--yes").code == 0
    for text, name in (
        (row.replace("11", "10"), "evening.csv"),
        (row.replace("{day}", days_ago(1).isoformat()), "wednesday.csv"),
        (row.replace("11", "8").replace("{day}", days_ago(1).isoformat()), "tuesday.csv"),
        (row + row.replace("11", "9"), "tuesday.csv"),
    ):
        ran = four.enter("sheet", sheet(tmp_path, HEAD + text, name), "--yes")
        assert ran.code == 0 and "changed since" not in ran.err, ran.err
    assert not [one for one in four.data(CASKS[0])["events"] if "replaces" in one]


def test_a_row_whose_day_was_changed_is_asked_about(four: Shop, tmp_path: Path) -> None:
    rows = f"{{day}},test,{CASKS[0]},kd,11,pass,\n{{day}},test,{CASKS[1]},kd,11,pass,\n"
    assert four.enter("sheet", sheet(tmp_path, HEAD + rows), "--yes").code == 0
    old = stands(four)[-1]["id"]
    other = sheet(tmp_path, HEAD + rows.replace("{day}", days_ago(1).isoformat(), 1))
    ran = four.enter("sheet", other)
    assert ran.code == 1 and f"row 2: this sheet wrote a test ({old}) on TH-004501 for {DAY} already" in ran.err and "row 3" not in ran.err, ran.err
    assert len(four.data(CASKS[0])["events"]) == 3
    assert four.enter("sheet", other, "--yes").code == 1 and len(four.data(CASKS[0])["events"]) == 3, "a yes is no answer to that"
    assert f"caskbook void {CASKS[0]} {old} --why 'not on the sheet tuesday', then read the sheet again" in ran.err
    assert four.run(correct.void, CASKS[0], old, "--why", "the day", "--by", "kd", "--yes").code == 0
    assert four.enter("sheet", other, "--yes").code == 0 and [one["date"] for one in four.data(CASKS[0])["events"] if one["job"] == "test"] == [
        DAY,
        days_ago(1),
    ]
    assert "nothing to write" in four.enter("sheet", other, "--yes").err


def test_what_was_put_right_by_hand_is_left_alone(four: Shop, tmp_path: Path) -> None:
    path = sheet(tmp_path, HEAD + f"{{day}},test,{CASKS[0]},kd,11,pass,\n{{day}},test,{CASKS[1]},kd,11,pass,\n")
    assert four.enter("sheet", path, "--yes").code == 0
    for cask, words in ((CASKS[0], None), (CASKS[1], ("--psi", "10"))):
        ident = stands(four, cask)[-1]["id"]
        if words is None:
            assert four.run(correct.void, cask, ident, "--why", "wrong cask", "--by", "kd", "--yes").code == 0
        else:
            assert four.enter("test", cask, "pass", *words, "--replaces", ident, "--why", "gauge", "--by", "ab", "--yes").code == 0
    kept = [four.path(cask).read_bytes() for cask in CASKS]
    ran = four.enter("sheet", path, "--yes")
    assert ran.code == 0 and ran.err.count("was put out of force, and stays so") == 2 and "changed since" not in ran.err, ran.err
    assert kept == [four.path(cask).read_bytes() for cask in CASKS]


def test_the_opening_for_a_fire_is_no_row_of_its_own(four: Shop, tmp_path: Path) -> None:
    path = filled(four, tmp_path, "shave+char", {CASKS[0]: {"method": "flail", "level": "3"}})
    assert enter(four, path, "--yes").code == 0
    path = filled(four, tmp_path, "shave+char", {CASKS[0]: {"method": "flail", "level": "4"}})
    ran = enter(four, path, "--yes")
    assert ran.code == 0 and ran.err.count("is replaced by") == 1 and "no row of it says" not in ran.err, ran.err
    assert [(one["job"], one.get("level")) for one in stands(four)] == [("open", None), ("shave", None), ("char", 4)] and four.codes(CASKS[0]) == []


def test_a_row_that_was_taken_out_is_told(four: Shop, tmp_path: Path) -> None:
    row = f"{{day}},test,{CASKS[0]},kd,11,pass,\n"
    assert four.enter("sheet", sheet(tmp_path, HEAD + row + f"{{day}},drive,{CASKS[0]},kd,,,\n"), "--yes").code == 0
    ran = four.enter("sheet", sheet(tmp_path, HEAD + row), "--yes")
    assert ran.code == 0 and f"this sheet wrote a drive ({stands(four)[-1]['id']}) that no row of it says any more" in ran.err
    assert len(stands(four)) == 2


ROW = st.tuples(st.sampled_from(["test", "note", "move"]), st.integers(0, 3))


@settings(max_examples=many(45), deadline=None)
@example([[("note", 0)], [("note", 1)], [("note", 0), ("note", 1)]])
@example([[("test", 0)], [("test", 1), ("test", 1)], [("test", 0), ("test", 1)]])
@given(st.lists(st.lists(ROW, min_size=1, max_size=4), min_size=2, max_size=4))
def test_what_stands_is_what_the_sheet_says(versions: list[list[tuple[str, int]]]) -> None:
    """However often rows are changed, added, moved or put back: each row is in the book once, in the order of the sheet, and reading again
    adds nothing. What a row taken out leaves is named, and nothing written until it is put out; put out once, it stays so, which is said."""
    with tempfile.TemporaryDirectory() as folder:
        _read_again_and_again(Path(folder), versions)


def _read_again_and_again(folder: Path, versions: list[list[tuple[str, int]]]) -> None:
    shop = Shop(folder)
    shop.put(*READY, cask=CASK)
    for version in versions:
        lines = [f"{{day}},{job},{CASK},kd,{[9, 10, 11, 12][n] if job == 'test' else ''},{'pass' if job == 'test' else ''},{f'B/{n}' if job == 'move' else ''},"
                 f"{f'seen {n}' if job == 'note' else ''}\n" for job, n in version]  # fmt: skip
        path = sheet(folder, "date,job,cask,by,psi,result,berth,note\n" + "".join(lines))
        ran = _until_read(shop, path)
        out = {int(row) - 2 for row in re.findall(r"row (\d+): its entry \(\S+\) was put out of force, and stays so", ran.err)}
        there = [(one["job"], _figure(one)) for one in stands(shop, CASK)]
        assert there == [row for at, row in enumerate(version) if at not in out], ran.err
        kept = shop.path(CASK).read_bytes()
        again = shop.enter("sheet", path, "--anyway", "--why", "tried", "--yes")
        assert again.code == 0 and "nothing to write" in again.err and shop.path(CASK).read_bytes() == kept, again.err


def _until_read(shop: Shop, path: str) -> Ran:
    """Read a sheet, put out what no row of it says any more where that is asked for, and read it again."""
    for _ in range(8):
        kept = shop.path(CASK).read_bytes()
        ran = shop.enter("sheet", path, "--anyway", "--why", "tried", "--yes")
        left = re.findall(r"caskbook void (\S+) (\S+) --why", ran.err)
        if not left:
            assert ran.code == 0, ran.err
            return ran
        assert shop.path(CASK).read_bytes() == kept, "what is asked about is not written"
        for cask, ident in dict.fromkeys(left):
            assert shop.run(correct.void, cask, ident, "--why", "taken out", "--by", "kd", "--yes").code == 0
    raise AssertionError(ran.err)


def _figure(event: dict[str, Any]) -> int:
    told = event["psi"] - 9 if event["job"] == "test" else str(event.get("berth") or event["note"])[-1]
    return int(told)


@pytest.mark.parametrize("away", [("void", "--sheet", "t", "--why", "broken"), ("redate", "--sheet", "t", "--date", str(days_ago(3)))])
def test_a_sheet_of_which_rows_changed_places_stays_out_once_it_was_taken_back(four: Shop, tmp_path: Path, away: tuple[str, ...]) -> None:
    rows = [f"{CASKS[0]},fail,10,joint-3", f"{CASKS[0]},pass,10,"]
    for order in (rows, rows[::-1]):
        path = sheet(tmp_path, "job,cask,result,psi,leaks\n" + "".join(f"test,{row}\n" for row in order), "t.csv")
        assert enter(four, path, "--yes").code == 0
    done = caskbook(*away, *(("--by", "kd") if away[0] == "void" else ()), "--yes", "--records", str(four.root))
    assert done.returncode == 0, done.stderr
    before = four.path(CASKS[0]).read_bytes()
    ran = enter(four, path, "--yes")
    assert ran.code == 0 and four.path(CASKS[0]).read_bytes() == before and ran.err.count("was put out of force, and stays so") == 2, ran.err
