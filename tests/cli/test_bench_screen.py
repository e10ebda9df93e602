"""The bench at a real terminal: keys are counted, the state stays in sight, and what comes from a scanner is never taken for an answer."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.terminal import CODES, Terminal
from entry.shop import HOUSE, Shop, days_ago

pytestmark = pytest.mark.thorough

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
CASKS = [f"TH-{n:06d}" for n in range(7001, 7061)]


@pytest.fixture
def house(tmp_path: Path) -> Shop:
    made = Shop(tmp_path, HOUSE)
    for cask in CASKS:
        made.put(CAME, cask=cask)
    return made


@pytest.fixture
def bench(house: Shop) -> Iterator[Terminal]:
    made = Terminal(house, "bench")
    made.wait("no shift yet")
    made.hand("shift ab\r")
    made.wait("shift of ab")
    yield made
    made.child.close(force=True)


def test_a_test_on_one_cask_is_three_keys_behind_the_number(house: Shop, bench: Terminal) -> None:
    bench.hand("test --psi 11\r")
    bench.wait("the casks, one a line")
    bench.keys = 0
    bench.hand("7005")
    bench.wait("TH-007005  barrel, ")  # the echo stands there before Enter
    bench.keys = 0
    bench.hand(" p\r")
    shown = bench.wait("1 written")
    assert bench.keys == 3 and "WRITTEN  TH-007005  test: pass, 11 psi" in shown
    assert house.last("TH-007005") == {**house.last("TH-007005"), "result": "pass", "by": "ab"}


@pytest.mark.parametrize("words", [("bench",), ("enter", "scan", "test", "--psi", "11")])
def test_sixty_scanned_casks_are_one_key_each(house: Shop, words: tuple[str, ...]) -> None:
    Terminal(house, "shift", "ab").ended()
    at = Terminal(house, *words)
    if words == ("bench",):
        at.wait("shift of ab")
        at.hand("test --psi 11\r")
        at.wait("the casks, one a line")
    else:
        at.wait("scan or type")
    at.keys = 0
    casks = CASKS if words == ("bench",) else CASKS[:20]
    for n, cask in enumerate(casks):
        at.scanner(cask)
        at.wait("passed >")
        at.hand("p" if n % 9 else "P")
        at.wait(f"{n + 1} written" if words == ("bench",) else f"test {n + 2}>")
    assert at.keys == len(casks)
    at.child.send("\x04")
    code = at.ended()
    assert code == 0 and all(house.last(cask)["result"] == "pass" for cask in casks), at.seen


@pytest.mark.parametrize("words", [("bench",), ("enter", "scan", "test", "--psi", "11")])
def test_a_scan_in_the_place_of_a_key_is_no_answer(house: Shop, words: tuple[str, ...]) -> None:
    """A number that begins with P, F or C, scanned while a result is asked for, passes no cask."""
    house.put(CAME, cask="PF-7001")
    Terminal(house, "shift", "ab").ended()
    at = Terminal(house, *words)
    at.wait("shift of ab")
    if words == ("bench",):
        at.hand("test --psi 11\r")
        at.wait("the casks")
    at.scanner("TH-007001")
    at.wait("passed >")
    at.scanner("pf-7001")
    at.wait("was not answered; on to pf-7001")
    at.wait("passed >")
    at.hand("f")
    at.wait("where it leaked")
    at.hand("j3\r")
    at.wait("1 written" if words == ("bench",) else "test 2>")
    at.child.send("\x04")
    at.ended()
    assert len(house.data("TH-007001")["events"]) == 1 and house.last("PF-7001")["result"] == "fail"


@pytest.mark.parametrize("words", [("bench",), ("enter", "scan", "test", "--psi", "11")])
def test_a_key_behind_a_refused_scan_costs_no_other_cask(house: Shop, words: tuple[str, ...]) -> None:
    """Whoever presses p by habit, where the cask is full and nothing is asked, finds the letter before the next number."""
    house.put(CAME, {"date": days_ago(9), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 12}, cask="TH-007100")
    Terminal(house, "shift", "ab").ended()
    at = Terminal(house, *words)
    at.wait("shift of ab")
    if words == ("bench",):
        at.hand("test --psi 11\r")
        at.wait("the casks")
    at.scanner("TH-007100")
    at.wait("test needs it empty")
    at.hand("p")
    at.scanner("TH-007001")
    at.wait("p is dropped")
    at.wait("passed >")
    at.hand("f")
    at.wait("where it leaked")
    at.hand("j3\r")
    at.wait("1 written" if words == ("bench",) else "test 2>")
    at.child.send("\x04")
    at.ended()
    assert house.last("TH-007001")["result"] == "fail" and len(house.data("TH-007100")["events"]) == 2


def test_leaked_driven_passed_is_one_key_and_the_place(house: Shop, bench: Terminal) -> None:
    bench.hand("test 7005 --psi 11\r")
    bench.wait("passed >")
    bench.hand("c")
    bench.wait("where it leaked")
    bench.hand("j4\r")
    bench.wait("1 written")
    assert house.last("TH-007005") == {**house.last("TH-007005"), "result": "pass", "cured_by": "drive", "leaks": [{"at": "joint-4"}]}


def test_the_state_stays_at_the_foot_and_a_refusal_rings(house: Shop, bench: Terminal) -> None:
    bench.hand("drive 9999\r")
    shown = bench.wait("1 refused")
    assert "NOT WRITTEN  no number of the book ends in 9999" in shown and "\x07" in bench.raw
    assert f"ab · {days_ago(0):%A} {days_ago(0)} · drive · 0 written, 1 refused" in shown
    bench.hand("7005\r")
    shown = bench.wait("1 written, 1 refused")
    assert "WRITTEN  TH-007005  drive" in shown and "\x1b[1;97;42m" in bench.raw and "\x07" not in bench.raw


def test_history_completion_and_a_dropped_line(house: Shop, bench: Terminal) -> None:
    bench.hand("note 7005 first\r")
    bench.wait("1 written")
    bench.hand("note 7006 not this")
    bench.hand("\x03")
    bench.wait("the line is dropped")
    bench.child.send("\x1b[A")
    bench.wait("note 7005 first")
    bench.hand(" again\r")
    bench.wait("2 written")
    assert house.last("TH-007005")["note"] == "first again"
    bench.hand("flag 7006 j3\r")
    bench.wait("3 written")
    bench.hand("insp")
    bench.hand("\x08" * 4 + "exam")
    bench.wait("examine")
    bench.hand("\t")
    bench.wait("examine")
    bench.child.send("\x15\x04")
    assert bench.ended() == 0 and len(house.data("TH-007006")["events"]) == 2


def test_lines_typed_ahead_are_all_taken(house: Shop, bench: Terminal) -> None:
    bench.child.send("".join(f"{line}\r" for line in ("test 7001 p --psi 11", "7002 p", "9999 p", "7003 p", "end")))
    bench.wait("3 entries on 3 casks, 1 line refused")
    assert bench.ended() == 0 and house.last("TH-007003")["result"] == "pass"


def test_many_casks_on_a_line_are_asked_about(house: Shop, bench: Terminal) -> None:
    bench.hand("drive 7001..7003\r")
    bench.wait("3 casks: write all? [y/N]")
    bench.hand("\r")
    bench.wait("NOT WRITTEN  not all of them were meant")
    bench.hand("drive 7001..7003\r")
    bench.wait("write all? [y/N]")
    bench.hand("y\r")
    bench.wait("1 written")
    assert house.last("TH-007003")["job"] == "drive"


def test_open_matters_are_offered(house: Shop, bench: Terminal) -> None:
    weep = {"date": days_ago(8), "job": "examine", "verdict": "repair", "findings": [{"at": "joint-4", "defect": "weep", "severity": 1}]}
    house.put(CAME, weep, cask="TH-007005")
    bench.hand("test 7005 p --psi 11\r")
    bench.wait("joint-4 weep, seen")
    bench.hand("y\r")
    bench.wait("1 written")
    assert house.last("TH-007005")["answers"] == ["e0000002/joint-4"]


@pytest.mark.parametrize("number,code", [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_termination_says_what_is_written(house: Shop, bench: Terminal, number: int, code: int) -> None:
    bench.hand("note 7005 x\r")
    bench.wait("1 written")
    bench.child.kill(number)
    assert bench.ended() == code and "terminated; written: TH-007005" in CODES.sub("", bench.seen).replace("\r\n", " ")


def test_a_terminal_that_bears_only_lines(house: Shop) -> None:
    at = Terminal(house, "bench", TERM="dumb")
    at.wait("bench> ")
    at.hand("shift kd\r")
    at.wait(f"[kd · {days_ago(0):%A} {days_ago(0)} · no job · 0 written]")
    at.hand("test 7005 --psi 11\r")
    at.wait("passed >")
    at.hand("p")
    at.wait("test · 1 written]")
    at.child.send("\x04")
    assert at.ended() == 0 and house.last("TH-007005")["by"] == "kd" and "\x1b" not in at.seen
