"""Day sheets, blank sheets, and the scanner."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.commands import correct
from caskbook.cli.entering import blank_sheet
from caskbook.entry.blank import Card, Sheet, blank_csv, blank_text
from caskbook.entry.entry import Entry
from caskbook.entry.request import MANY_FILES, all_jobs
from caskbook.entry.row_ids import _content
from caskbook.entry.sheet_text import rows_of_csv
from caskbook.model.ids import import_id
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

READY = STATES["ready"] or []
CASKS = [f"TH-{number:06d}" for number in range(4501, 4505)]
ROWS = """\
date,job,cask,by,verdict,result,psi,leaks,note
{day},examine,TH-004501,kd,sound,,,,
{day},test,TH-004501,kd,,tight,0.8bar,,second go
{day},test,TH-004502..004504,kd,,fail,11,"joint-1,head-A",
"""


def sheet(tmp_path: Path, text: str = ROWS, name: str = "tuesday.csv") -> str:
    path = tmp_path / name
    path.write_text(text.format(day=days_ago(2)), encoding="utf-8")
    return str(path)


@pytest.fixture
def four(shop: Shop) -> Shop:
    for cask in CASKS:
        shop.put(*READY, cask=cask)
    return shop


@pytest.mark.thorough
def test_a_sheet_is_entered_and_a_second_time_adds_nothing(four: Shop, tmp_path: Path) -> None:
    path = sheet(tmp_path)
    assert "nobody to ask" in four.enter("sheet", path).err
    ran = four.enter("sheet", path, "--yes")
    assert ran.code == 0, ran.err
    assert [event["job"] for event in four.data("TH-004501")["events"]] == ["receive", "examine", "examine", "test"]
    assert four.last("TH-004501") | {"id": ""} == {
        "id": "",
        "date": days_ago(2),
        "job": "test",
        "by": "kd",
        "psi": 11.6,
        "result": "pass",
        "sheet": "tuesday",
        "note": "second go",
    }
    texts = {cask: four.path(cask).read_bytes() for cask in CASKS}
    again = four.enter("sheet", path, "--yes")
    assert again.code == 0 and "in the book already: 5 entries" in again.err and "nothing to write" in again.err
    assert texts == {cask: four.path(cask).read_bytes() for cask in CASKS}


def test_a_row_whose_entry_was_voided_is_told_and_not_brought_back(four: Shop, tmp_path: Path) -> None:
    path = sheet(tmp_path)
    assert four.enter("sheet", path, "--yes").code == 0
    entry = four.cask(CASKS[0]).events[-1]
    assert caskbook("void", CASKS[0], entry.id, "--why", "misread", "--by", "kd", "--yes", "--records", str(four.root)).returncode == 0
    kept = four.path(CASKS[0]).read_bytes()
    again = four.enter("sheet", path, "--yes")
    assert again.code == 0 and f"its entry ({entry.id}) was put out of force, and stays so" in again.err
    assert four.path(CASKS[0]).read_bytes() == kept


def test_two_machines_that_enter_one_sheet_write_the_same_bytes(four: Shop, tmp_path: Path) -> None:
    other = Shop(tmp_path / "other")
    for cask in CASKS:
        other.put(*READY, cask=cask)
    path = sheet(tmp_path)
    assert four.enter("sheet", path, "--yes").code == other.enter("sheet", path, "--yes").code == 0
    assert all(four.path(cask).read_bytes() == other.path(cask).read_bytes() for cask in CASKS)


def test_the_same_row_twice_is_two_jobs_and_a_longer_sheet_adds_the_rest(four: Shop, tmp_path: Path) -> None:
    row = "{day},test,TH-004501,kd,,pass,11,,\n"
    assert four.enter("sheet", sheet(tmp_path, ROWS.split("\n")[0] + "\n" + row * 2), "--yes").code == 0
    assert [event["job"] for event in four.data("TH-004501")["events"]][2:] == ["test", "test"]
    more = ROWS.split("\n")[0] + "\n" + row * 2 + "{day},drive,TH-004501,kd,,,,,\n"
    assert four.enter("sheet", sheet(tmp_path, more), "--yes").code == 0
    assert [event["job"] for event in four.data("TH-004501")["events"]][2:] == ["test", "test", "drive"]


def test_a_bad_row_stops_all_and_every_one_is_told(four: Shop, tmp_path: Path) -> None:
    text = ROWS + "{day},shave,TH-004501,kd,,,,,\n{day},test,TH-009999,kd,,pass,11,,\n{day},tset,TH-004501,kd,,,,,\n,,TH-004501,,,,,,\n"
    ran = four.enter("sheet", sheet(tmp_path, text), "--yes")
    assert ran.code == 1 and "nothing written: 4 of 7 rows are to be put right" in ran.err
    assert "row 5: shave on TH-004501 needs method" in ran.err and "row 7: 'tset' is no job" in ran.err and "row 8: no job given" in ran.err
    assert "row 6: TH-009999 is not in the book" in ran.err, "what cannot be read and what cannot have been are told in one go"
    assert len(four.data("TH-004501")["events"]) == 2


def test_every_fault_of_a_row_is_told(four: Shop, tmp_path: Path) -> None:
    text = (
        "date,job,cask,psi,minutes,leaks,colour,result\n{day},test,TH-004501,wet,soon,nowhere,red,pass\n{day},test,45,11,,,,pass\n{day},fill,TH-004502,,,,,\n"
    )
    ran = four.enter("sheet", sheet(tmp_path, text), "--yes")
    assert ran.code == 1 and "nothing written: 3 of 3 rows are to be put right" in ran.err
    both = "date,job,cask,psi,result\n2026-02-31,test,TH-4501,wet,pass\n"
    words = four.enter("sheet", sheet(tmp_path, both), "--yes").err
    assert all(word in words for word in ("row 2: --date:", "row 2: --psi:", "row 2: TH-4501 is not in the book: did you mean TH-004501?"))
    told = [line for line in ran.err.splitlines() if "row 2" in line]
    assert len(told) == 4 and all(any(word in line for line in told) for word in ("--psi", "--minutes", "--leaks", "`colour` is no field"))
    assert "row 3: 45 is no cask number" in ran.err and "row 4: fill on TH-004502 needs spirit, litres, abv" in ran.err


def test_two_rows_that_do_not_go_together_are_told_with_the_row(four: Shop, tmp_path: Path) -> None:
    text = "date,job,cask,spirit,litres,abv,at_20\n{day},fill,TH-004501,malt,190,63,yes\n{day},fill,TH-004501,malt,190,62,yes\n{day},drive,TH-004502,,,,\n"
    ran = four.enter("sheet", sheet(tmp_path, text), "--yes")
    assert ran.code == 1 and "row 3: TH-004501  filled again" in ran.err and "1 of 3 rows is to be put right" in ran.err


def test_two_rows_that_put_one_entry_right_are_refused(four: Shop, tmp_path: Path) -> None:
    assert four.enter("note", "TH-004501", "--note", "one", "--by", "ab", "--yes").code == 0
    one = four.last("TH-004501")["id"]
    for second in (("note", "three", ""), ("void", "", one)):
        of = second[2]
        text = f"date,job,cask,note,replaces,of,why\n{{day}},note,TH-004501,two,{one},,slip\n{{day}},{second[0]},TH-004501,{second[1]},{'' if of else one},{of},slip again\n"
        ran = four.enter("sheet", sheet(tmp_path, text), "--yes")
        assert ran.code == 1 and f"row 3: TH-004501 {one} is put right by row 2 of this sheet already" in ran.err and "nothing written" in ran.err, ran.err


@pytest.mark.thorough
@pytest.mark.parametrize("word", ["x", "ok", "2", "maybe"])
def test_a_cell_that_is_neither_yes_nor_no_is_refused(four: Shop, tmp_path: Path, word: str) -> None:
    text = f"date,job,cask,spirit,litres,abv,at_20\n{{day}},fill,TH-004501,malt,190,63,{word}\n{{day}},fill,TH-004502,malt,190,63,no\n"
    ran = four.enter("sheet", sheet(tmp_path, text), "--yes")
    assert ran.code == 1 and f"'{word}' is neither yes nor no" in ran.err and "row 2" in ran.err and "nothing written" in ran.err


@pytest.mark.parametrize("text", ["date,job,cask\n", "date,job,cask\n,,\n# nothing today,,\n", "jobs: []\n"])
def test_a_sheet_without_rows_is_none(four: Shop, tmp_path: Path, text: str) -> None:
    ran = four.enter("sheet", sheet(tmp_path, text, "x.yaml" if text.startswith("jobs") else "x.csv"), "--yes")
    assert ran.code == 2 and "no rows in " in ran.err and "nothing to write" in ran.err


@pytest.mark.thorough
def test_a_run_over_many_casks_ends_with_its_total(four: Shop, tmp_path: Path) -> None:
    ran = four.enter("sheet", sheet(tmp_path), "--yes")
    assert ran.err.splitlines()[-1] == "5 entries on 4 casks, sheet tuesday"
    ran = four.enter("note", "TH-004501..004504", "--note", "seen", "--yes")
    assert ran.err.splitlines()[-1].startswith("4 entries on 4 casks, sheet run-")
    assert "entries on" not in four.enter("note", "TH-004501", "--note", "seen again").err


def test_a_sheet_in_yaml(four: Shop, tmp_path: Path) -> None:
    text = "date: '{day}'\nby: kd\nsheet: B-17\njobs:\n  - {{job: test, cask: TH-004501, psi: 11, result: fail, leaks: [joint-1, head-A]}}\n  - job: examine\n    cask: TH-004502\n    verdict: repair\n    findings: [{{at: stave-1, defect: cracked, severity: 2}}]\n"
    ran = four.enter("sheet", sheet(tmp_path, text, "b.yaml"), "--yes")
    assert ran.code == 0, ran.err
    assert four.last("TH-004501")["leaks"] == [{"at": "joint-1"}, {"at": "head-A"}] and four.last("TH-004501")["sheet"] == "B-17"
    assert four.last("TH-004502")["findings"] == [{"at": "stave-1", "defect": "cracked", "severity": 2}]


def test_new_casks_and_work_on_them_in_one_sheet(shop: Shop, tmp_path: Path) -> None:
    text = "job,cask,date,type,capacity_l,prior,verdict\nreceive,TH-009001,{day},hogshead,250,bourbon 1,accept\nexamine,TH-009001,{day},,,,sound\n"
    ran = shop.enter("sheet", sheet(tmp_path, text), "--yes")
    assert ran.code == 0, ran.err
    assert shop.facts("TH-009001").state == "ready" and shop.data("TH-009001")["prior"] == [{"contents": "bourbon", "fills": 1}]


@pytest.mark.parametrize("text", ["", 'job,cask\n"test,TH', "a,b\n1,2,3\n", "\ufeffjob;cask;note\nnote;TH-004501;x\n"])
def test_odd_sheets_are_read_or_refused(four: Shop, tmp_path: Path, text: str) -> None:
    assert four.enter("sheet", sheet(tmp_path, text), "--yes").code in (0, 1, 2)


def test_a_sheet_that_is_not_utf8(four: Shop, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_bytes(b"job,cask,note\nnote,TH-004501,\xe9\n")
    assert "not UTF-8" in four.enter("sheet", str(path)).err


@pytest.mark.thorough
def test_blank_sheets(shop: Shop) -> None:
    for job in all_jobs():
        if job in MANY_FILES:
            continue
        header = rows_of_csv(blank_csv((job,), [Card(CASK)]) or "", "x")[0].cells
        assert header == {"job": job, "cask": CASK}
        for width in (60, 80, 132):
            text = blank_text(Sheet((job,), "The North House of Long Names", (Card(CASK), Card(), Card())), width)
            assert all(len(line) <= width for line in text.splitlines())
    ran = shop.run(blank_sheet.blank, "--for", "test", "TH-004501..004503", "--rows", "5")
    assert ran.code == 0 and ran.out.startswith("North House · test") and "[ ] TH-004503" in ran.out and ran.out.count("the test* [ ] pass [ ] fail") == 5
    assert shop.run(blank_sheet.blank, "--for", "rack").code == 2 and shop.run(blank_sheet.blank).code == 2


def scan(shop: Shop, monkeypatch: pytest.MonkeyPatch, lines: str, *words: str):  # type: ignore[no-untyped-def]
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    return shop.enter("scan", *words)


@pytest.mark.thorough
def test_the_scanner_writes_each_cask_and_takes_back_the_last(four: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    ran = scan(four, monkeypatch, "th-004501\n\nTH-004502 fail --leaks joint-3\nTH-004503\nundo\nTH-009999\nnonsense\n", "test", "pass", "--psi", "11")
    assert ran.code == 1 and "2 casks written, 2 refused" in ran.err
    assert "TH-004501  barrel, ready, 1 fill since char" in ran.err
    assert four.last("TH-004501")["result"] == "pass" and four.last("TH-004502")["leaks"] == [{"at": "joint-3"}]
    assert four.last("TH-004503")["job"] == "examine"
    assert four.last("TH-004501")["sheet"] == four.last("TH-004502")["sheet"]
    assert four.run(correct.undo, "--yes").code == 0 and four.last("TH-004501")["job"] == "void"


def test_the_scanner_needs_its_job_and_fields(four: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "--psi" in scan(four, monkeypatch, "TH-004501\n", "test", "pass").err
    assert "line by line" in scan(four, monkeypatch, "", "test", CASK).err


TESTS = "date,job,cask,by,psi,result,leaks\n"


@pytest.mark.thorough
def test_rows_of_a_day_that_has_live_entries_come_after_them(four: Shop, tmp_path: Path) -> None:
    day = days_ago(2)
    assert four.enter("test", CASKS[0], "pass", "--psi", "11", "--by", "kd", "--date", day.isoformat(), "--yes").code == 0
    text = TESTS + f"{day},test,{CASKS[0]},kd,11,fail,joint-3\n{day},drive,{CASKS[0]},kd,,,\n"
    path = sheet(tmp_path, text)
    ran = four.enter("sheet", path, "--yes")
    assert ran.code == 0 and "has entries of that day" in ran.err, ran.err
    done = [(event["job"], event.get("result")) for event in four.data(CASKS[0])["events"]][-3:]
    assert done == [("test", "pass"), ("test", "fail"), ("drive", None)]
    kept = four.path(CASKS[0]).read_bytes()
    again = four.enter("sheet", path, "--yes")
    assert again.code == 0 and "in the book already: 2 entries" in again.err and four.path(CASKS[0]).read_bytes() == kept
    more = four.enter("sheet", sheet(tmp_path, TESTS + f"{day},test,{CASKS[0]},kd,12,pass,\n", "evening.csv"), "--yes")
    assert more.code == 0 and [event["job"] for event in four.data(CASKS[0])["events"]][-2:] == ["drive", "test"]


def test_a_row_that_would_get_another_rows_id_is_told_and_nothing_is_written(four: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("caskbook.model.ids._content_bits", lambda content, day: 77)
    day = days_ago(2)
    assert four.enter("sheet", sheet(tmp_path, TESTS + f"{day},test,TH-004501,kd,11,pass,\n"), "--yes").code == 0
    before = four.path("TH-004501").read_bytes()
    ran = four.enter("sheet", sheet(tmp_path, TESTS + f"{day},test,TH-004501,kd,11,fail,joint-3\n", "late.csv"), "--yes")
    assert ran.code == 1 and "row 2: TH-004501 has a test (" in ran.err and "reads otherwise" in ran.err, ran.err
    assert four.path("TH-004501").read_bytes() == before


def test_a_scan_tells_what_it_only_tried(four: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    words = ("test", "pass", "--psi", "11", "--by", "kd")
    before = {cask: four.path(cask).read_bytes() for cask in CASKS}
    ran = scan(four, monkeypatch, f"{CASKS[0]}\n{CASKS[1]}\n", *words, "--dry-run")
    assert ran.code == 0 and ran.err.splitlines()[-1] == "2 casks tried, not written (--dry-run)", ran.err
    assert before == {cask: four.path(cask).read_bytes() for cask in CASKS}
    ran = scan(four, monkeypatch, f"{CASKS[0]}\n{CASKS[1]} --dry-run\nundo\nundo\n", *words)
    assert "nothing to take back" in ran.err and ran.err.splitlines()[-1] == "1 cask tried, not written (--dry-run), 1 refused", ran.err
    assert before == {cask: four.path(cask).read_bytes() for cask in CASKS}


def test_a_cask_scanned_again_is_one_cask_and_two_entries(four: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    words = ("soak", "cold", "--hours", "24", "--by", "kd", "--anyway", "--why", "soaked twice")
    ran = scan(four, monkeypatch, f"{CASKS[0]}\n{CASKS[0]}\n{CASKS[1]}\n", *words)
    assert ran.code == 0 and ran.err.splitlines()[-1] == "3 entries on 2 casks written", ran.err
    ran = scan(four, monkeypatch, f"{CASKS[0]}\n{CASKS[0]}\n", *words, "--dry-run")
    assert ran.err.splitlines()[-1] == "2 entries on 1 cask tried, not written (--dry-run)", ran.err


@pytest.mark.thorough
def test_a_scan_asks_what_a_run_asks(four: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    move = ("move", "--by", "kd", "--berth", "W1/05/1")
    ran = scan(four, monkeypatch, f"{CASKS[0]}\n{CASKS[1]}\n{CASKS[2]} --berth W1/05/2\n", *move)
    assert ran.code == 1 and f"W1/05/1: {CASKS[0]} stands there" in ran.err and "add --yes" in ran.err, ran.err
    assert [four.facts(cask).berth for cask in CASKS[:3]] == ["W1/05/1", None, "W1/05/2"] and ran.err.splitlines()[-1] == "2 casks written, 1 refused"
    ran = scan(four, monkeypatch, f"{CASKS[1]}\n", *move, "--dry-run")
    assert ran.code == 0 and "stands there" in ran.err and four.facts(CASKS[1]).berth is None
    assert scan(four, monkeypatch, f"{CASKS[1]} --yes\n", *move).code == 0 and four.facts(CASKS[1]).berth == "W1/05/1"
    assert scan(four, monkeypatch, f"{CASKS[3]}\n", *move, "--yes").code == 0 and four.facts(CASKS[3]).berth == "W1/05/1"


def test_a_scan_asks_about_the_day_of_a_line_and_once_about_its_own(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put({"date": days_ago(400), "job": "receive", "verdict": "accept"})
    line = f"{CASK} --date {days_ago(60)}"
    ran = scan(shop, monkeypatch, f"{line}\n", "note", "--note", "x", "--by", "kd")
    assert ran.code == 1 and "60 days back" in ran.err and shop.last()["job"] == "receive", ran.err
    ran = scan(shop, monkeypatch, f"{line}\n{CASK} --note y\n", "note", "--note", "x", "--by", "kd", "--date", days_ago(60).isoformat(), "--yes")
    assert ran.code == 0 and ran.err.count("60 days back") == 1, ran.err


@pytest.mark.parametrize(("text", "told"), [
    ("date,job,cask,by,psi,psi,result\n{day},test,TH-004501,kd,11,14,pass\n", "two columns are called psi"),
    ("date,job,cask,cask,by,note\n{day},note,TH-004501,TH-004502,kd,seen\n", "two columns are called cask"),
    ("date,job,cask,by,litres,abv,spirit,temp,temp_c\n{day},fill,TH-004501,kd,190,63,malt,12,15\n", "both temp_c"),
])  # fmt: skip
def test_two_columns_of_one_field_are_told_and_neither_is_taken(four: Shop, tmp_path: Path, text: str, told: str) -> None:
    before = four.path("TH-004501").read_bytes()
    ran = four.enter("sheet", sheet(tmp_path, text), "--yes")
    assert ran.code in (1, 2) and told in ran.err, ran.err
    assert four.path("TH-004501").read_bytes() == before


def test_a_note_that_begins_with_a_sign_for_remarks_is_a_note(four: Shop, tmp_path: Path) -> None:
    path = sheet(tmp_path, "note,job,cask,by,date\n#7 hoop loose,note,TH-004501,kd,{day}\n")
    assert four.enter("sheet", path, "--yes").code == 0
    assert four.data("TH-004501")["events"][-1]["note"] == "#7 hoop loose"
    path = sheet(tmp_path, "date,job,cask,by,note\n# second bench, tuesday\n{day},note,TH-004501,kd,seen\n")
    assert four.enter("sheet", path, "--yes").code == 0 and four.data("TH-004501")["events"][-1]["note"] == "seen"


@pytest.mark.thorough
def test_no_way_of_entering_puts_out_one_side_of_a_racking(four: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    day = days_ago(2)
    one, other = CASKS[:2]
    common = ("--by", "kd", "--date", day.isoformat(), "--yes")
    assert four.enter("fill", one, "--spirit", "malt", "--litres", "190", "--abv", "63", "--temp", "12", *common).code == 0
    ran = four.enter("rack", one, "--to", other, "--litres", "180", "--abv", "60", "--temp", "12", "--left", "0", "--why", "leak", *common)
    assert ran.code == 0, ran.err
    ident = four.data(other)["events"][-1]["id"]
    before = {cask: four.path(cask).read_bytes() for cask in CASKS}
    rows = {
        "void": f"date,job,cask,by,of,why\n{day},void,{other},kd,{ident},oops\n",
        "note": f"date,job,cask,by,note,replaces,why\n{day},note,{other},kd,seen,{ident},oops\n",
    }
    for name, text in rows.items():
        ran = four.enter("sheet", sheet(tmp_path, text, f"{name}.csv"), "--yes")
        assert ran.code == 1 and "one side alone" in ran.err, ran.err
    ran = scan(four, monkeypatch, f"{other}\n", "void", "--of", ident, "--why", "oops", "--by", "kd")
    assert ran.code == 1 and "one side alone" in ran.err, ran.err
    ran = four.enter("note", other, "--note", "seen", "--replaces", ident, "--why", "oops", *common)
    assert ran.code != 0 and "one side alone" in ran.err, ran.err
    assert before == {cask: four.path(cask).read_bytes() for cask in CASKS}
    assert four.run(correct.void, other, ident, "--why", "oops", "--by", "kd", "--yes").code == 0
    assert all(f"of: {ident}" in four.path(cask).read_text(encoding="utf-8") for cask in (one, other))


@pytest.mark.thorough
def test_berths_of_a_row_are_dealt_out_as_those_of_a_run(four: Shop, tmp_path: Path) -> None:
    day = days_ago(2)
    text = "date,job,cask,by,berth\n{day},move,TH-004501..004503,kd,{berths}\n{day},move,TH-004504,kd,W1/05/9\n"
    before = {cask: four.path(cask).read_bytes() for cask in CASKS}
    for berths, told in (("W1/05/1..4", "4 berths for 3 casks"), ("W1/05/3..1", "runs backwards")):
        ran = four.enter("sheet", sheet(tmp_path, text.replace("{berths}", berths)), "--yes")
        assert ran.code == 1 and told in ran.err and before == {cask: four.path(cask).read_bytes() for cask in CASKS}, ran.err
    assert four.enter("sheet", sheet(tmp_path, text.replace("{berths}", '"W1/05/1..2;W1/06/1"')), "--yes").code == 0
    assert [four.facts(cask).berth for cask in CASKS] == ["W1/05/1", "W1/05/2", "W1/06/1", "W1/05/9"]
    alone = sheet(tmp_path, f"date,job,cask,by,berth\n{day},move,TH-004501,kd,W1/07/1..2\n", "one.csv")
    assert "2 berths for 1 cask" in four.enter("sheet", alone, "--yes").err
    listed = sheet(tmp_path, "jobs:\n  - {{date: {day}, job: move, cask: TH-004502..004503, by: kd, berth: [W1/08/1, W1/08/2]}}\n", "list.yaml")
    assert four.enter("sheet", listed, "--yes").code == 0 and four.facts(CASKS[2]).berth == "W1/08/2"


@pytest.mark.thorough
def test_a_row_that_replaces_an_entry_of_its_day_takes_that_ones_place(four: Shop, tmp_path: Path) -> None:
    """By a sheet as by a run: the order of the day is kept, and the sheet read twice adds nothing."""
    day = days_ago(2)
    common = ("--by", "kd", "--date", day.isoformat(), "--yes")
    for cask in CASKS[:2]:
        for words in (("move", "--berth", "A/1"), ("move", "--berth", "B/2"), ("hold", "--why", "wet"), ("release", "--why", "dry", "--approved-by", "kd")):
            assert four.enter(words[0], cask, *words[1:], *common).code == 0
    first, _, held, _ = (event["id"] for event in four.data(CASKS[1])["events"][-4:])
    rows = f"{day},move,{CASKS[1]},kd,A/7,{first},misread\n{day},hold,{CASKS[1]},kd,,{held},dirty\n"
    path = sheet(tmp_path, "date,job,cask,by,berth,replaces,why\n" + rows)
    ran = four.enter("sheet", path, "--yes")
    assert ran.code == 0 and "come after them" not in ran.err, ran.err
    first, _, held, _ = (event["id"] for event in four.data(CASKS[0])["events"][-4:])
    assert four.enter("move", CASKS[0], "--berth", "A/7", "--replaces", first, "--why", "misread", "--by", "kd", "--yes").code == 0
    assert four.enter("hold", CASKS[0], "--replaces", held, "--why", "dirty", "--note", "misread", "--by", "kd", "--yes").code == 0
    for cask in CASKS[:2]:
        assert four.facts(cask).berth == "B/2" and four.facts(cask).marks == []
        assert [event["job"] for event in four.data(cask)["events"]][-6:] == ["move", "move", "move", "hold", "hold", "release"]
    kept = four.path(CASKS[1]).read_bytes()
    assert "in the book already: 2 entries" in four.enter("sheet", path, "--yes").err and four.path(CASKS[1]).read_bytes() == kept


@pytest.mark.thorough
def test_a_replacement_stands_before_a_row_that_was_put_straight_behind_the_old_one(four: Shop, tmp_path: Path) -> None:
    """A sheet's rows lengthen the last live id; what replaces that one has to lie between."""
    day, head = days_ago(2), "date,job,cask,by,berth,replaces,why\n"
    for cask in CASKS:
        assert four.enter("move", cask, "--berth", "A/1", "--by", "kd", "--date", day.isoformat(), "--yes").code == 0
        assert four.enter("sheet", sheet(tmp_path, head + f"{day},move,{cask},kd,B/2,,\n", f"{cask}.csv"), "--yes").code == 0
        old = four.data(cask)["events"][-2]["id"]
        again = sheet(tmp_path, head + f"{day},move,{cask},kd,A/7,{old},misread\n", f"{cask}-again.csv")
        words = ("sheet", again) if cask in CASKS[:2] else ("move", cask, "--berth", "A/7", "--replaces", old, "--why", "misread", "--by", "kd")
        ran = four.enter(*words, "--yes")
        assert ran.code == 0 and four.facts(cask).berth == "B/2", ran.err


def test_texts_of_a_yaml_list_keep_their_commas(four: Shop, tmp_path: Path) -> None:
    path = sheet(
        tmp_path, 'jobs:\n  - {{date: {day}, job: retire, cask: TH-004501, by: kd, approved_by: kd, reasons: ["worn, split", thin]}}\n', "reasons.yaml"
    )
    assert four.enter("sheet", path, "--yes").code == 0 and four.last(CASKS[0])["reasons"] == ["worn, split", "thin"]


def test_a_row_of_few_digits_has_room_for_its_opening(four: Shop, tmp_path: Path) -> None:
    """The first row of a day lies low among the ids, and the opening that it needs lies lower still."""
    day = days_ago(2)
    data = {"job": "char", "date": day, "level": 3, "by": "kd", "sheet": "tuesday"}
    notes = (str(n) for n in range(100_000))
    digests = ((note, hashlib.sha256(_content(Entry(CASKS[0], {**data, "note": note})) + b"\x001").digest()) for note in notes)
    note = next(note for note, digest in digests if import_id(0, digest, day) < "a0000008")
    ran = four.enter("sheet", sheet(tmp_path, f"date,job,cask,by,level,note\n{day},char,{CASKS[0]},kd,3,{note}\n"), "--yes")
    assert ran.code == 0 and [event["job"] for event in four.data(CASKS[0])["events"]][-2:] == ["open", "char"], ran.err
    assert four.last(CASKS[0])["id"] < "a0000008", "the digest tried is that of the row"


def test_a_line_break_in_a_cell_begins_no_row(tmp_path: Path) -> None:
    text = 'date,job,cask,by,note\n2026-11-30,note,TH-004501,kd,"a\nb"\n\n2026-11-30,note,TH-004502,xx,fine\n'
    assert [(row.line, row.cells["cask"]) for row in rows_of_csv(text, "day.csv")] == [(2, "TH-004501"), (4, "TH-004502")]


@pytest.mark.parametrize("heading", ["", " "])
def test_what_stands_under_no_heading_is_not_dropped(four: Shop, tmp_path: Path, heading: str) -> None:
    sheet = tmp_path / "tuesday.csv"
    sheet.write_text(f"cask,job,by,note,{heading}\nTH-004501,note,ab,x,\nTH-004501,note,ab,y,drip at joint 3\n", encoding="utf-8")
    ran = four.enter("sheet", str(sheet), "--yes")
    assert ran.code == 2 and "tuesday.csv:3: column 5 has no heading, and `drip at joint 3` stands in it; give it one, beginning with #" in ran.err, ran
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("drip at joint 3", ""), encoding="utf-8")
    assert four.enter("sheet", str(sheet), "--yes").code == 0
