"""Numbers of staves and pieces are given once: what is replaced by fewer or more leaves the others theirs, and 14b is the second of two that replaced 14."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from entry.shop import CASK, Shop

CAME = [{"date": "2026-01-05", "job": "receive", "verdict": "accept"}, {"date": "2026-01-06", "job": "open", "heads": ["A", "B"]}]
ONE_FOR_TWO = {"date": "2026-01-07", "job": "stave", "staves": [13, 14], "action": "replace", "from": "new", "staves_after": 30}
TWO_FOR_ONE = {"date": "2026-01-07", "job": "stave", "staves": [14], "action": "replace", "from": "new", "staves_after": 32}
SAME = {"date": "2026-01-07", "job": "stave", "staves": [14, "14b"], "action": "replace", "from": "new"}
COUNTED = {"date": "2026-01-08", "job": "measure", "staves": 32}
JOINTED = {"date": "2026-01-07", "job": "stave", "staves": [14], "action": "rejoint", "staves_after": 30}
FEWER_PIECES = {"date": "2026-01-07", "job": "head", "head": "B", "action": "piece", "which": [2, 3], "from": "new", "pieces_after": 4}
MORE_PIECES = {"date": "2026-01-07", "job": "head", "head": "B", "action": "piece", "which": [2], "from": "new", "pieces_after": 6}
NEW_HEAD = {"date": "2026-01-07", "job": "head", "head": "B", "action": "replace", "from": "new", "pieces_after": 4}


def told(folder: Path, at: str, *events: dict[str, Any]) -> list[str]:
    """The codes that name a place that the cask does not have."""
    house = Shop(folder)
    house.put(*CAME, *events, {"date": "2026-01-09", "job": "flag", "at": [at]})
    return [code for code in house.codes() if code.startswith("no-such")]


@pytest.mark.parametrize(("at", "events", "there"), [
    ("stave-31", [ONE_FOR_TWO], True), ("joint-31", [ONE_FOR_TWO], True), ("croze-A-31", [ONE_FOR_TWO], True), ("stave-32", [ONE_FOR_TWO], False), ("stave-32", [TWO_FOR_ONE], False),
    ("stave-14b", [TWO_FOR_ONE], True), ("stave-31", [TWO_FOR_ONE], True), ("stave-32", [TWO_FOR_ONE, COUNTED], True), ("stave-31", [ONE_FOR_TWO, TWO_FOR_ONE], True),
    ("stave-32", [ONE_FOR_TWO, TWO_FOR_ONE], False), ("stave-31", [JOINTED], False), ("stave-14b", [], False), ("stave-14b", [SAME], True), ("stave-13b", [SAME], False),
    ("head-B-5", [FEWER_PIECES], True), ("head-B-joint-4", [FEWER_PIECES], True), ("head-B-6", [FEWER_PIECES], False), ("head-B-6", [MORE_PIECES], True),
    ("head-B-5", [NEW_HEAD], False), ("head-B-5", [FEWER_PIECES, NEW_HEAD], False), ("head-A-5", [FEWER_PIECES], True),
])  # fmt: skip
def test_a_number_stays_with_its_part(tmp_path: Path, at: str, events: list[dict[str, Any]], there: bool) -> None:
    assert (told(tmp_path, at, *events) == []) is there


def test_what_is_told_of_them_goes_by_their_numbers(tmp_path: Path) -> None:
    house = Shop(tmp_path)
    records = ("--records", str(house.root))
    closed = {"date": "2026-01-08", "job": "close", "heads": ["A", "B"]}
    house.put(*CAME, ONE_FOR_TWO, closed)
    failed = ("enter", "test", CASK, "fail", "--psi", "9", "--leaks", "stave-31", "--by", "ab", "--date", "2026-01-09", "--yes", *records)
    assert caskbook(*failed).returncode == 0 and house.codes() == []
    shown = caskbook("show", CASK, "--map", *records).stdout
    assert "31!" in shown and "stave-31 2026-01-09" in shown and house.facts().staves == 30
    refused = caskbook("enter", "leak", CASK, "--at", "stave-20b", "--severity", "weep", "--by", "ab", "--yes", *records)
    assert refused.returncode == 1 and "stave 20 was not replaced in this cask" in refused.stderr and "write stave-20" in refused.stderr
