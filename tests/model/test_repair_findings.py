"""An examination that calls for repair says what is to be repaired: else nobody could tell when that is done."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import HOUSE, cask_data, ev
from entry.shop import Shop, days_ago

from caskbook.life import live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import read_cask

READY = (ev("2020-01-01", "receive", verdict="accept"),)
PASS = ev("2020-01-03", "test", psi=10, result="pass")
CRACK = [{"at": "stave-4", "defect": "cracked", "severity": 2}]


def facts_on(day: str, *events: dict[str, Any]) -> Facts:
    cask, _ = read_cask(cask_data(*events))
    return facts_of(live(cask, HOUSE, date.fromisoformat(day)))


@pytest.mark.parametrize(
    ("fields", "fitness"),
    [
        ({"verdict": "repair"}, "unexamined"),
        ({"verdict": "repair", "findings": []}, "unexamined"),
        ({"verdict": "repair", "findings": CRACK}, "repair"),
        ({"verdict": "sound"}, "ready"),
    ],
)
def test_a_pass_makes_no_cask_ready_that_wants_a_repair_nobody_named(fields: dict[str, Any], fitness: str | None) -> None:
    found = facts_on("2020-01-05", *READY, ev("2020-01-02", "examine", **fields), PASS)
    assert (found.fitness, found.open_defects is None) == (fitness, fitness == "unexamined")


def test_until_it_is_put_right_nobody_can_tell_whether_it_is_ready() -> None:
    """As beside any entry that cannot be read whole; `check` says what is lacking."""
    later = ev("2020-01-03", "examine", verdict="sound"), {**PASS, "date": "2020-01-04"}
    assert facts_on("2020-01-05", *READY, ev("2020-01-02", "examine", verdict="repair"), *later).fitness is None


@pytest.mark.thorough
def test_it_is_an_error_in_the_book_and_refused_where_it_is_entered(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put({"date": days_ago(9), "job": "receive", "verdict": "accept"}, {"date": days_ago(8), "job": "examine", "verdict": "repair"})
    assert "missing-field" in shop.codes()
    other = Shop(tmp_path / "other")
    other.put({"date": days_ago(9), "job": "receive", "verdict": "accept"})
    for words in ((), ("--findings", "none")):
        ran = other.enter("examine", "TH-004217", "repair", *words, "--by", "ab", "--yes")
        assert ran.code != 0 and "findings" in ran.err, ran
