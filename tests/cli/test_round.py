"""`caskbook round`: what is scanned along a row from words, a file, a pipe or a terminal; told, counted, and entered only where asked."""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path
from subprocess import CompletedProcess

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop, days_ago

from caskbook.cli.entering import ask
from caskbook.ledger.round_notes import begun_round

ROW = tuple(f"TH-{7000 + n:06d}" for n in range(1, 7))
STRANGE, YARD, GONE, AWAY, LOST = "TH-007100", "TH-007101", "TH-007102", "TH-007103", "TH-007104"


def came(berth: str | None = None, days: int = 30) -> dict[str, object]:
    return {"date": days_ago(days), "job": "receive", "verdict": "accept"}


def moved(berth: str) -> dict[str, object]:
    return {"date": days_ago(29), "job": "move", "berth": berth}


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"")))
    made = Shop(tmp_path, HOUSE + "stores: {W1: warehouse 1, Y: yard}\n")
    for n, cask in enumerate(ROW, 1):
        made.put(came(), moved(f"W1/05/{n}"), cask=cask)
    made.put(came(), moved("W1/06/1"), cask=STRANGE)
    made.put(came(), moved("Y2"), cask=YARD)
    made.put(came(), moved("W1/05/8"), {"date": days_ago(3), "job": "dispose", "how": "sold"}, cask=GONE)
    made.put(came(), moved("W1/05/9"), {"date": days_ago(3), "job": "send", "to": "the shop", "why": "heads"}, cask=AWAY)
    made.put(came(), moved("W1/05/10"), {"date": days_ago(3), "job": "missing"}, cask=LOST)
    return made


def round_of(house: Shop, *words: str, typed: str | None = None) -> CompletedProcess[str]:
    if typed is not None:
        sys.stdin = io.TextIOWrapper(io.BytesIO(typed.encode()))
    return caskbook("round", *words, "--records", str(house.root))


def files(house: Shop) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted((house.root / "casks").rglob("*.yaml"))}


@pytest.mark.thorough
def test_words_a_pipe_and_a_file_say_the_same_and_write_nothing(house: Shop, tmp_path: Path) -> None:
    before = files(house)
    (tmp_path / "scan.txt").write_text("cask\n# the row\n7001\n7003; 7002\nTH-007100\n\n7004 # dusty\n7006\n7006\n", encoding="utf-8")
    by_words = round_of(house, "W1/05", "7001", "7003", "7002", "TH-007100", "7004", "7006", "7006")
    by_file = round_of(house, "W1/05", f"file:{tmp_path / 'scan.txt'}")
    by_pipe = round_of(house, "W1/05", typed="7001\n7003\n7002\n7100\n7004\n7006\n7006\nend\n7005\n")
    assert by_words.stdout == by_file.stdout == by_pipe.stdout and by_words.returncode == by_file.returncode == by_pipe.returncode == 1
    assert "missing  1: in the book here, and not seen\n  TH-007005  book: W1/05/5  barrel, unexamined" in by_words.stdout
    assert "TH-007100  book: W1/06/1  seen at W1/05/3, between W1/05/2 and W1/05/4" not in by_words.stdout, "7003 was seen there without a place"
    assert "scanned more than once: TH-007006" in by_words.stdout
    assert "book: 6 here = 4 in place + 1 at another berth + 1 missing\nscanned: 7 = 5 of this row + 1 from elsewhere + 1 again" in by_words.stdout
    assert files(house) == before and begun_round(house.root) is None


def test_a_row_that_agrees_is_exit_code_0(house: Shop) -> None:
    ran = round_of(house, "W1/05", *ROW)
    assert ran.returncode == 0 and ran.stdout.startswith(f"round W1/05 on {days_ago(0)}: the row is as the book has it\n"), ran.stdout
    assert "missing-before  1: not seen, and missing in the book already\n  TH-007104" in ran.stdout
    assert "due on 6 casks of those seen:\n  TH-007001  examine: " in ran.stdout


def test_what_is_gone_away_or_missing_in_the_book_is_told_where_it_is_seen(house: Shop) -> None:
    ran = round_of(house, "W1/05", *ROW, GONE, AWAY, LOST, "TH-007999", YARD, "at", "7", "--format", "json")
    data = json.loads(ran.stdout)
    assert ran.returncode == 1 and data["agrees"] is False
    assert {one["cask"]: one["what"] for one in data["casks"]} == dict.fromkeys(ROW, "in-place") | {
        GONE: "gone", AWAY: "away", LOST: "found", "TH-007999": "not-in-the-book", YARD: "elsewhere",
    }  # fmt: skip
    assert data["scanned"] == sum(data["counts"].values()) + data["again"] + len(data["not_read"]) and data["in_book"] == 6
    assert [step["line"] for step in data["to_do"]] == [
        f"caskbook enter found {LOST}", f"caskbook enter move {YARD} --berth W1/05/7", f"caskbook enter return {AWAY} accept",
        "caskbook enter receive TH-007999 accept --type …", f"caskbook show {GONE}",
    ]  # fmt: skip


def test_csv_has_a_row_for_each_cask(house: Shop) -> None:
    rows = list(csv.DictReader(io.StringIO(round_of(house, "W1/05", "7001", "at", "2", "7002", "--format", "csv").stdout)))
    assert [(row["cask"], row["what"], row["book_berth"], row["seen_at"]) for row in rows[:3]] == [
        (ROW[0], "other-berth", "W1/05/1", "W1/05/2"), (ROW[1], "in-place", "W1/05/2", "W1/05/2"), (ROW[2], "missing", "W1/05/3", ""),
    ]  # fmt: skip


@pytest.mark.thorough
@pytest.mark.parametrize("line", ["W1/05/3 7001", "7001 W1/05/3", "7001 at 3", "7001,W1/05/3", "at 3\n7001", "W1/05/3\n7001", "'7001';\"W1/05/3\""])
def test_a_berth_goes_with_the_cask_before_it_or_the_next_one(house: Shop, line: str) -> None:
    data = json.loads(round_of(house, "W1/05", "--format", "json", typed=f"{line}\n7002\n").stdout)
    assert [(one["cask"], one["seen_at"]) for one in data["casks"][:2]] == [(ROW[0], "W1/05/3"), (ROW[1], "W1/05/2")]


@pytest.mark.thorough
@pytest.mark.parametrize("line", ["hello", "7001 at", "7001 W1/06/1", "9998", "file:x", "7001..", "\x1b[2J7", "TH-0", "7001 x"])
def test_a_line_that_cannot_be_read_counts_and_is_told(house: Shop, line: str) -> None:
    ran = round_of(house, "W1/05", typed="\n".join((*ROW, line)) + "\n")
    assert ran.returncode == 1 and "scanned: 7 = 6 of this row + 1 not read" in ran.stdout and "not read: " in ran.stdout
    assert "\x1b" not in ran.stdout


def test_that_a_cask_is_told_in_part_is_said_once(house: Shop) -> None:
    house.path(ROW[0]).write_text(house.path(ROW[0]).read_text(encoding="utf-8") + "  - {id: gqw00001, date: 2020-01-01, job: fil, by: ab}\n", encoding="utf-8")
    assert round_of(house, "W1/05", typed="\n".join((*ROW, STRANGE)) + "\n").stderr.count(f"{ROW[0]} is told in part") == 1


@pytest.mark.parametrize("line", ["7003 at W1/06/1", "7003 at 99x", "7003 x", "7003,9998", "9998", "TH-009998"])
def test_where_a_line_is_not_read_or_of_no_cask_nothing_is_certainly_missing(house: Shop, line: str) -> None:
    """A cask that stands in such a line was seen, and one that was not seen may be it."""
    before = {cask: house.path(cask).read_bytes() for cask in ROW}
    ran = round_of(house, "W1/05", "--enter", "--by", "ab", "--yes", "--format", "json", typed="\n".join((*ROW[:2], line, *ROW[4:])) + "\n")
    data = json.loads(ran.stdout)
    told = {one["cask"]: one["what"] for one in data["casks"]}
    assert ran.returncode == 1 and [told[cask] for cask in ROW[2:4]] == ["not-read" if "7003" in line else "missing", "missing"]
    assert [step["certain"] for step in data["to_do"] if step["job"] == "missing"] == [False] and data["in_book"] == 6
    assert {cask: house.path(cask).read_bytes() for cask in ROW} == before
    text = " ".join(round_of(house, "W1/05", typed="\n".join((*ROW[:2], line, *ROW[4:])) + "\n").stdout.split())
    assert "nobody can tell which cask is missing" in text and ("+ 1 missing + 1 not read" if "7003" in line else "+ 2 missing ") in text


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("W1/5",), "the book has no cask at W1/5: did you mean W1/05"),
        ((), "round along which row? as: caskbook round W1/05"),
        (("in the corner",), "'in the corner' is no berth"),
        (("W1/05/9..1",), "the range runs backwards"),
        (("--go-on",), "no round was left"),
        (("--go-on", "W1/05"), "give nothing else with it"),
        (("W1/05", "--date", "2999-01-01"), "2999"),
        (("W1/05", "file:nowhere.txt"), "nowhere.txt: no such file"),
        (("W1/05", "--format", "xml"), "--format xml"),
        (("W1/05", "--yes"), "--yes goes with --enter"),
        (("W1/05", "--dry-run"), "--dry-run goes with --enter"),
    ],
)
def test_what_is_no_round_is_refused(house: Shop, words: tuple[str, ...], said: str) -> None:
    ran = round_of(house, *words)
    assert ran.returncode == 2 and said in ran.stderr and not ran.stdout


@pytest.mark.thorough
def test_an_empty_row_a_store_and_a_range(house: Shop) -> None:
    assert "W1/07" in round_of(house, "W1/07", "7001", "--vacant").stdout
    assert "book: 7 here = 0 in place" in round_of(house, "W1", "").stdout
    assert "book: 7 here = 0 in place" in round_of(house, "warehouse 1").stdout
    assert "book: 3 here = 3 in place" in round_of(house, "W1/05/1..3", *ROW[:3]).stdout


@pytest.mark.thorough
def test_enter_writes_what_is_certain_with_who_and_day_all_or_none(house: Shop) -> None:
    walk = ("W1/05", "7001", "at", "2", "7002", "at", "1", "7003", "7004", "7005", LOST, "--date", "yesterday")
    before = files(house)
    assert "entering needs --by (ab, kd)" in (ran := round_of(house, *walk, "--enter", "--yes")).stderr and ran.returncode == 2
    ran = round_of(house, *walk, "--enter", "--by", "ab")
    assert ran.returncode == 2 and "nobody to ask" in ran.stderr and files(house) == before
    ran = round_of(house, *walk, "--enter", "--by", "ab", "--dry-run")
    assert ran.returncode == 1 and "+    job: missing" in ran.stdout and files(house) == before
    ran = round_of(house, *walk, "--enter", "--by", "ab", "--yes")
    assert ran.returncode == 1, ran.stderr
    for cask, job, berth in ((ROW[0], "move", "W1/05/2"), (ROW[1], "move", "W1/05/1"), (ROW[5], "missing", None), (LOST, "found", None)):
        last = house.last(cask)
        assert (last["job"], last.get("berth"), last["by"], last["date"]) == (job, berth, "ab", days_ago(1))
    assert len({house.last(cask)["sheet"] for cask in (*ROW[:2], ROW[5], LOST)}) == 1
    after = round_of(house, "W1/05", "7002", "7001", "7003", "7004", "7005", LOST)
    assert after.returncode == 0, after.stdout
    assert [code for cask in (*ROW, LOST) for code in house.codes(cask)] == []


def test_a_whole_row_is_never_missing_because_nobody_walked(house: Shop) -> None:
    ran = round_of(house, "W1/05", "--enter", "--by", "ab", "--yes", typed="")
    assert ran.returncode == 1 and "caskbook enter" not in ran.stdout and "missing  6" in ran.stdout
    assert ran.stderr.splitlines()[-1] == "nothing written"


def test_what_is_not_certain_is_told_as_not_entered(house: Shop) -> None:
    """More are missing than were seen; and a cask of another row is seen, nobody says where."""
    before = files(house)
    ran = round_of(house, "W1/05", *ROW[:2], "--enter", "--by", "ab", "--yes")
    said = ["not entered, for it is not certain: missing 4; type what is true of it", "nothing written"]
    assert ran.returncode == 1 and ran.stderr.splitlines()[-2:] == said and files(house) == before
    ran = round_of(house, "W1/05", *ROW[:4], "7101", "--enter", "--by", "ab", "--yes")
    assert ran.returncode == 1 and ran.stderr.splitlines()[-1] == "not entered, for it is not certain: move 1; type what is true of it", ran.stderr
    assert house.last(ROW[5])["job"] == "missing" and "nothing written" not in ran.stderr


@pytest.fixture
def by_hand(house: Shop, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setattr(ask, "on_terminal", lambda: True)
    return house


def typed(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


@pytest.mark.thorough
def test_by_hand_each_is_answered_and_at_the_end_it_is_asked(by_hand: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    ran = round_of(
        by_hand, "W1/05", typed=typed("7001", "7100", "y", "9998", "undo", "left", "help", "7002", "7002", "7003", "7004", "7005", "7006", "end", "n")
    )
    assert ran.returncode == 1
    for said in (
        "STRANGE  TH-007100  barrel\n",
        "the book has it at W1/06/1\n\a",
        "NOT READ",
        "TAKEN BACK  9998",
        "TWICE  TH-007002",
        "next TH-007002 at W1/05/2",
    ):
        assert said in ran.stdout + ran.stderr, said
    assert "scanned: 8 = 6 of this row + 1 from elsewhere + 1 again" in ran.stdout
    assert begun_round(by_hand.root) is None


@pytest.mark.thorough
def test_who_walked_is_asked_where_nobody_said(by_hand: Shop) -> None:
    ran = round_of(by_hand, "W1/05", typed=typed("7001 at 7", "7002", "7003", "7004", "7005", "7006", "end", "y", "zz", "ab", "y"))
    assert ran.returncode == 1 and "zz is not of the crew" in ran.stderr
    assert by_hand.last(ROW[0])["berth"] == "W1/05/7" and by_hand.last(ROW[0])["by"] == "ab"


@pytest.mark.thorough
def test_a_round_that_is_put_off_or_cut_off_is_gone_on_with(by_hand: Shop) -> None:
    ran = round_of(by_hand, "W1/05", typed=typed("7001", "7002", "later"))
    assert ran.returncode == 0 and "go on with caskbook round --go-on" in ran.stderr and not ran.stdout.startswith("round ")
    ran = round_of(by_hand, "W1/06", typed="")
    assert ran.returncode == 2 and "a round of W1/05" in ran.stderr and "--anew drops it" in ran.stderr
    ran = round_of(by_hand, "--go-on", typed=typed("7003", "undo", "7003", "7004", "7005", "7006", "end"))
    assert ran.returncode == 0 and "book: 6 here = 6 in place" in ran.stdout
    assert begun_round(by_hand.root) is None


@pytest.mark.thorough
def test_a_line_cut_short_by_a_crash_is_the_only_one_lost(by_hand: Shop, tmp_path: Path) -> None:
    round_of(by_hand, "W1/05", typed=typed("7001", "7002", "later"))
    (kept,) = (tmp_path / "state").glob("round-*")
    kept.write_bytes(kept.read_bytes() + b'"70')
    left = begun_round(by_hand.root)
    assert left is not None and left.lines == ("7001", "7002") and left.berths == ("W1/05",)
    assert "2 casks scanned so far" in round_of(by_hand, "--go-on", typed=typed("later")).stderr
    for bad in (b"", b"{}\n", b"\xff\n", b"[]\n", b'{"place": [1, 2], "berths": [], "day": "2020-01-01"}\n'):
        kept.write_bytes(bad)
        assert begun_round(by_hand.root) is None
    assert round_of(by_hand, "W1/05", "--anew", typed=typed("7001", "later")).returncode == 0


def test_without_a_place_to_keep_it_a_round_goes_on_all_the_same(by_hand: Shop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from caskbook.core.finding import CaskbookError
    from caskbook.ledger import round_notes

    def nowhere(_: Path) -> Path:
        raise CaskbookError("no folder")

    monkeypatch.setattr(round_notes, "round_path", nowhere)
    ran = round_of(by_hand, "W1/05", typed=typed(*ROW, "end"))
    assert ran.returncode == 0 and ran.stderr.count("is not kept") == 1


@pytest.mark.thorough
def test_an_old_mark_and_a_joined_number_are_the_cask_that_goes_on(house: Shop) -> None:
    house.put(came(), moved("W1/07/1"), cask="TH-007200", was=["HJ-4421"])
    house.put(came(), cask="TH-007201")
    house.put(came(), moved("W1/07/2"), {"date": days_ago(1), "job": "same-as", "of": "TH-007201", "why": "two stencils"}, cask="TH-007202")
    ran = round_of(house, "W1/07", "was:HJ-4421", "7201")
    assert ran.returncode == 0 and "book: 2 here = 2 in place" in ran.stdout, ran.stdout
