"""`caskbook enter` as installed: a process, and a person at a terminal."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest
from entry.shop import CASK, Shop
from entry.states import STATES

pytestmark = pytest.mark.thorough

READY = STATES["ready"] or []


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    made.put(*READY)
    return made


def caskbook(shop: Shop, *words: str, typed: str | None = None, **env: str) -> subprocess.CompletedProcess[str]:
    given = {key: value for key, value in os.environ.items() if not key.startswith("CASKBOOK") or key == "CASKBOOK_STATE"} | {"CASKBOOK_BY": "ab", **env}
    return subprocess.run(
        [sys.executable, "-m", "caskbook", *words], cwd=shop.root.parent, env=given, input=typed, capture_output=True, text=True, timeout=60, check=False
    )


def at_terminal(shop: Shop, *words: str) -> pexpect.spawn[str]:
    env = {**os.environ, "CASKBOOK_BY": "ab", "TERM": "dumb"}
    child = pexpect.spawn(sys.executable, ["-m", "caskbook", *words], cwd=str(shop.root.parent), env=env, encoding="utf-8", timeout=30, echo=False)
    child.delaybeforesend, child.delayafterclose = None, 0.0  # each answer follows its prompt, so nothing needs to be waited for
    return child


def finished(child: pexpect.spawn[str]) -> int:
    child.expect(pexpect.EOF)
    child.close()
    return int(child.exitstatus or 0)


def test_enter_refuse_void_and_undo_as_processes(shop: Shop) -> None:
    ran = caskbook(shop, "enter", "test", CASK, "pass", "--psi", "0.8bar")
    assert ran.returncode == 0 and "0.8 bar = 11.6 psi" in ran.stderr and ran.stdout.startswith(f"{CASK}  ")
    event = ran.stdout.split()[1]
    assert caskbook(shop, "enter", "char", CASK, "--level", "3", "--date", "2015-01-01").returncode == 1
    ran = caskbook(shop, "enter", "test", CASK, "--psi")
    assert ran.returncode == 2 and ran.stderr == "caskbook: --psi needs a value\n"
    assert caskbook(shop, "void", CASK, event, "--why", "wrong cask").returncode == 0
    assert shop.last()["of"] == event


@pytest.mark.parametrize(("typed", "psi"), [("0.76bar", 11.02), ("76kPa", 11.02), ("760 mbar", 11.02), ("0.758bar", None)])
def test_a_pressure_over_the_house_limit_is_over_it_in_whatever_unit_it_is_typed(shop: Shop, typed: str, psi: float | None) -> None:
    """0.76 bar are 11.023 psi, and no 11.0."""
    house = shop.root / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8") + "\ntest_limit_psi: 11\n", encoding="utf-8")
    ran = caskbook(shop, "enter", "test", CASK, "pass", "--psi", typed)
    assert ran.returncode == (1 if psi else 0), ran.stdout + ran.stderr
    if psi:
        ran = caskbook(shop, "enter", "test", CASK, "pass", "--psi", typed, "--anyway", "--why", "the gauge sticks")
        assert ran.returncode == 0 and shop.last()["psi"] == psi
        assert "test-over-house-limit" in caskbook(shop, "check", CASK).stdout


def test_a_stave_under_the_floor_is_under_it_in_inches(shop: Shop) -> None:
    """0.707 in are 17.958 mm, and no 18."""
    ran = caskbook(shop, "enter", "measure", CASK, "--stave", "0.707in", "--yes")
    assert ran.returncode == 0 and shop.last()["stave_mm"] == 17.96, ran.stdout + ran.stderr


def test_the_scanner_as_a_process(shop: Shop) -> None:
    ran = caskbook(shop, "enter", "scan", "move", "--berth", "W1/03", typed=f"{CASK}\n")
    assert ran.returncode == 0 and "1 cask written" in ran.stderr and shop.last()["berth"] == "W1/03"


def test_a_broken_file_is_named_and_left_alone(shop: Shop) -> None:
    path = shop.path()
    path.write_text(path.read_text() + "  - id: x\n   bad: [\n", encoding="utf-8")
    before = path.read_bytes()
    ran = caskbook(shop, "enter", "note", CASK, "--note", "x")
    assert ran.returncode == 2 and "put this right first" in ran.stderr and "Traceback" not in ran.stderr and path.read_bytes() == before


def test_a_link_and_an_unreadable_file_are_refused(shop: Shop) -> None:
    target = shop.root.parent / "elsewhere.yaml"
    target.write_bytes(shop.path().read_bytes().replace(b"004217", b"004300"))
    shop.path("TH-004300").symlink_to(target)
    ran = caskbook(shop, "enter", "note", "TH-004300", "--note", "x")
    assert ran.returncode == 2 and len(ran.stderr.splitlines()) == 1 and target.read_bytes().count(b"note") == 0


def test_what_is_missing_is_asked_for_with_its_choices(shop: Shop) -> None:
    child = at_terminal(shop, "enter", "test", CASK)
    child.expect_exact("the test (pass, fail): ")
    child.sendline("sound")
    child.expect_exact("ring true")
    child.expect_exact("the test (pass, fail): ")
    child.sendline("tight")
    child.expect_exact("air pressure (psi, 5 to 12): ")
    child.sendline("11")
    child.expect_exact("Write it? [Y/n] ")
    child.sendline("")
    assert finished(child) == 0
    assert (shop.last()["psi"], shop.last()["result"]) == (11, "pass")


def test_no_is_no_and_the_end_of_input_writes_nothing(shop: Shop) -> None:
    before = shop.path().read_bytes()
    child = at_terminal(shop, "enter", "note", CASK, "--note", "x")
    child.expect_exact("Write it? [Y/n] ")
    child.sendline("n")
    assert finished(child) == 1
    child = at_terminal(shop, "enter", "fill", CASK)
    child.expect_exact("spirit: ")
    child.sendeof()
    child.expect_exact("nothing written")
    assert finished(child) == 1
    child = at_terminal(shop, "enter", "note", CASK, "--note", "x")
    child.expect_exact("Write it? [Y/n] ")
    child.sendeof()
    child.expect_exact("nothing written")
    assert finished(child) == 1
    child = at_terminal(shop, "enter", "fill", CASK)
    for _ in range(3):
        child.expect_exact("spirit: ")
        child.sendline("")
    child.expect_exact("spirit: needed; nothing written")
    assert finished(child) == 1
    child = at_terminal(shop, "enter", "note", CASK, "--note", "x")
    child.expect_exact("Write it? [Y/n] ")
    child.sendintr()
    assert finished(child) == 130
    assert shop.path().read_bytes() == before


def test_many_casks_want_a_plain_yes(shop: Shop) -> None:
    shop.put(*READY, cask="TH-004218")
    for word, code in (("", 1), ("y", 0)):
        child = at_terminal(shop, "enter", "note", "TH-004217..004218", "--note", "x")
        child.expect_exact("2 casks, TH-004217, TH-004218")
        child.expect_exact("Write all 2? [y/N] ")
        child.sendline(word)
        assert finished(child) == code
    assert shop.last("TH-004218")["note"] == "x"


def test_the_scanner_at_a_terminal(shop: Shop) -> None:
    shop.put(*READY, cask="TH-004218")
    child = at_terminal(shop, "enter", "scan", "test", "pass")
    child.expect_exact("scan or type a cask")
    child.expect_exact("test 1> ")
    child.sendline(CASK)
    child.expect_exact("air pressure (psi, 5 to 12): ")
    child.sendline("11")
    child.expect_exact("test 2> ")
    child.sendline("hello")
    child.expect_exact("'hello' is no cask number; one a line")
    child.sendline("TH-004218")
    child.expect_exact("test: pass, 11 psi")
    child.expect_exact("test 3> ")
    child.sendline("undo")
    child.expect_exact("taken back")
    child.sendline("undo")
    child.expect_exact("taken back")
    child.sendline("quit")
    assert finished(child) == 1 and shop.last()["job"] == "examine"


def test_a_temperature_is_asked_for_and_may_be_left_out(shop: Shop) -> None:
    for typed, temp in (("", None), ("14", 14)):
        child = at_terminal(shop, "enter", "fill", CASK, "--spirit", "malt", "--abv", "63")
        child.expect_exact("litres filled (L, 1 to 2000): ")
        child.sendline("190")
        child.expect_exact("temperature (°C, -5 to 35; Enter: not taken): ")
        child.sendline(typed)
        child.expect_exact("Write it? [Y/n] ")
        child.sendline("n" if temp is None else "y")
        assert finished(child) == (temp is None)
    assert shop.last()["temp_c"] == 14


def test_undo_asks_whether_to_take_back(shop: Shop) -> None:
    subprocess.run(["git", "init", "-q", str(shop.root.parent)], check=True)
    caskbook(shop, "enter", "note", CASK, "--note", "x")
    child = at_terminal(shop, "undo")
    child.expect_exact("Take it back? [Y/n] ")
    child.sendline("")
    assert finished(child) == 0 and shop.last()["job"] == "examine"
