"""Two ledgers side by side in which the same numbers stand for other casks, and what their files say, read again without the program."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import yaml
from commands import caskbook
from index.book import make_demo
from second.joined import untold
from second.ledger import told, write

DAY = "2026-06-30"
NORTH = {"name": "North", "due": {"rechar": {"due_at": 3}}, "fill_needs": "test"}
SOUTH = {"name": "South Side", "due": {"rechar": {"due_at": 6}, "nose": {"off": True}}}


class Two(NamedTuple):
    """The folders of both, and what the second fold tells of each: ledger → cask → facts, none of a cask that two files do not tell alike."""

    north: Path
    south: Path
    facts: Mapping[str, Mapping[str, Mapping[str, Any]]]

    @property
    def words(self) -> tuple[str, ...]:
        return "--records", str(self.north), "--records", str(self.south)


def two_random(folder: Path) -> Two:
    """Ledgers of random histories, which the second fold can tell."""
    found = {}
    for name, house, seed, many in (("North", NORTH, 5, 12), ("South-Side", SOUTH, 90, 9)):
        files = write(folder / name, house, seed, many, 14)
        found[name] = {cask: {} if untold(cask, files) else facts for cask, facts in told(files, house, date.fromisoformat(DAY)).items()}
    return Two(folder / "North", folder / "South-Side", found)


def two_demos(folder: Path, casks: tuple[int, int] = (60, 40)) -> Two:
    """Believable ledgers; of their casks nothing is told beside."""
    for name, house, many, seed in (("north", "North", casks[0], 3), ("south", "South Side", casks[1], 4)):
        rename(make_demo(folder / name, many, seed), house)
    return Two(folder / "north", folder / "south", {})


def rename(root: Path, name: str) -> None:
    """Give the house another name."""
    text = (root / "house.yaml").read_text(encoding="utf-8")
    (root / "house.yaml").write_text("\n".join(f"name: {name}" if line.startswith("name:") else line for line in text.split("\n")), encoding="utf-8")


def small(root: Path, name: str | None, more: str = "") -> Path:
    """A ledger without casks."""
    (root / "casks").mkdir(parents=True)
    (root / "house.yaml").write_text((f"name: {name}\n" if name else "") + "timezone: UTC\ncrew: [{initials: ab}]\n" + more, encoding="utf-8")
    return root


def files_of(root: Path) -> dict[str, dict[str, Any]]:
    """Number → what its file says, read by another reader of YAML; the heads of the demo are never corrected unless said."""
    return {path.stem: yaml.safe_load(path.read_text(encoding="utf-8")) for path in sorted(root.glob("casks/*/*.yaml"))}


def asked(*words: str, code: int = 0) -> str:
    """What a command prints, on the day of these books."""
    done = caskbook(*words, "--as-of", DAY)
    assert done.returncode == code, done.stderr
    return done.stdout


def rows(*words: str) -> list[dict[str, Any]]:
    """The same as JSON."""
    found = json.loads(asked(*words, "--format", "json"))
    assert isinstance(found, list)
    return found


def csv_rows(*words: str) -> list[dict[str, str]]:
    """The same as CSV."""
    return list(csv.DictReader(io.StringIO(asked(*words, "--format", "csv"))))


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Two:
    """Two ledgers of random lives, whose houses differ."""
    return two_random(tmp_path_factory.mktemp("random"))


@pytest.fixture(scope="module")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Two:
    """Two invented ledgers."""
    return two_demos(tmp_path_factory.mktemp("demos"))
