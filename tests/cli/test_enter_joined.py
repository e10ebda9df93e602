"""Entering on the number of a cask that goes on under another one."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop, days_ago
from entry.states import STATES

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


def test_without_an_index_nothing_is_read_for_it(shop: Shop):
    assert entered("note", OLD, "--note", "x")[0] == 0


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
