"""Two folds of one life: caskbook's, and a second one written from the contract alone, must tell the same of any lawful history."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import laws
import pytest

from caskbook.life import corrections
from second.compare import WORD, days_of, differences, read
from second.corrections import standing
from second.histories import HOUSES, LAST, file_store, history
from second.joined import joined_to, untold
from second.ledger import told, write

NAME, OTHERS = "TH-004217", ["TH-004218", "TH-004219"]


def alone(seed: int, days: int) -> int:
    """Compare one random history on so many days, its own and those at the limits; how many comparisons were made."""
    dice = random.Random(seed)
    house = dice.choice(HOUSES)
    data = history(dice, NAME, OTHERS, house, dice.randint(5, 40))
    asked = dice.sample(days_of(data, LAST), days)
    for day in asked:
        assert differences(data, house, day) == {}, (seed, day, house, data)
    return len(asked)


def together(seed: int, days: int) -> int:
    """The same of three casks that rack, move and join."""
    dice = random.Random(seed)
    house = dice.choice(HOUSES)
    files = file_store(dice, house, 20)
    for name, data in files.items():
        joined = [files[old] for old in joined_to(name, files)]
        for day in dice.sample(days_of(data, LAST), days):
            assert differences(data, house, day, joined) == {}, (seed, name, day, house, files)
    return days * len(files)


def test_both_tell_the_same_of_random_lives() -> None:
    assert sum(alone(seed, 4) for seed in range(25)) == 100


@pytest.mark.thorough
def test_both_tell_the_same_of_casks_that_rack_move_and_join() -> None:
    assert sum(together(seed, 3) for seed in range(10)) == 90


@pytest.mark.slow
def test_both_tell_the_same_of_thousands_of_lives() -> None:
    assert sum(alone(seed, 8) for seed in range(100_000, 104_000)) == 32_000


@pytest.mark.slow
def test_both_tell_the_same_of_a_thousand_shelves() -> None:
    assert sum(together(seed, 4) for seed in range(100_000, 101_000)) == 12_000


def answer(root: Path, *words: str) -> list[dict[str, Any]]:
    """What the installed command answers in JSON."""
    run = subprocess.run(
        [sys.executable, "-m", "caskbook", *words, "--records", str(root), "--format", "json"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "CASKBOOK_INDEX": "on"},
    )
    assert run.returncode == 0, run.stderr
    found: list[dict[str, Any]] = json.loads(run.stdout)
    return found


def by_command(root: Path, files: dict[str, Any], house: dict[str, Any], day: date) -> None:
    listed = {row["cask"]: row for row in answer(root, "list", "--columns", "all", "--as-of", str(day))}
    spoken = {(row["cask"], row["rule"]): row for row in answer(root, "due", "--all", "--as-of", str(day))}
    mine = told(files, house, day)
    assert set(listed) == set(mine)
    for name, facts in mine.items():
        dues = facts.pop("due")
        if untold(name, files):
            assert all(listed[name][one] is None for one in ("state", "fitness", "contents", "fills")), (name, day)
            assert not {"ok", "soon"} & {row["verdict"] for (cask, _), row in spoken.items() if cask == name and not row["decided"]}, (name, day)
            continue
        row = {**listed[name], "marks": sorted(listed[name]["marks"]), "joined": sorted(listed[name]["joined"])}
        if facts["state"] == "gone":
            del facts["test_needed"]
        assert {key: row[key] for key in facts} == facts, (name, day)
        told_due = {rule: spoken.get((name, rule), {"verdict": "ok", "decided": None}) for rule in dues}
        assert {r: WORD.get(v["verdict"], "no") for r, v in told_due.items() if not v["decided"]} == {
            r: dues[r] for r, v in told_due.items() if not v["decided"]
        }, (name, day)


@pytest.mark.thorough
@pytest.mark.parametrize("folder_stamps", [3, pytest.param(200, marks=pytest.mark.slow)])
def test_the_command_tells_the_same_of_a_ledger(folder_stamps: int, tmp_path: Path) -> None:
    files = write(tmp_path / "book", HOUSES[0], 7000, folder_stamps, 20 if laws.full else 12)
    for day in (LAST, date(2016, 2, 29), date(2015, 7, 1)) if laws.full else (date(2016, 2, 29),):
        by_command(tmp_path / "book", files, HOUSES[0], day)


def tangle(dice: random.Random, length: int) -> list[dict[str, Any]]:
    """Moves of a cask, and voids, replacements and moves to another file of whatever came before, of each other too."""
    events = [{"id": "e0000000", "date": "2020-01-01", "job": "receive", "by": "ab", "verdict": "accept"}]
    for n in range(1, length):
        plain = {"id": f"e{n:07d}", "date": "2020-01-02", "by": "ab"}
        target = dice.choice(events)["id"]
        kind = dice.choice(["new", "void", "void", "moved", "replaces", "replaces", "replaces"]) if n > 2 else "new"
        events.append({
            "new": {**plain, "job": "move", "berth": f"W1/{n}"}, "void": {**plain, "job": "void", "of": target, "why": "x"},
            "moved": {**plain, "job": "moved", "of": target, "to": OTHERS[0], "why": "x"}, "replaces": {**plain, "job": "move", "berth": f"W1/{n}", "replaces": target, "why": "x"},
        }[kind])  # fmt: skip
    return events


def told_apart(seed: int) -> None:
    dice = random.Random(seed)
    events = tangle(dice, dice.randint(4, 12))
    fallen = corrections(read({"cask": NAME, "format": 1, "type": "barrel", "events": events}).events).fallen
    assert [e["id"] for e in events if e["id"] not in fallen] == [e["id"] for e in sorted(standing(events), key=lambda e: e["id"])], (seed, events)


@pytest.mark.parametrize("until", [300, pytest.param(30_000, marks=pytest.mark.slow)])
def test_both_let_the_same_entries_stand(until: int) -> None:
    for seed in range(until):
        told_apart(seed)


@pytest.mark.slow
def test_the_lives_hold_every_job() -> None:
    jobs: Counter[str] = Counter()
    for seed in range(150):
        files = file_store(random.Random(seed), HOUSES[0], 25)
        jobs.update(e["job"] for data in files.values() for e in data["events"])
    assert len(jobs) == 54
