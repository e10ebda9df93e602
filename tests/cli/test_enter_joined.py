"""Entering on the number of a cask that goes on under another one."""

from __future__ import annotations

import io
import json
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago
from entry.states import STATES

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
OLD, NEW = "TL-000009", "TH-004217"
SAID = f"{OLD} is the same cask as {NEW}: enter on that one"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.delenv("CASKBOOK_INDEX", raising=False)
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path)
    made.put(*READY, {"date": days_ago(3), "job": "same-as", "of": OLD, "why": "one cask, two numbers"}, cask=NEW)
    made.put(*READY, cask=OLD)
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    subprocess.run(["git", "-C", str(tmp_path), "add", "-A"], check=True)
    return made


def entered(*words: str) -> tuple[int, str]:
    ran = caskbook("enter", *words)
    return ran.returncode, ran.stderr


@pytest.fixture(params=["fresh", "none", "off"])
def known(request: pytest.FixtureRequest, shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A book with a fresh index, with none yet, and with none wanted."""
    if request.param == "fresh":
        assert caskbook("due").returncode == 0
    elif request.param == "off":
        monkeypatch.setenv("CASKBOOK_INDEX", "off")
    return shop


OTHER, FULL = "TH-000100", "TH-000200"
WAYS = {
    "single": ("enter", "note", OLD, "--note", "x"),
    "list": ("enter", "note", OTHER, OLD, "--note", "x"),
    "range": ("enter", "note", "TL-000008..000009", "--skip-missing", "--note", "x"),
    "rack to": ("enter", "rack", FULL, "--to", OLD, "--litres", "100", "--abv", "60", "--temp", "12", "--why", "x"),
    "rack from": ("enter", "rack", OLD, "--to", OTHER, "--litres", "100", "--abv", "60", "--temp", "12", "--why", "x"),
    "convert": ("enter", "convert", OLD, "--into", "1", "hogshead", "--first-id", "TH-000300", "--gave", "20", "--capacity", "250"),
    "swap": ("enter", "swap-heads", OTHER, "--with", OLD, "--heads", "A", "--why", "x"),
    "move-event": ("move-event", OTHER, "e0000002", "--to", OLD, "--why", "x"),
    "correct": ("enter", "correct", OLD, "--maker", "x", "--why", "x"),
    "sheet": ("enter", "sheet", "day.csv"),
    "scan": ("enter", "scan", "note", "--note", "x"),
}  # fmt: skip


@pytest.fixture
def crowd(known: Shop, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """The same with another cask at the bench and a full one, a sheet, and a scan about to be read."""
    known.put(READY[0], {**READY[1], "date": days_ago(9)}, cask=OTHER)  # another day, so that it is no second entry of the same where it is moved
    known.put(*(STATES["filled"] or []), cask=FULL)
    Path("day.csv").write_text(f"job,cask,note\nnote,{OTHER},x\nnote,{OLD},x\n", encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{OLD}\n"))
    return known


def files_of(shop: Shop) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in shop.root.rglob("*.yaml")}


@pytest.mark.parametrize("way", WAYS)
def test_every_way_of_entering_is_refused_with_the_number_that_goes_on(crowd: Shop, way: str):
    before = files_of(crowd)
    ran = caskbook(*WAYS[way], *(("--yes",) if way != "scan" else ()))
    said = f"{SAID}, or add --anyway --why …" if way != "correct" else f"{OLD} is the same cask as {NEW}, whose head counts: caskbook correct {NEW}"
    assert ran.returncode in (1, 2) and said in ran.stderr, ran.stderr
    assert "stays a finding" not in ran.stderr  # no check says a word of it
    assert files_of(crowd) == before


@pytest.mark.parametrize("way", ["single", "list", "move-event", "sheet", "scan"])
def test_once_the_join_is_voided_it_is_taken_again(crowd: Shop, way: str):
    assert caskbook("void", NEW, "e0000003", "--why", "two casks after all").returncode == 0
    before = crowd.path(OLD).read_bytes()
    ran = caskbook(*WAYS[way], *(("--yes",) if way != "scan" else ()))
    assert ran.returncode == 0, ran.stderr
    assert crowd.path(OLD).read_bytes() != before


def test_what_was_entered_under_it_can_be_put_right(crowd: Shop):
    assert caskbook("void", OLD, "e0000002", "--why", "not so").returncode == 0
    assert caskbook("undo", "--yes").returncode == 0
    ran = caskbook("move-event", OLD, "e0000002", "--to", OTHER, "--why", "written to the wrong one", "--yes")
    assert ran.returncode == 0, ran.stderr


def test_what_was_entered_under_it_is_put_right_by_another_entry(known: Shop):
    """In its own file, where alone an entry can stand in the place of another; with the life of both judged, and under the number that goes on only said."""
    assert known.data(OLD)["events"][1]["job"] == "examine"
    words = ("examine", "sound", "--soaked", "0.1", "--replaces", "e0000002", "--why", "seen again", "--yes")
    before = known.path(NEW).read_bytes()
    code, err = entered(words[0], OLD, *words[1:])
    assert code == 0 and known.path(NEW).read_bytes() == before, err
    last = [one for one in known.data(OLD)["events"] if one.get("replaces")]
    assert [(one["job"], one["replaces"], one["why"]) for one in last] == [("examine", "e0000002", "seen again")]
    assert json.loads(caskbook("show", NEW, "--format", "json").stdout)["examined"] is True
    code, err = entered("examine", OLD, "sound", "--why", "x", "--yes")
    assert code == 2 and SAID in err


def test_a_racking_that_is_typed_again_may_not_fill_the_number_that_does_not_go_on(crowd: Shop):
    assert entered("rack", FULL, "--to", OTHER, "--litres", "100", "--abv", "60", "--temp", "12", "--why", "x", "--yes")[0] == 0
    run = crowd.last(OTHER)["id"]
    before = files_of(crowd)
    code, err = entered(
        "rack", FULL, "--to", OLD, "--litres", "100", "--abv", "60", "--temp", "12", "--why", "x", "--note", "misread", "--replaces", run, "--yes"
    )
    assert code in (1, 2) and SAID in err and files_of(crowd) == before, err


def test_with_one_it_is_refused_with_the_number_that_goes_on(shop: Shop, monkeypatch: pytest.MonkeyPatch):
    assert caskbook("due").returncode == 0
    before = shop.path(OLD).read_bytes()
    code, err = entered("note", OLD, "--note", "x")
    assert code == 2 and SAID in err and shop.path(OLD).read_bytes() == before
    assert entered("note", NEW, "--note", "x")[0] == 0
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{OLD}\n"))
    code, err = entered("scan", "note", "--note", "y")
    assert code == 1 and SAID in err and shop.path(OLD).read_bytes() == before
    Path("day.csv").write_text(f"job,cask,note\nnote,{OLD},x\n", encoding="utf-8")
    code, err = entered("sheet", "day.csv", "--yes")
    assert code == 1 and f"row 2: {SAID}" in err
    assert entered("sheet", "day.csv", "--anyway", "--why", "found so", "--yes")[0] == 0
    assert entered("note", OLD, "--note", "z", "--anyway", "--why", "found so")[0] == 0


def test_a_join_that_was_voided_holds_nobody_up(shop: Shop):
    assert caskbook("due").returncode == 0
    assert caskbook("void", NEW, "e0000003", "--why", "two casks after all").returncode == 0
    assert entered("note", OLD, "--note", "x")[0] == 0


def test_what_a_sheet_joins_counts_for_its_next_rows(shop: Shop):
    shop.put(*READY, cask="TH-000100")
    Path("day.csv").write_text(f"job,cask,of,why,note\nsame-as,{NEW},TH-000100,one,\nnote,TH-000100,,,x\n", encoding="utf-8")
    code, err = entered("sheet", "day.csv", "--yes")
    assert code == 1 and f"row 3: TH-000100 is the same cask as {NEW}" in err


@pytest.mark.parametrize("other", ["TH-000100", NEW])
def test_a_number_is_not_joined_a_second_time(known: Shop, other: str):
    """Two claims would join it to neither."""
    known.put(*READY, *([{"date": days_ago(3), "job": "same-as", "of": OLD, "why": "one"}] if other == NEW else []), cask=other)
    before = files_of(known)
    for anyway in ((), ("--anyway",)):
        code, err = entered("same-as", other, "--of", OLD, "--why", "x", *anyway, "--yes")
        assert code == 1 and f"{OLD} is joined already: its cask goes on as {NEW}" in err
    assert files_of(known) == before


def test_the_reason_of_a_join_can_be_put_right(known: Shop):
    assert entered("same-as", NEW, "--of", OLD, "--replaces", "e0000003", "--why", "two stencils", "--note", "misheard", "--yes")[0] == 0
    assert OLD in caskbook("show", NEW).stdout


def test_a_number_that_the_book_does_not_have_is_joined_to_nothing(known: Shop):
    """It is an error of the file that names it, and no other name of that cask; its receipt brings it into the book, and then it is."""
    late = "TH-000100"
    known.put(*READY, {"date": days_ago(3), "job": "same-as", "of": late, "why": "one"}, cask=FULL)
    assert json.loads(caskbook("show", FULL, "--format", "json").stdout)["joined"] == []
    assert "also known as" not in caskbook("show", FULL).stdout
    assert f"{late} is not in the book" in caskbook("show", late).stderr
    assert late not in caskbook("list", "--columns", "cask,joined").stdout
    for words in (("note", late, "--note", "x"), ("rack", FULL, "--to", late, "--litres", "9", "--abv", "60", "--why", "x")):
        code, err = entered(*words, "--yes")
        assert code != 0 and "not in the book" in err, err
    code, err = entered("receive", late, "accept", "--type", "barrel", "--yes")
    assert code == 0, err
    assert json.loads(caskbook("show", FULL, "--format", "json").stdout)["joined"] == [late]
    assert late in caskbook("list", "--columns", "cask,joined").stdout
    assert f"joined: {FULL}" in caskbook("show", late).stdout


def test_a_number_left_out_of_the_work_tree_is_joined_all_the_same(known: Shop):
    git = ("git", "-C", str(known.root.parent))
    subprocess.run([*git, "-c", "user.name=a", "-c", "user.email=a@example.org", "commit", "-qm", "casks"], check=True)
    subprocess.run([*git, "sparse-checkout", "set", "--no-cone", "/records/", f"!{known.path(OLD).name}"], check=True, capture_output=True)
    assert not known.path(OLD).exists()
    assert f"joined: {NEW}" in caskbook("show", OLD).stdout
    assert json.loads(caskbook("show", OLD, "--format", "json").stdout) == {"cask": OLD, "joined": NEW}
    assert json.loads(caskbook("show", NEW, "--format", "json").stdout)["joined"] == [OLD]
