"""A due list says which rules the house has switched off: what is not due by them nobody has looked at."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import HOUSE, Shop, days_ago

OFF = "due: {retest: {'off': true}, nose: {'off': [{since: 2020-01-01, value: true}, {since: 2021-01-01, value: false}]}}\ntypes: {butt: {due: {hold: {'off': true}}}}\n"


@pytest.mark.parametrize("index", ["", "off"])
@pytest.mark.parametrize(
    ("house", "words", "told"),
    [
        (OFF, [], "off in house.yaml: retest, hold of butt"),
        (OFF, ["--as-of", "2020-06-01"], "off in house.yaml: retest, nose, hold of butt"),
        (OFF, ["hold", "examine"], "off in house.yaml: hold of butt"),
        (OFF, ["examine"], ""),
        ("", [], ""),
    ],
)
def test_the_head_of_the_list_names_the_rules_that_are_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str, house: str, words: list[str], told: str
) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    shop = Shop(tmp_path, HOUSE + house)
    shop.put({"date": days_ago(3000), "job": "receive", "verdict": "accept"})
    for _ in range(2):  # The index remembers it.
        head = caskbook("due", *words, cwd=shop.root).stdout.partition("\n")[0]
        assert head.endswith(told) and ("off in house.yaml" in head) is bool(told), head
