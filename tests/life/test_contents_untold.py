"""What was in a cask where nobody told it: unknown stays unknown, also of one that is gone."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_data, ev, facts_on
from commands import caskbook
from entry.shop import Shop, days_ago

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import read_cask

SOLD = ev("2020-02-01", "dispose", how="sold")


def received(**fields: Any) -> dict[str, Any]:
    return ev("2020-01-10", "receive", verdict="accept", **fields)


@pytest.mark.parametrize(
    ("events", "contents", "state"),
    [
        ((received(source="register"), {**SOLD, "source": "register"}), None, "gone"),
        ((received(source="register"), ev("2020-01-11", "note", note="x"), {**SOLD, "source": "register"}), None, "gone"),
        ((received(source="register"), ev("2020-01-11", "examine", verdict="sound"), SOLD), "empty", "gone"),
        ((received(source="register", contents="empty"), SOLD), "empty", "gone"),
        ((received(), SOLD), "empty", "gone"),
        ((received(contents="unknown"), SOLD), None, "gone"),
        ((received(contents="unknown"),), None, None),
        ((received(contents="unknown"), ev("2020-01-20", "empty", litres=0.0)), "empty", "emptied"),
        ((received(contents="unknown"), ev("2020-01-20", "empty", litres=0.0), SOLD), "empty", "gone"),
        ((received(source="register"),), "empty", "unexamined"),
    ],
)
def test_what_nobody_told_is_unknown_until_an_entry_tells_it(events: tuple[dict[str, Any], ...], contents: str | None, state: str | None) -> None:
    facts = facts_on("2020-03-01", *events)
    assert (facts.contents, facts.spirit, facts.state) == (contents, None, state)


@pytest.mark.parametrize(
    ("fields", "broken"),
    [
        ({"contents": "empty", "spirit": "malt"}, True),
        ({"contents": "empty", "litres": 190}, True),
        ({"contents": "empty", "abv": 60}, True),
        ({"contents": "empty", "oak_since": date(2015, 1, 1)}, True),
        ({"litres": 190, "abv": 60}, True),
        ({"contents": "empty", "litres": 0}, False),
        ({"contents": "empty", "residue_l": 2}, False),
        ({"contents": "spirit", "spirit": "malt", "litres": 190, "abv": 60}, False),
        ({"spirit": "malt", "litres": 190}, False),
    ],
)
def test_what_is_told_of_liquor_beside_a_cask_said_to_be_empty_leaves_its_contents_unknown(fields: dict[str, Any], broken: bool) -> None:
    cask, faults = read_cask(cask_data(received(**fields), ev("2020-01-11", "examine", verdict="sound"), ev("2020-01-12", "test", psi=10, result="pass")))
    assert cask is not None and [fault.code for fault in faults] == (["fields-disagree" if "contents" in fields else "missing-field"] if broken else [])
    if broken:
        facts = facts_of(live(cask, HOUSE, date(2020, 1, 20)))
        assert (facts.contents, facts.spirit, facts.fills, facts.state, facts.wine_held) == (None, None, None, None, None)


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_such_a_receipt_is_told_by_check_refused_at_entry_and_ready_nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path)
    shop.put(
        {"date": days_ago(9), "job": "receive", "verdict": "accept", "contents": "empty", "spirit": "malt", "litres": 190},
        {"date": days_ago(8), "job": "examine", "verdict": "sound"},
        {"date": days_ago(8), "job": "test", "psi": 10, "result": "pass"},
    )
    assert shop.codes() == ["fields-disagree"]
    assert json.loads(caskbook("list", "--columns", "state,contents,fitness", "--format", "json", cwd=shop.root).stdout) == [
        {"state": None, "contents": None, "fitness": None}
    ]
    assert "TH-004217 is told in part" in caskbook("ready", cwd=shop.root).stderr
    ran = shop.enter("receive", "TH-004300", "accept", "--type", "barrel", "--capacity", "200", "--litres", "190", "--abv", "60", "--by", "ab", "--yes")
    assert ran.code != 0 and not shop.path("TH-004300").exists(), ran.err
