"""A day gone by is told, and planned from, as if the book ended on it: of what it has of later days only what is put out of force counts."""

from __future__ import annotations

import json
import random
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook
from index.book import without_index
from index.test_past_days import filled, put_plainly
from second.compare import CREW
from second.histories import HOUSES
from second.later_entries import DATED, cut, put_right
from second.ledger import write

LAST = "2026-11-28"
DUE = "SELECT cask, rule, verdict, since, well_past, reasons, decided, changes_on FROM due ORDER BY 1, 2"
FULL = (
    ev("2019-01-02", "receive", verdict="accept"),
    ev("2019-01-03", "examine", verdict="sound"),
    ev("2019-01-04", "fill", spirit="malt", litres=190, abv=63, at_20=True),
)
EMPTY = ev("2021-06-11", "empty", id="g0000001", litres=180, abv=62, at_20=True)
AGAIN = {**EMPTY, "id": "g0000002", "litres": 181, "replaces": "g0000001", "why": "misread"}
PLAN = ("plan", "--from", "today", "--weeks", "4")


def book(root: Path, house: dict[str, Any], files: list[dict[str, Any]]) -> Path:
    root.mkdir(parents=True)
    (root / "house.yaml").write_text(yaml.safe_dump({**house, "timezone": "UTC", **CREW}), encoding="utf-8")
    for data in files:
        put_plainly(root, data)
    return root


def asked(root: Path, day: str, *words: str) -> Any:
    done = caskbook(*words, "--format", "json", "--as-of", day, "--records", str(root))
    assert done.returncode in (0, 1) and done.stdout, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("house", [DATED, {}])
def test_an_emptying_of_a_later_day_that_was_put_right_is_not_planned_with(tmp_path: Path, house: dict[str, Any]) -> None:
    root, day, tip = book(tmp_path / "book", house, [cask_data(*FULL, EMPTY, AGAIN)]), "2021-06-07", ("TH-004217", "--tip", "2021-06-20")
    assert {row["rule"]: row["changes_on"] for row in asked(root, day, "query", DUE) if row["changes_on"]} == {"regauge": "2023-12-05"}
    assert asked(root, day, *PLAN)["jobs"] == []
    found = asked(root, day, PLAN[0], *tip, *PLAN[1:])
    assert found["refused"] == [] and {(job["job"], job["due"]) for job in found["jobs"]} == {("examine", "2021-06-20")}


@pytest.mark.thorough
@pytest.mark.parametrize("seed", [2, 3])
def test_a_day_gone_by_is_told_as_if_the_book_ended_on_it(tmp_path: Path, seed: int) -> None:
    """Random casks, of several files too; entries of any of them are put right on any day."""
    dice = random.Random(seed)
    house = {**dice.choice(HOUSES), "coopers": 2, "hours_a_week": 30, **DATED}
    files = [*write(tmp_path / "files", house, seed, 3, 40).values(), *filled(dice)]
    for data in files:
        put_right(dice, data, dice.randint(0, 5))
        data["events"] = [entry for entry in data["events"] if str(entry["date"]) <= LAST]
    whole = book(tmp_path / "whole", house, files)
    for n in range(2):
        on = date(2016, 1, 1) + timedelta(dice.randint(0, 3300))
        day, short = str(on), book(tmp_path / f"cut{n}", house, [cut(data, on) for data in files])
        full = [row["cask"] for row in asked(short, day, "list", "--where", "contents = 'spirit' and whereabouts = 'here' and state = 'filled'")]
        tips = [("plan", *full, "--tip", str(on + timedelta(30)), "--from", "today", "--weeks", "12")] if full else []
        for words in [
            ("query", DUE),
            ("query", "SELECT * FROM cask ORDER BY cask"),
            (*PLAN[:-1], "26"),
            *tips,
            ("ready",),
            ("report", "retirement"),
            ("report", "outlook"),
        ]:
            told = asked(whole, day, *words)
            assert told == asked(short, day, *words), (seed, day, words)
            if words[0] in ("query", "plan"):
                with without_index():
                    assert told == asked(whole, day, *words), (seed, day, words)
