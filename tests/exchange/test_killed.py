"""Killed at any moment, an import of a register leaves all of its casks or none; and the next command finds a whole book."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from commands import caskbook

from exchange.houses import answer, files, house
from exchange.messy import MAP, register

pytestmark = pytest.mark.thorough


def started(folder: Path) -> subprocess.Popen[bytes]:
    words = [sys.executable, "-m", "caskbook", "import", "register", "old.csv", "--map", "map.yaml", "--yes"]
    return subprocess.Popen(words, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


@pytest.mark.parametrize("moments", [14, pytest.param(100, marks=pytest.mark.slow)])
def test_killed_at_any_moment_it_leaves_all_or_none(tmp_path: Path, moments: int) -> None:
    made = register(160, seed=9, faults=1)
    house(tmp_path / "whole")
    (tmp_path / "whole" / "old.csv").write_text(made.csv())
    (tmp_path / "whole" / "map.yaml").write_text(MAP)
    begun = time.monotonic()
    assert started(tmp_path / "whole").wait() == 1
    span = time.monotonic() - begun
    whole, dice, seen = files(tmp_path / "whole"), random.Random(4), list[bool]()
    early, late = 0.0, span  # Between the last moment at which nothing was there and the first at which all was, it writes.
    for number in range(moments):
        folder = house(tmp_path / str(number))
        (folder / "old.csv").write_text(made.csv())
        (folder / "map.yaml").write_text(MAP)
        running = started(folder)
        moment = dice.uniform(0.8 * early, 1.2 * late)
        time.sleep(moment)
        os.kill(running.pid, signal.SIGKILL)
        running.wait()
        json.loads(caskbook("list", "--format", "json", cwd=folder).stdout or "[]")  # completes what had been committed
        found = files(folder)
        assert found in ({}, whole), number
        assert not (folder / "records" / ".pending" / "journal.json").exists()
        seen.append(bool(found))
        early, late = (min(early, moment), moment) if found else (moment, max(late, moment))
        if found and number % 10:  # All is there; of some of these too it is tried that a second run finds it so.
            continue
        again = answer(folder, made.csv(), MAP, "--yes")
        assert files(folder) == whole and again["written"] + again["already_there"] == len(whole)
        if not found:  # Then it wrote itself, and swept away what was prepared and never put in place.
            assert not (folder / "records" / ".pending").exists() and not list((folder / "records").rglob("*.tmp"))
    assert {True, False} <= set(seen), "none of the moments fell on both sides of the writing"


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_stopped_it_says_what_is_written(tmp_path: Path, number: signal.Signals) -> None:
    house(tmp_path)
    (tmp_path / "old.csv").write_text(register(9000, seed=9, faults=1).csv())
    (tmp_path / "map.yaml").write_text(MAP)
    words = [sys.executable, "-m", "caskbook", "import", "register", "old.csv", "--map", "map.yaml", "--yes"]
    running = subprocess.Popen(words, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(0.8)  # of some four seconds
    running.send_signal(number)
    _, err = running.communicate()
    assert running.returncode == 128 + number and err.splitlines()[-1].startswith("caskbook: "), err
    assert ("nothing written" in err) == (files(tmp_path) == {})
