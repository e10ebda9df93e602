"""A cask that is gauged again and again, of which no loss can be worked out: nobody can tell whether it leaks, and that is said."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop

RECEIVED = {"date": "2016-01-01", "job": "receive", "verdict": "accept", "berth": "W1/1"}
FILL = {"date": "2016-01-05", "job": "fill", "spirit": "malt", "litres": 195, "abv": 63.5, "temp_c": 20, "method": "weigh"}
DIP = {"job": "regauge", "wet_mm": 440, "abv": 63, "temp_c": 20, "method": "dip"}


def verdict(shop: Shop) -> Any:
    done = caskbook("due", "loss", "--all", "--as-of", "2024-02-01", "--format", "json", "--records", str(shop.root))
    assert done.returncode == 0, done.stderr
    (one,) = json.loads(done.stdout)
    return one


@pytest.mark.parametrize("index", ["", "off"])
def test_gauges_of_which_nothing_can_be_worked_out_are_unknown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path, HOUSE + "loss_table: {barrel: 2}\n")
    shop.put(RECEIVED, FILL)
    assert verdict(shop)["verdict"] == "ok"
    shop.put(RECEIVED, FILL, {**DIP, "date": "2018-01-05"}, {**DIP, "date": "2020-01-05", "wet_mm": 200})
    one = verdict(shop)
    assert one["verdict"] == "unknown" and one["reasons"][:2] == ["filled 2016-01-05", "gauged again, but no loss can be worked out"]
    assert "its inside is not known" in one["reasons"][2]
    shop.put(RECEIVED, FILL, {**DIP, "date": "2018-01-05"}, {"job": "regauge", "date": "2020-01-05", "litres": 180, "abv": 62, "temp_c": 20, "method": "weigh"})
    assert verdict(shop)["verdict"] == "ok"
