"""Counts that are known to be at least so many, and counts that nobody can mean."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, HOUSE, Shop, days_ago

RECEIVED = {"date": days_ago(90), "job": "receive", "verdict": "accept"}
SOUND = {"job": "examine", "verdict": "sound"}


def card(shop: Shop) -> str:
    return next(line for line in caskbook("show", CASK, "--records", str(shop.root)).stdout.splitlines() if line.startswith("  fills"))


def test_wine_is_no_least_fill_of_spirit(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    wine = {**RECEIVED, "contents": "wine", "spirit": "oloroso", "litres": 190, "abv": 18}
    shop.put(wine, {"date": days_ago(80), "job": "empty", "litres": 189, "abv": 18, "at_20": True}, prior=None)
    assert "1 here" in card(shop) and "? of our spirits" in card(shop)


def test_a_short_fill_is_no_least_fill_since_char(tmp_path: Path) -> None:
    shop = Shop(tmp_path, HOUSE + "short_fill_days: 30\n")
    short = {"job": "fill", "spirit": "malt", "litres": 190, "abv": 63, "at_20": True}
    emptied = {"date": days_ago(80), "job": "empty", "litres": 189, "abv": 63, "at_20": True}
    again = {**short, "date": days_ago(70), "litres": 188}
    shop.put(RECEIVED, {**SOUND, "date": days_ago(88)}, {**short, "date": days_ago(87)}, emptied, {**SOUND, "date": days_ago(75)}, again, prior=None)
    assert "at least 1 since char" in card(shop) and "at least 2 of our spirits" in card(shop)


@pytest.mark.parametrize("index", ["on", "off"])
def test_a_count_that_nobody_can_mean_stops_no_other_cask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path)
    shop.put(RECEIVED, cask="TH-004218")
    inherited = dict.fromkeys(("fills_life", "fills_life_min", "fills_of_class", "fills_since_char", "fills_since_fire", "char_count"), 2**63 - 1)
    made = {"date": days_ago(90), "job": "made-from", "parents": [{"unnumbered": "x"}], "inherited": inherited}
    shop.put(made, {"date": days_ago(80), "job": "fill", "spirit": "malt", "litres": 100, "abv": 60, "at_20": True})
    for words in (("list",), ("due",), ("show", "TH-004218"), ("show", CASK), ("query", "select count(*) from cask"), ("check",)):
        ran = caskbook(*words, "--records", str(shop.root))
        assert ran.returncode == int(words in (("check",), ("show", CASK))) and "fault of the program" not in ran.stderr, ran.stderr
    assert "fills_life" in caskbook("check", CASK, "--records", str(shop.root)).stdout


def test_days_of_a_fill_are_a_whole_number_as_the_tables_say(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(RECEIVED, {"date": days_ago(80), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63, "at_20": True})
    ran = caskbook("query", "select days, typeof(days) as kind from fill", "--format", "json", "--records", str(shop.root))
    assert json.loads(ran.stdout) == [{"days": 80, "kind": "integer"}], ran.stdout
