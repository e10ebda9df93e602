"""Who sent a cask, corrected to what nobody knows: by the command, and in what reports, lists and new casks say of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

pytestmark = pytest.mark.thorough


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = Shop(tmp_path)
    shop.put({"date": days_ago(90), "job": "receive", "verdict": "accept"}, supplier="northquay", parcel="P-1")
    return shop


@pytest.mark.parametrize("word", ["unknown", "?", "not known"])
def test_the_command_writes_the_word_and_every_report_reads_it(shop: Shop, word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    ran = shop.enter("correct", CASK, "--supplier", word, "--parcel", word, "--why", "no delivery note", "--by", "ab", "--yes")
    assert ran.code == 0 and "supplier northquay → unknown" in ran.err + ran.out and "would be a name" not in ran.err, ran.err
    written = yaml.safe_load(next(shop.root.glob("casks/*/*.yaml")).read_text())["events"][-1]
    assert (written["supplier"], written["parcel"]) == ("unknown", "unknown")
    for index in ("on", "off"):
        monkeypatch.setenv("CASKBOOK_INDEX", index)
        told = caskbook("show", CASK, "--format", "json", "--records", str(shop.root))
        data = json.loads(told.stdout)
        assert (data["supplier"], data["parcel"]) == (None, None)
        assert [(one["key"], one["was"], one["is"]) for one in data["corrected"]] == [("parcel", "P-1", None), ("supplier", "northquay", None)]
    listed = caskbook("list", "--columns", "cask,supplier,parcel", "--format", "json", "--records", str(shop.root))
    assert json.loads(listed.stdout) == [{"cask": CASK, "supplier": None, "parcel": None}]
    report = caskbook("report", "stock", "--by", "supplier", "--records", str(shop.root))
    assert "northquay" not in report.stdout and "\n?         0  1" in report.stdout
    assert shop.codes() == []


@pytest.mark.parametrize("word", ["unknown", "?", "not known"])
def test_wood_maker_marks_and_past_too(shop: Shop, word: str) -> None:
    keys = {"wood": "european-oak", "maker": "Fenwick", "was": ["88-1207"], "prior": [{"contents": "bourbon", "fills": 1}]}
    shop.put({"date": days_ago(90), "job": "receive", "verdict": "accept"}, **keys)
    ran = shop.enter("correct", CASK, *(one for key in keys for one in (f"--{key}", word)), "--why", "another cask's", "--by", "ab", "--yes")
    assert ran.code == 0 and "wood european-oak → unknown, maker Fenwick → unknown, was 88-1207 → unknown, prior bourbon 1 → unknown" in ran.err + ran.out
    listed = caskbook("list", "--columns", "wood,maker,old_marks,fills_life", "--format", "json", "--records", str(shop.root))
    assert json.loads(listed.stdout) == [{"wood": None, "maker": None, "old_marks": [], "fills_life": None}]
    assert CASK not in caskbook("show", "was:unknown", "--records", str(shop.root)).stdout and shop.codes() == []
    for key in keys:
        ran = shop.enter("correct", CASK, f"--{key}", word, "--why", "w", "--by", "ab", "--yes")
        assert ran.code == 1 and f"{key} is unknown already" in ran.err, ran.err


def test_what_is_unknown_already_is_no_correction(shop: Shop) -> None:
    assert shop.enter("correct", CASK, "--supplier", "unknown", "--why", "w", "--by", "ab", "--yes").code == 0
    ran = shop.enter("correct", CASK, "--supplier", "unknown", "--why", "w", "--by", "ab", "--yes")
    assert ran.code == 1 and "supplier is unknown already" in ran.err


def test_a_new_cask_like_it_has_no_supplier_of_that_name(shop: Shop) -> None:
    assert shop.enter("correct", CASK, "--supplier", "unknown", "--why", "w", "--by", "ab", "--yes").code == 0
    ran = shop.enter("receive", "TH-004218", "accept", "--like", CASK, "--by", "ab", "--yes")
    assert ran.code == 0, ran.err
    made = yaml.safe_load(next(shop.root.glob("casks/*/TH-004218.yaml")).read_text())
    assert "supplier" not in made and made["parcel"] == "P-1"
