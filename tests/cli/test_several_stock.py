"""`report stock` of several ledgers: counted again from the second fold, each cask by the limit of its own house, a line for each ledger."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from two_ledgers import DAY, Two, asked, csv_rows, small
from two_ledgers import both as both
from two_ledgers import demos as demos

pytestmark = pytest.mark.thorough


def stock(*words: str) -> dict[str, Any]:
    found = json.loads(asked("report", "stock", *words, "--format", "json"))
    assert isinstance(found, dict)
    return found


def table(found: dict[str, Any], by: str) -> dict[str, dict[str, Any]]:
    (one,) = (one for one in found["tables"] if one["by"] == by)
    return {row["name"]: row for row in one["rows"]}


def test_casks_by_state_and_by_ledger_are_those_of_the_second_fold(both: Two) -> None:
    found = stock(*both.words)
    states = Counter(facts.get("state") or "?" for casks in both.facts.values() for facts in casks.values())
    assert {name: row["casks"] for name, row in table(found, "state").items()} == {name: n for name, n in states.items() if name != "gone"}
    kept = {name: sum(facts.get("state") != "gone" for facts in casks.values()) for name, casks in both.facts.items()}
    assert {name: row["casks"] for name, row in table(found, "ledger").items()} == kept and found["casks"] == sum(kept.values())
    assert found["ledgers"] == {name: {"casks": kept[name], "listed": len(casks)} for name, casks in both.facts.items()}


def test_each_cask_is_held_against_the_limit_of_its_own_house(both: Two) -> None:
    found, kinds = stock(*both.words), table(stock(*both.words), "type")
    parts = [stock("--records", str(root)) for root in (both.north, both.south)]
    assert [limit["barrel"]["due_at"] for limit in found["limits"].values()] == [3, 6]
    for kind, row in kinds.items():
        own = [table(part, "type")[kind] for part in parts if kind in table(part, "type")]
        assert (row["casks"], row["at_limit"], row["with_limit"]) == tuple(sum(one[what] for one in own) for what in ("casks", "at_limit", "with_limit")), kind
    assert [row["at_limit"] for row in table(found, "ledger").values()] == [part["tables"][0]["total"]["at_limit"] for part in parts]
    assert parts[0]["tables"][0]["total"]["at_limit"] > 0
    assert table(found, "type")["barrel"]["since_char"].keys() == {*map(str, range(6)), "6+"}, "the columns reach to the highest limit of any house"


def test_limits_that_differ_are_said_and_none_is_shown_as_of_all(both: Two) -> None:
    text = asked("report", "stock", *both.words)
    (barrel,) = (line for line in text.split("\n") if line.startswith("barrel "))
    assert " differs " in barrel
    told = " ".join(text.split())
    assert "limit: due.rechar.due_at North: 3, 2 after a re-char; South-Side: 6, 2 after a re-char" in told
    limits = {row["name"]: row["limit"] for row in csv_rows("report", "stock", "--by", "type", *both.words) if row["by"] == "type"}
    assert limits["barrel"] == "North 3, South-Side 6"


def test_settings_that_differ_are_told_of_each(demos: Two, tmp_path: Path) -> None:
    house = (demos.south / "house.yaml").read_text(encoding="utf-8")
    same = " ".join(asked("report", "stock", *demos.words, "--explain").split())
    assert "fills of malt/grain/whisky" in same and "setting: count_prior true, short_fill_days" in same and "by house" not in same
    changed = "\n".join("class_of_spirit: [rum]" if line.startswith("class_of_spirit:") else line for line in house.split("\n"))
    try:
        (demos.south / "house.yaml").write_text(changed, encoding="utf-8")
        told = " ".join(asked("report", "stock", *demos.words, "--explain").split())
        settings = stock(*demos.words)["settings"]
    finally:
        (demos.south / "house.yaml").write_text(house, encoding="utf-8")
    assert "fills of the class of each house" in told and "class_of_spirit: North malt/grain/whisky, South-Side rum" in told
    assert "class_of_spirit North: malt, grain, whisky; South-Side: rum" in told
    assert settings["North"]["class_of_spirit"] == ["malt", "grain", "whisky"] and settings["South-Side"]["class_of_spirit"] == ["rum"]


def test_every_table_adds_up_to_what_each_ledger_tells(demos: Two) -> None:
    for by in ("store", "age", "marks", "supplier", "rechars"):
        whole = table(stock("--by", by, *demos.words), by)
        parts = [table(stock("--by", by, "--records", str(root)), by) for root in (demos.north, demos.south)]
        added = Counter[str]()
        for part in parts:
            added.update({name: row["casks"] for name, row in part.items()})
        assert {name: row["casks"] for name, row in whole.items()} == added, by
    ledger = asked("report", "stock", "--by", "ledger", *demos.words)
    assert ledger.startswith(f"stock on {DAY}, by ledger and fills since char\n100 casks in 2 ledgers: ")


def test_filters_are_of_all_and_one_ledger_has_no_such_table(demos: Two) -> None:
    found = stock("--type", "barrel", *demos.words)
    assert set(table(found, "type")) == {"barrel"} and set(table(found, "ledger")) == {"North", "South-Side"}
    assert "ledger" not in {row["by"] for row in csv_rows("report", "stock", "--records", str(demos.north))}
    done = caskbook("report", "stock", "--by", "ledger", "--records", str(demos.north))
    assert done.returncode == 2 and "parcel or supplier" in done.stderr
    none = caskbook("report", "stock", "--store", "nowhere", *demos.words)
    assert none.stderr.count("no cask here fits") == 1 and "no casks" in none.stdout


def test_a_ledger_without_casks_counts_as_one_of_none(demos: Two, tmp_path: Path) -> None:
    found = stock("--records", str(demos.north), "--records", str(small(tmp_path / "new", "New")))
    assert table(found, "ledger")["New"]["casks"] == 0 and found["listed"] == 60
