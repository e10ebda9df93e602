"""A cask of whose file no entry can be read: every rule says that nobody can tell, on any day, and a round finds it unreadable."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

FILLED = [
    {"date": days_ago(9), "job": "receive", "verdict": "accept", "berth": "W1/1/1"},
    {"date": days_ago(8), "job": "examine", "verdict": "sound"},
    {"date": days_ago(7), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 15, "method": "meter"},
]
SPOILT = {"a second document": "---\nevents:", "the end of a document": "...\nevents:", "another case": "Events:", "a slip of the pen": "event:"}


def spoil(shop: Shop, how: str) -> None:
    path = shop.put(*FILLED)
    path.write_text(path.read_text(encoding="utf-8").replace("\nevents:", f"\n{how}"), encoding="utf-8")


def data(shop: Shop, *words: str) -> Any:
    done = caskbook(*words, "--format", "json", "--records", str(shop.root))
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
@pytest.mark.parametrize("how", SPOILT.values(), ids=SPOILT)
def test_every_rule_says_that_nobody_can_tell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str, how: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path)
    spoil(shop, how)
    for words in (("due", "--all"), ("due", CASK, "--all"), ("due", "--all", "--as-of", "2010-01-01")):
        due = data(shop, *words)
        assert len(due) == 10 and {one["verdict"] for one in due} == {"unknown"}, words
        assert all(one["reasons"][0].startswith("cannot be read: ") for one in due)
    assert data(shop, "list", "--columns", "state,fills,whereabouts") == [{"state": None, "fills": None, "whereabouts": None}]
    assert f"{CASK} is told in part" in caskbook("due", "--records", str(shop.root)).stderr


@pytest.mark.parametrize("day", [FILLED[0]["date"], days_ago(-400)])
def test_a_receipt_that_is_voided_leaves_no_cask_and_one_of_a_day_to_come_does(tmp_path: Path, day: Any) -> None:
    shop = Shop(tmp_path)
    receipt = {**FILLED[0], "date": day}
    shop.put(receipt)
    assert [one["verdict"] for one in data(shop, "due", "hold", "--all")] == ["unknown" if day > days_ago(0) else "ok"]
    shop.put(receipt, {"date": days_ago(0), "job": "void", "of": "e0000001", "why": "slip"})
    assert data(shop, "due", "hold", "--all") == []


def test_a_round_says_that_its_file_cannot_be_read(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    spoil(shop, "---\nevents:")
    shop.put(*FILLED, cask="TH-004218")
    found = caskbook("round", "W1/1", CASK, "TH-004218", "--records", str(shop.root))
    assert "unreadable  1: seen here, and its file cannot be read" in found.stdout and "enter receive" not in found.stdout, found.stdout


@pytest.mark.thorough
def test_every_screen_bears_it(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    spoil(shop, "Events:")
    words = [
        ["show", CASK], ["report", "stock"], ["report", "leaks"], ["report", "retirement"], ["report", "retirement", CASK], ["report", "outlook"], ["report", "loss"],
        ["report", "service"], ["ready"], ["plan", "--coopers", "1", "--hours-a-week", "8"], ["due", "--by-cask"], ["sheet", CASK, "--for", "look"],
    ]  # fmt: skip
    for one in words:
        done = caskbook(*one, "--records", str(shop.root))
        assert done.returncode == (one[0] == "show") and "fault of the program" not in done.stderr, (one, done.stderr)
    assert "STATE NOT KNOWN" in caskbook("show", CASK, "--records", str(shop.root)).stdout
