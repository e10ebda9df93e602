"""An entry put right or preceded again and again never gets an id that is none."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

from caskbook.model.ids import is_id
from entry.shop import CASK, Shop

LONGEST = "gqwkm26g" + "y" * 55
CAME = {"date": "2026-01-05", "job": "receive", "verdict": "accept"}


@pytest.mark.parametrize("words", [("--replaces", LONGEST, "--why", "slip"), ("--before", "gqwkm9zz", "--date", "2026-02-05")])
def test_behind_the_longest_id_there_is_a_short_one(tmp_path: Path, words: tuple[str, ...]) -> None:
    house = Shop(tmp_path)
    noted = [{"date": "2026-02-05", "job": "note", "note": "a", "id": one} for one in (LONGEST, "gqwkm9zz")]
    house.put(CAME, *noted)
    done = caskbook("enter", "note", CASK, "--note", "b", *words, "--by", "ab", "--yes", "--records", str(house.root))
    assert done.returncode == 0, done.stderr
    made = house.data()["events"][2]
    assert made["note"] == "b" and is_id(made["id"]) and LONGEST < made["id"] < "gqwkm9zz" and len(made["id"]) < 20
    assert house.codes() == []
