"""Run twice it adds nothing; what was put right since, in the book or in the register, is known; the book is never written over."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.entry.page import Page
from caskbook.entry.undo import as_run
from caskbook.exchange.row_file import RowFile
from caskbook.exchange.writing import run_of
from caskbook.model.cask_file import read_record
from exchange.houses import answer, bring, cask_text, files, house, said
from exchange.messy import MAP, register

CHART = """\
opening: 2026-01-31
columns: {Cask: cask, Type: type, Cap: capacity, Ex: prior_contents, Bought: supplier, Make: spirit, Since: filled, RL: filled_litres, ABV: filled_abv, Came: received, Mark: was}
every_row: {verdict: accept}
"""
HEAD = "Cask,Type,Cap,Ex,Bought,Make,Since,RL,ABV,Came,Mark\n"
ROW = "TH-000001,barrel,200,bourbon,northquay,malt,2015-03-20,198,63.5,2015-03-12,\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    assert answer(house(tmp_path), HEAD + ROW, CHART, "--yes")["written"] == 1
    return tmp_path


def test_the_register_under_another_name_adds_nothing(book: Path) -> None:
    before = files(book)
    found = answer(book, HEAD + ROW, CHART + "register: the-same-book\n", "--yes")
    assert (found["written"], found["already_there"], found["refused"]) == (0, 1, 0) and files(book) == before


def test_what_was_done_since_is_no_change(book: Path) -> None:
    assert (
        caskbook(
            "enter", "regauge", "TH-000001", "--litres", "180", "--abv", "61", "--temp", "12", "--method", "dip", "--by", "ab", "--yes", cwd=book
        ).returncode
        == 0
    )
    assert answer(book, HEAD + ROW, CHART, "--yes")["already_there"] == 1


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("old", "new", "column", "told", "line"),
    [
        (",200,", ",205,", "Cap", "the book has 200 L as capacity, this row 205 L", "enter correct TH-000001 --capacity 205"),
        ("bourbon", "oloroso", "Ex", "the book has bourbon unknown as prior, this row oloroso unknown", "enter correct TH-000001 --prior 'oloroso unknown'"),
        ("northquay", "?", "Bought", "the book has northquay as supplier, this row nothing", "caskbook enter note TH-000001"),
        (",198,", ",189,", "RL", "the book has 198 as litres of its fill, this row 189", "--replaces"),
        ("2015-03-20", "2015-03-21", "Since", "the book has 2015-03-20 as date of its fill, this row 2015-03-21", "--replaces"),
        ("malt,", "grain,", "Make", "the book has malt as spirit of its fill, this row grain", "--replaces"),
        (",\n", ",88-1207\n", "Mark", "the book has nothing as was, this row 88-1207", "enter correct TH-000001 --was 88-1207"),
    ],
)  # fmt: skip
def test_a_changed_row_is_told_with_both_values_and_asked_about(book: Path, old: str, new: str, column: str, told: str, line: str) -> None:
    before = files(book)
    found = answer(book, HEAD + ROW.replace(old, new, 1), CHART, "--yes")
    assert found["written"] == 0 and found["already_there"] == 0 and files(book) == before
    mine = [one for one in found["faults"] if told in one["reason"]]
    assert mine and all(one["code"] == "row-changed" and one["help"].startswith("which is right?") for one in found["faults"]), found
    assert line in mine[0]["help"] and (column == mine[0]["column"] or column == "Make")


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("first", "second", "reason", "line"),
    [
        ("", "dark inside", "the book has no entry note of 2026-01-31, this row has one", "caskbook enter note TH-000001 --date 2026-01-31"),
        ("dark inside", "", "the book has an entry note of 2026-01-31, this row has none", "caskbook void TH-000001 EVENT --why"),
        ("dark inside", "dark", "the book has dark inside as note of its note, this row dark", "--replaces"),
    ],
)
def test_replacing_is_advised_only_where_there_is_an_entry_to_replace(tmp_path: Path, first: str, second: str, reason: str, line: str) -> None:
    rows, chart = (f"{HEAD[:-1]},Remark\n{ROW[:-1]},{remark}\n" for remark in (first, second)), CHART.replace("Mark: was", "Mark: was, Remark: note")
    assert answer(house(tmp_path), next(rows), chart, "--yes")["written"] == 1
    (fault,) = answer(tmp_path, next(rows), chart, "--yes")["faults"]
    assert reason in fault["reason"] and line in fault["help"] and ("--replaces" in fault["help"]) is (line == "--replaces"), fault


def test_a_head_that_was_corrected_agrees_with_the_old_row_and_with_the_new(book: Path) -> None:
    assert caskbook("enter", "correct", "TH-000001", "--capacity", "205", "--why", "misread", "--by", "ab", "--yes", cwd=book).returncode == 0
    for capacity, there in (("200", 1), ("205", 1), ("210", 0)):
        assert answer(book, HEAD + ROW.replace(",200,", f",{capacity},"), CHART)["already_there"] == there


def test_an_entry_that_was_replaced_agrees_with_the_old_row_and_with_the_new(book: Path) -> None:
    fill = cask_text(book, "TH-000001").split("id: ")[2].split("\n")[0]
    done = caskbook(
        "enter",
        "fill",
        "TH-000001",
        "--spirit",
        "malt",
        "--litres",
        "189",
        "--abv",
        "63.5",
        "--date",
        "2015-03-20",
        "--replaces",
        fill,
        "--why",
        "misread",
        "--by",
        "ab",
        "--anyway",
        "--yes",
        cwd=book,
    )
    assert done.returncode == 0, done.stderr
    for litres, there in (("198", 1), ("189", 1), ("190", 0)):
        found = answer(book, HEAD + ROW.replace(",198,", f",{litres},"), CHART)
        assert found["already_there"] == there, (litres, found)


def test_a_row_whose_receipt_was_put_out_of_force_stays_so_and_that_is_said(book: Path) -> None:
    receipt = cask_text(book, "TH-000001").split("id: ")[1].split("\n")[0]
    assert caskbook("void", "TH-000001", receipt, "--why", "not ours", "--by", "ab", "--yes", cwd=book).returncode == 0
    done = bring(book, HEAD + ROW, CHART, "--yes")
    assert "1 in the book already" in done.stdout and "put out of force and stay so: TH-000001" in done.stdout


def test_a_number_of_the_book_is_refused_whoever_it_came_by(book: Path) -> None:
    assert caskbook("enter", "receive", "TH-000002", "accept", "--type", "barrel", "--by", "ab", "--yes", cwd=book).returncode == 0
    found = answer(book, HEAD + ROW.replace("000001", "000002"), CHART, "--yes")
    assert said(found) == [(2, "Cask", "number-in-book")] and "show TH-000002" in found["faults"][0]["help"]


@pytest.mark.parametrize("where", ["TH-000/TH-000/TH-000001.yaml", "TH-000/TH-000001.yml", "TH-001/TH-000001.yaml"])
def test_a_number_whose_file_strayed_is_not_brought_in_anew(book: Path, where: str) -> None:
    own, there = book / "records" / "casks" / "TH-000" / "TH-000001.yaml", book / "records" / "casks" / where
    there.parent.mkdir(exist_ok=True)
    own.rename(there)
    found = answer(book, HEAD + ROW, CHART, "--yes")
    assert said(found) == [(2, "Cask", "number-in-book")] and where in found["faults"][0]["reason"], found
    assert not own.exists()


def test_old_marks_that_another_cask_bears_are_asked_about(book: Path) -> None:
    rows = HEAD + ROW.replace("000001", "000003").replace(",\n", ",88-1207\n")
    assert answer(book, rows, CHART, "--yes")["written"] == 1
    found = answer(book, HEAD + ROW.replace("000001", "000004").replace(",\n", ",88-1207\n"), CHART, "--yes")
    assert said(found) == [(2, "Mark", "mark-twice")] and "TH-000003 bears it in the book" in found["faults"][0]["reason"]
    assert answer(book, HEAD + ROW.replace("000001", "000004").replace(",\n", ",88-1207\n"), CHART + "marks_repeat: true\n", "--yes")["written"] == 1


def test_two_casks_at_one_berth_are_told_and_come_in(tmp_path: Path) -> None:
    chart = "opening: 2026-01-31\ncolumns: {Cask: cask, Lies: berth}\nevery_row: {verdict: accept, type: barrel, contents: empty}\n"
    done = bring(house(tmp_path), "Cask,Lies\nTH-000001,W1/05/2\nTH-000002,W1/05/2\nTH-000003,Y2\nTH-000004,Y2\n", chart, "--yes")
    assert done.returncode == 0 and "berth W1/05/2: a place for one cask, and rows 2, 3 lie there" in done.stdout and "Y2" not in done.stdout


def test_what_came_into_the_book_meanwhile_stops_all_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the reading and the writing somebody receives one of the casks."""
    from caskbook.exchange import writing

    house(tmp_path)
    real = writing.write_many

    def late(root: Path, changes: object, advance: object) -> None:
        (root / "casks" / "TH-000").mkdir()
        (root / "casks" / "TH-000" / "TH-000001.yaml").write_text("cask: TH-000001\n")
        real(root, changes, advance)  # type: ignore[arg-type]

    monkeypatch.setattr(writing, "write_many", late)
    done = bring(tmp_path, HEAD + ROW + ROW.replace("000001", "000002"), CHART, "--yes")
    assert done.returncode == 2 and "nothing written" in done.stderr and list(files(tmp_path)) == ["TH-000001.yaml"]


def test_without_a_yes_nothing_is_written(tmp_path: Path) -> None:
    done = bring(house(tmp_path), HEAD + ROW + ROW.replace("000001", "000002"), CHART)
    assert done.returncode == 2 and "add --yes" in done.stderr and files(tmp_path) == {}


@pytest.mark.thorough
def test_what_undo_is_told_of_a_new_file_is_what_it_would_find_out_itself(tmp_path: Path) -> None:
    made = register(90, seed=11, faults=1)
    answer(house(tmp_path), made.csv(), MAP, "--yes")
    for name, data in files(tmp_path).items():
        record = read_record(name, data)
        assert record.cask is not None
        ids = tuple(event.id for event in record.cask.events)
        page = Page(record.name, name, None, record, None, [{"id": one} for one in ids])
        told = run_of(RowFile(2, record.name, name, data, ids))
        assert told == as_run(page)


@pytest.mark.thorough
def test_undo_takes_the_whole_run_back(tmp_path: Path) -> None:
    for words in (["init", "-q"], ["-c", "user.name=ab", "-c", "user.email=ab@example.org", "commit", "-q", "--allow-empty", "-m", "begun"]):
        subprocess.run(["git", *words], cwd=tmp_path, check=True)
    house(tmp_path)
    assert answer(tmp_path, HEAD + ROW + ROW.replace("000001", "000002"), CHART, "--yes")["written"] == 2
    assert caskbook("undo", "--yes", cwd=tmp_path).returncode == 0
    assert files(tmp_path) == {}


def test_a_book_whose_casks_are_gone_is_not_begun_anew(tmp_path: Path) -> None:
    house(tmp_path)
    assert answer(tmp_path, HEAD + ROW, CHART, "--yes")["written"] == 1
    for words in (["init", "-q"], ["add", "-A"], ["-c", "user.name=ab", "-c", "user.email=ab@example.org", "commit", "-qm", "begun"]):
        subprocess.run(["git", *words], cwd=tmp_path, check=True)
    shutil.rmtree(tmp_path / "records" / "casks")
    done = bring(tmp_path, HEAD + ROW.replace("000001", "000002"), CHART, "--yes")
    assert done.returncode == 2 and "nothing is brought in" in done.stderr and not (tmp_path / "records" / "casks").exists()


def test_a_remark_that_changed_is_asked_about(tmp_path: Path) -> None:
    chart = "opening: 2026-01-31\ncolumns: {Cask: cask, Remark: note}\nevery_row: {verdict: accept, type: barrel, contents: empty}\n"
    assert answer(house(tmp_path), "Cask,Remark\nTH-000001,rusty\n", chart, "--yes")["written"] == 1
    assert answer(tmp_path, "Cask,Remark\nTH-000001,rusty\n", chart)["already_there"] == 1
    for remark in ("sound", ""):
        found = answer(tmp_path, f"Cask,Remark\nTH-000001,{remark}\n", chart)
        assert said(found) == [(2, "Remark" if remark else found["faults"][0]["column"], "row-changed")] and found["already_there"] == 0
