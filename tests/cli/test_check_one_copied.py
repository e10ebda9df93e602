"""A check of one cask looks for the file of which it is a copy, or that is one of it, with an index and without."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

pytestmark = pytest.mark.thorough

STORY = (
    {"date": days_ago(90), "job": "receive", "verdict": "accept"}, {"date": days_ago(89), "job": "examine", "verdict": "sound"},
    {"date": days_ago(80), "job": "note", "note": "x"},
)  # fmt: skip


def codes(shop: Shop, *casks: str) -> list[tuple[str, str]]:
    done = caskbook("check", *casks, "--format", "json", "--records", str(shop.root))
    return [(one["code"], one["cask"]) for one in json.loads(done.stdout)["findings"] if one["code"] == "copied-cask"]


@pytest.mark.parametrize("index", ["on", "none", "off"])
def test_a_copy_under_another_number_is_told_of_the_cask_that_is_checked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", "off" if index == "off" else "on")
    shop = Shop(tmp_path)
    shop.put(*STORY)
    shop.put({"date": days_ago(90), "job": "receive", "verdict": "accept", "id": "e2000001"}, cask="TH-004999")
    assert codes(shop, CASK) == []
    if index == "on":
        assert codes(shop) == []
    shop.put(*STORY, cask="TH-005001")
    if index == "on":
        assert codes(shop) == [("copied-cask", "TH-005001")]
    assert codes(shop, CASK) == [("copied-cask", CASK)]
    assert codes(shop, "TH-005001") == [("copied-cask", "TH-005001")]
    assert codes(shop, CASK, "TH-005001") == [("copied-cask", "TH-005001")]
    assert codes(shop, "TH-004999") == []
