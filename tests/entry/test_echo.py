"""Before an entry is written it is said what the cask is and what is due on it, which day that is, who did it, and what can hurt."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pexpect
import pytest

from caskbook.cli.commands.bench import run as bench
from caskbook.cli.commands.shift import run as shift
from caskbook.entry.caution import _IN_SHORT, _TELL, REMINDER, caution_in_short
from entry.shop import CASK, HOUSE, Shop, days_ago

CAME = {"date": days_ago(90), "job": "receive", "verdict": "accept"}
LEAKED = {"date": days_ago(40), "job": "test", "psi": 11, "result": "fail", "leaks": [{"at": "croze-A"}]}
CREW = HOUSE.replace("  - {initials: kd}\n", f"  - {{initials: kd}}\n  - {{initials: mo, until: {days_ago(20)}}}\n")
FIGURE = "11 psi presses on a 0.53 m head"
SHORT = "Air test: nobody in line with a head."


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    made = Shop(tmp_path, CREW)
    made.put(CAME, LEAKED)
    made.put(CAME, cask="TH-004218")
    return made


def test_the_cask_its_last_fail_what_is_due_and_the_weekday(house: Shop) -> None:
    ran = house.enter("test", CASK, "p", "--psi", "11", "--by", "ab")
    lines = ran.err.splitlines()
    at = next(n for n, line in enumerate(lines) if line.startswith(CASK))
    assert lines[at].endswith("last fail croze-A") and lines[at + 1].startswith("  due: retest") and f"examine since {days_ago(90)}" in lines[at + 1]
    assert lines[at + 2] == f"  test: pass, 11 psi on {days_ago(0):%A} {days_ago(0)}  (ab)"
    ran = house.enter("note", CASK, "--note", "x", "--by", "ab", "--date", "-3")
    assert f"note: x on {days_ago(3):%A} {days_ago(3)}" in ran.err


def test_a_caution_is_told_with_its_figure_once_a_shift_and_in_a_line_later(house: Shop) -> None:
    house.run(shift, "ab", "--psi", "11")
    first, later = house.enter("test", CASK, "p").err, house.enter("test", "4218", "p").err
    assert FIGURE in first and REMINDER in first and SHORT not in first
    assert SHORT in later and FIGURE not in later and REMINDER not in later
    assert "6 hoops under strain" in house.enter("drive", CASK).err, "another kind is told with its own figure"
    assert "Driving: eyes and hands." in house.enter("drive", "4218").err
    house.run(shift, "kd", "--psi", "11")
    assert FIGURE in house.enter("test", CASK, "p", "--water", "2").err, "another shift hears it anew"


def test_without_a_shift_each_run_tells_it_with_its_figure(house: Shop) -> None:
    for cask in (CASK, "TH-004218"):
        assert FIGURE in house.enter("test", cask, "p", "--psi", "11", "--by", "ab").err


@pytest.mark.parametrize("way", ["scan", "bench"])
def test_lines_tell_it_with_its_figure_once_and_then_in_short(house: Shop, way: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{CASK} p\n4218 p\n4218 f j3\n" if way == "scan" else f"test {CASK} p --psi 11 --by ab\n4218 p\n4218 f j3\n"))
    ran = house.enter("scan", "test", "--psi", "11", "--by", "ab") if way == "scan" else house.run(bench)
    assert ran.code == 0 and ran.err.count(FIGURE) == 1 and ran.err.count(SHORT) == 2 and ran.err.index(FIGURE) < ran.err.index(SHORT), ran.err


def test_every_kind_of_caution_has_its_line(house: Shop) -> None:
    assert _IN_SHORT.keys() == _TELL.keys()
    lines = [caution_in_short(kind) for kind in (*_TELL, "bung")]
    assert len(set(lines)) == len(lines) and all(len(line) <= 76 for line in lines)


def at_terminal(house: Shop, *words: str) -> pexpect.spawn[str]:
    env = {**os.environ, "TERM": "dumb"}
    env.pop("CASKBOOK_BY", None)
    return pexpect.spawn(sys.executable, ["-m", "caskbook", "enter", *words, "--records", str(house.root)], env=env, encoding="utf-8", timeout=30, echo=False)  # type: ignore[arg-type]


@pytest.mark.thorough
def test_leavers_are_not_offered_and_initials_are_checked_at_once(house: Shop) -> None:
    child = at_terminal(house, "note", CASK, "--note", "x")
    child.expect_exact("done by (ab, kd): ")
    for typed, said in (("mo", f"mo left the crew on {days_ago(20)}"), ("abb", "did you mean ab?")):
        child.sendline(typed)
        child.expect_exact(said)
        child.expect_exact("done by (ab, kd): ")
    child.sendline("AB")
    child.expect_exact("Write it?")
    child.sendline("y")
    child.expect(pexpect.EOF)
    assert house.last() == {**house.last(), "by": "ab", "note": "x"}


@pytest.mark.thorough
@pytest.mark.parametrize("by", ["zz", "mo"])
def test_strange_initials_are_refused_before_anything_is_asked(house: Shop, by: str) -> None:
    child = at_terminal(house, "test", CASK, "--by", by)
    child.expect_exact("nothing written")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 1 and len(house.data()["events"]) == 2
