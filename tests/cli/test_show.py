"""`show` as a command: both drawings at once, and a file that is not whole."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []
MARKED = """\
<<<<<<< HEAD
  - {id: e0000008, date: 2026-06-25, job: note, by: ab, note: a}
=======
  - {id: e0000009, date: 2026-06-25, job: note, by: ab, note: b}
>>>>>>> side
"""


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put(*READY)
    return made


def shown(shop: Shop, *words: str) -> tuple[int, str, str]:
    ran = caskbook("show", *words, cwd=shop.root.parent)
    return ran.returncode, ran.stdout, ran.stderr


def test_map_and_line_are_both_drawn(shop: Shop):
    _, picture, _ = shown(shop, CASK, "--map")
    _, line, _ = shown(shop, CASK, "--line")
    assert shown(shop, CASK, "--map", "--line") == (0, picture + "\n" + line, "")


def test_the_card_says_that_its_file_has_conflict_markers(shop: Shop):
    path = shop.path()
    path.write_text(path.read_text() + MARKED, encoding="utf-8")
    code, out, err = shown(shop, CASK)
    assert code == 1 and "\nTHIS FILE HAS CONFLICT MARKERS: merge conflict, lines " in out and "caskbook settle" in out and "2 errors in" in err


def test_the_card_says_that_entries_are_left_out(shop: Shop):
    path = shop.path()
    path.write_text(path.read_text() + "  - {id: e0000008, date: 2026-06-25, job: waltz, by: ab}\n", encoding="utf-8")
    code, out, _ = shown(shop, CASK)
    assert code == 1 and f"\n1 error in the file, 1 entry left out: caskbook check {CASK}\n" in out


def test_the_card_says_so_only_where_there_are_such(shop: Shop):
    path = shop.path()
    path.write_text(path.read_text() + "  - {id: gqzzzzz8, date: 2026-06-25, job: test, by: ab, psi: 0xB, result: pass}\n", encoding="utf-8")
    code, out, err = shown(shop, CASK)
    assert code == 1 and "in the file: caskbook check" in out and "left out" not in out + err and "not-a-number" in out and "psi 11" not in out


def test_the_index_is_let_go_where_there_is_no_card(tmp_path):
    """A connection that is left open is a warning from Python 3.13 on."""
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-X", "dev", "-c", "import gc; from caskbook.cli.app import run; run(['due', '--top', '1']); run(['show', 'TH-003379', '--as-of', 'x']); print(run(['show', 'TH-999999'])); gc.collect()"],
        cwd=Path(__file__).parents[2], capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.stdout.endswith("\n2\n") and "unclosed" not in ran.stderr and ran.stderr.count("\n") <= 3


@pytest.mark.parametrize("mode", ["on", "off"])
@pytest.mark.parametrize("form", ["text", "json"])
def test_a_cask_is_found_by_an_old_mark(shop: Shop, monkeypatch: pytest.MonkeyPatch, mode: str, form: str) -> None:
    """A mark of before us stands in the head, a later one in an entry; a day before it knows it not."""
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    shop.put(*READY, {"date": days_ago(5), "job": "mark", "text": "B 77", "kind": "paint", "at": "head-A", "old": "A 7"}, was=["88-1207"])
    shop.put(*READY, {"date": days_ago(5), "job": "note", "note": "not 88-1207, nor a 7"}, cask="TH-004218", was=["88-12070", "Twin"])
    shop.put(*READY, cask="TH-004219", was=["twin"])

    def mark_shown(text: str, *more: str) -> subprocess.CompletedProcess[str]:
        return caskbook("show", text, "--format", form, "--records", str(shop.root), *more)

    for text in ("88-1207", " a 7 ", "B 77"):
        told = mark_shown(text)
        assert told.returncode == 0 and CASK in told.stdout and f"{text.strip()} is an old mark of {CASK}\n" in told.stderr, told.stderr
        assert told.stdout == mark_shown(CASK).stdout
    assert (mark_shown("B 77", "--as-of", days_ago(6).isoformat()).returncode, mark_shown("88-120").returncode) == (2, 2)
    several = mark_shown("TWIN")
    assert several.returncode == 2 and "TWIN is an old mark of TH-004218, TH-004219: which one?" in several.stderr and not several.stdout
    assert "TH-004444 is not in the book" in mark_shown("TH-004444").stderr


@pytest.mark.parametrize("mode", ["on", "off"])
def test_json_holds_the_entries_under_the_other_number_that_its_facts_rest_on(shop: Shop, monkeypatch: pytest.MonkeyPatch, mode: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    other, fill = "TH-004218", {"job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "at_20": True}
    wrong = [{"date": days_ago(9), **fill, "id": "g0000001"}, {"date": days_ago(8), "job": "void", "of": "g0000001", "why": "not filled", "id": "g0000002"}]
    shop.put(*READY, *wrong, {"date": days_ago(7), **fill, "id": "g0000003"}, cask=other)
    shop.put(READY[0], {"date": days_ago(6), "job": "same-as", "of": other, "why": "two stencils", "id": "g0000004"})
    found = json.loads(caskbook("show", CASK, "--format", "json", "--records", str(shop.root)).stdout)
    joined = [one for one in found["joined_events"] if one["job"] == "fill"]
    assert found["fills"] == 1 and [(one["cask"], one["id"], one["litres"], one["stands"]) for one in joined] == [(other, "g0000003", 190, True)]
    numbers = [(one["id"], one["number"], one["stands"], one.get("voided_by")) for one in found["events"]]
    theirs = [("g0000001", other, False, "g0000002"), ("g0000002", other, True, None), ("g0000003", other, True, None)]
    assert {one[:2] for one in numbers if one[1] == CASK} == {("e0000001", CASK), ("g0000004", CASK)} and [one for one in numbers if one in theirs] == theirs
    assert [one["date"] for one in found["events"]] == sorted(one["date"] for one in found["events"])
    every = caskbook("show", CASK, "--all", "--records", str(shop.root)).stdout
    assert "× " + days_ago(9).isoformat() in every and f"fill of {days_ago(9)}: not filled (other number)" in every and "not here" not in every, every
    before = json.loads(caskbook("show", CASK, "--format", "json", "--as-of", days_ago(8).isoformat(), "--records", str(shop.root)).stdout)
    assert not [one for one in before["joined_events"] if one["job"] == "fill"]


@pytest.mark.parametrize("mode", ["on", "off"])
def test_the_list_finds_a_mark_in_any_letters_as_the_card_does(shop: Shop, monkeypatch: pytest.MonkeyPatch, mode: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    shop.put(*READY, was=["Fässchen É7", "É' 8"])
    where = ("--records", str(shop.root))
    for text in ("Fässchen É7", "FÄSSCHEN é7", "fäßchen É7 ", "é' 8"):
        assert caskbook("show", text, *where).stdout.startswith(CASK), text
        listed = caskbook("list", "--mark", text, "--columns", "cask", "--format", "csv", *where)
        assert listed.stdout.split() == ["cask", CASK], (text, listed.stderr)
    assert caskbook("list", "--mark", "É7", "--columns", "cask", "--format", "csv", *where).stdout.split() == ["cask"]


def test_later_entries_that_are_left_out_are_counted_under_both_numbers(shop: Shop) -> None:
    other = "TH-004218"
    shop.put(*READY, {"date": days_ago(6), "job": "note", "note": "x"}, {"date": days_ago(3), "job": "note", "note": "y"}, cask=other)
    shop.put(READY[0], {"date": days_ago(4), "job": "same-as", "of": other, "why": "two stencils"})
    for day, count in ((5, "2 later entries left out"), (6, "2 later entries left out"), (7, "3 later entries left out")):
        shown = caskbook("show", CASK, "--as-of", days_ago(day).isoformat(), "--records", str(shop.root)).stdout
        assert count in shown, shown


def test_a_number_that_was_joined_has_no_picture_of_its_own(shop: Shop, tmp_path: Path) -> None:
    """What is asked for is a picture: a text in its place would be saved as one."""
    other = "TH-004218"
    shop.put(*READY, cask=other)
    shop.put(READY[0], {"date": days_ago(4), "job": "same-as", "of": other, "why": "two stencils"})
    for words in (("--map", "--format", "svg"), ("--line", "--save", str(tmp_path / "line.svg"), "--format", "svg")):
        code, out, err = shown(shop, other, *words)
        assert (code, out) == (2, "") and f"{other} is joined to {CASK}: caskbook show {CASK}" in err, err
    assert not (tmp_path / "line.svg").exists() and shown(shop, CASK, "--map", "--format", "svg")[1].startswith("<svg")
    assert json.loads(shown(shop, other, "--format", "json")[1]) == {"cask": other, "joined": CASK}
