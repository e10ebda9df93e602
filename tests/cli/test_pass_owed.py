"""What was done to a full cask comes back when it is emptied: at the installed command."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook

FULL = [
    ev("2020-01-10", "receive", verdict="accept"), ev("2020-01-11", "examine", verdict="sound"), ev("2020-01-12", "test", psi=11, result="pass"),
    ev("2020-01-15", "fill", spirit="malt", litres=190.0, abv=63.5, at_20=True),
]  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    assert caskbook("init", str(root)).returncode == 0
    return root


def put(root: Path, *events: dict[str, Any]) -> None:
    path = root / "casks" / "TH-004" / "TH-004217.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.safe_dump(json.loads(json.dumps(cask_data(*events))), sort_keys=False))


def test_a_cask_bored_while_full_is_not_filled_again_untested(book: Path) -> None:
    put(
        book,
        *FULL,
        ev("2020-02-02", "bung", action="rebore"),
        ev("2024-01-15", "empty", litres=170.0, abv=61.0, at_20=True),
        ev("2024-01-16", "examine", verdict="sound"),
    )
    words = ["fill", "TH-004217", "--spirit", "malt", "--litres", "190", "--abv", "63.5", "--temp", "12", "--by", "ab", "--date", "2024-01-17", "--yes"]
    run = subprocess.run([sys.executable, "-m", "caskbook", "enter", *words, "--records", str(book)], capture_output=True, text=True, check=False)
    assert run.returncode == 1 and "nothing written" in run.stdout + run.stderr
    assert "not proved tight" in run.stdout + run.stderr
    due = json.loads(caskbook("due", "retest", "--as-of", "2024-01-17", "--format", "json", "--records", str(book)).stdout)
    assert [(row["verdict"], row["since"], row["reasons"]) for row in due] == [
        ("due", "2024-01-15", ["bung hole worked on 2020-02-02: no pass since; test before it is filled"])
    ]


def test_no_years_are_told_of_a_spirit_under_wine(book: Path) -> None:
    put(book, *FULL, ev("2021-01-15", "season", wine="oloroso", litres=20.0))
    shown = json.loads(caskbook("show", "TH-004217", "--as-of", "2022-01-15", "--format", "json", "--records", str(book)).stdout)
    asked = caskbook(
        "query", "select state, in_this_cask_years years, years_in_wood wood from cask", "--as-of", "2022-01-15", "--format", "json", "--records", str(book)
    )
    assert (shown["state"], shown["in_this_cask_years"], shown["years_in_wood"]) == ("seasoning", None, 2.001)
    assert json.loads(asked.stdout) == [{"state": "seasoning", "years": None, "wood": 2.001}]
