"""What is open on a cask is offered at drive, test and treat, and told of where nobody is there to ask."""

from __future__ import annotations

import os
import sys
from typing import Any

import pexpect
import pytest

from entry.shop import CASK, Shop, days_ago

LEAKS: list[dict[str, Any]] = [
    {"date": days_ago(30), "job": "receive", "verdict": "accept"},
    {"date": days_ago(8), "job": "examine", "verdict": "repair",
     "findings": [{"at": "joint-4", "defect": "weep", "severity": 1}, {"at": "croze-A", "defect": "weep", "severity": 2}]},
]  # fmt: skip


def test_driven_and_passed_with_answers_it_is_ready(shop: Shop) -> None:
    shop.put(*LEAKS)
    assert shop.facts().fitness == "repair"
    ran = shop.enter("drive", CASK)
    assert ran.code == 0 and "answers" not in shop.last()
    assert f"joint-4 weep, seen {days_ago(8)} (--answers e0000002/joint-4)" in ran.err, ran.err
    ran = shop.enter("test", CASK, "pass", "--psi", "10", "--answers", "e0000002/joint-4, e0000002/croze-A")
    assert ran.code == 0, ran.err
    assert "answers e0000002/joint-4, e0000002/croze-A" in ran.err
    assert "left unanswered" not in ran.err
    assert shop.facts().fitness == "ready"


def test_a_pass_that_a_drive_cured_answers_the_places_it_names(shop: Shop) -> None:
    shop.put(*LEAKS)
    ran = shop.enter("test", CASK, "pass", "--psi", "10", "--cured-by", "drive", "--leaks", "joint-4,croze-A")
    assert ran.code == 0, ran.err
    assert shop.facts().open_defects == [] and shop.facts().fitness == "ready"


def test_a_scan_asks_nothing_and_tells(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put(*LEAKS)
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO(f"{CASK}\n"))
    ran = shop.enter("scan", "drive")
    assert ran.code == 0 and "(--answers e0000002/joint-4)" in ran.err, ran.err


def test_a_fail_answers_nothing_and_is_not_asked(shop: Shop) -> None:
    shop.put(*LEAKS)
    assert "unanswered" not in shop.enter("test", CASK, "fail", "--psi", "10", "--leaks", "joint-4").err


def test_a_person_at_a_terminal_is_asked_of_each(shop: Shop) -> None:
    shop.put(*LEAKS)
    env = {**os.environ, "CASKBOOK_BY": "ab", "TERM": "dumb"}
    words = ["-m", "caskbook", "enter", "test", CASK, "pass", "--psi", "10", "--records", str(shop.root)]
    child = pexpect.spawn(sys.executable, words, env=env, encoding="utf-8", timeout=30, echo=False)  # type: ignore[arg-type]
    child.delaybeforesend = None
    child.expect_exact(f"joint-4 weep, seen {days_ago(8)}: answered by this? [y/N] ")
    child.sendline("y")
    child.expect_exact("croze-A weep")
    child.sendline("")
    child.expect_exact("Write it? [Y/n] ")
    child.sendline("")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    assert shop.last()["answers"] == ["e0000002/joint-4"]
