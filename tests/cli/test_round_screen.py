"""The round at a real terminal: a scan and Enter a cask, the state at the foot, a bell where it is strange, and nothing lost by a kill."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pexpect
import pytest
from cli.terminal import Terminal
from entry.shop import HOUSE, Shop, days_ago

pytestmark = pytest.mark.thorough

CASKS = [f"TH-{n:06d}" for n in range(7001, 7013)]


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    made = Shop(tmp_path_factory.mktemp("round"), HOUSE)
    for n, cask in enumerate(CASKS, 1):
        came, moved = {"date": days_ago(30), "job": "receive", "verdict": "accept"}, {"date": days_ago(29), "job": "move", "berth": f"W1/05/{n}"}
        made.put(came, moved, cask=cask)
    made.put({"date": days_ago(30), "job": "receive", "verdict": "accept"}, {"date": days_ago(29), "job": "move", "berth": "W1/06/1"}, cask="TH-007100")
    yield made


def files(house: Shop) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted((house.root / "casks").rglob("*.yaml"))}


def test_what_was_scanned_outlasts_a_kill_and_is_told_whole(house: Shop) -> None:
    before = files(house)
    first = Terminal(house, "round", "W1/05")
    first.wait("12 left, next TH-007001 at W1/05/1")
    for n, cask in enumerate(CASKS[:6], 1):
        first.hand(f"{cask[-4:]}\r")
        first.wait(f"{n} seen")
    first.hand("7100\r")
    first.wait("STRANGE  TH-007100")
    first.wait("7 seen")
    os.kill(first.child.pid, signal.SIGKILL)
    first.child.wait()
    again = Terminal(house, "round", "--go-on")
    shown = again.wait("6 left, next TH-007007 at W1/05/7")
    assert "7 casks scanned so far" in shown
    for cask in CASKS[6:]:
        again.hand(f"{cask[-4:]}\r")
    assert again.keys == 6 * 5, "the end of a number and Enter for each cask"
    again.wait("0 left")
    again.hand("end\r")
    again.wait("scanned: 13 = 12 of this row + 1 from elsewhere")
    again.child.expect(pexpect.EOF)
    again.child.close()
    assert again.child.exitstatus == 1, "nobody knows where between two neighbours the stranger stands, so nothing is asked"
    assert files(house) == before


def test_ctrl_c_drops_the_line_and_ctrl_d_ends(house: Shop) -> None:
    at = Terminal(house, "round", "W1/05", "--anew")
    at.wait("12 left")
    at.hand("700\x03")
    at.wait("the line is dropped")
    for cask in CASKS:
        at.hand(f"{cask[-4:]}\r")
    at.wait("0 left")
    at.child.send("\x04")
    at.wait("the row is as the book has it")
    at.child.expect(pexpect.EOF)
    at.child.close()
    assert at.child.exitstatus == 0


def test_no_letter_is_wider_than_the_screen(house: Shop, tmp_path: Path) -> None:
    at = Terminal(house, "round", "W1/05", "7001", "7002", "at", "9")
    shown = at.wait("caskbook enter missing")
    assert max(len(line.rstrip()) for line in shown.replace("\r", "").split("\n") if "caskbook enter" not in line) <= 80
