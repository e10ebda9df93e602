"""The table of findings on a day asked about: what `check` says of that day; what lies in the future is told by the real one."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from commands import caskbook
from history.ledgers import EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, cask

from export.exports import commit, export

pytestmark = pytest.mark.thorough
REAL = datetime.now(UTC).date()
AHEAD = REAL + timedelta(days=90)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("name: Small House\n" + HOUSE)
    ahead = f"  - {{id: zzzz0001, date: {AHEAD}, job: note, by: ab, note: seen}}\n"
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text(cask(RECEIVED, EXAMINED, TESTED, FILLED, ahead))
    commit(root)
    return root


def found(folder: Path) -> list[tuple[str, str]]:
    """(code, severity) of each row."""
    parts = folder.glob("finding/*/*.jsonl")
    return sorted((row["code"], row["severity"]) for part in parts for row in map(json.loads, part.read_text().splitlines()))


def said(book: Path, day: date) -> list[tuple[str, str]]:
    done = caskbook("check", "--format", "json", "--notes", "--as-of", day.isoformat(), "--records", str(book))
    return sorted((row["code"], row["severity"]) for row in json.loads(done.stdout)["findings"])


@pytest.mark.parametrize("day", [date(2015, 3, 13), REAL, AHEAD + timedelta(days=30)])
def test_it_is_what_check_says_of_that_day(book: Path, tmp_path: Path, day: date) -> None:
    done = export(book, tmp_path / "lake", "jsonl", "--as-of", day.isoformat())
    assert done.returncode == 0, done.stderr
    rows = found(tmp_path / "lake")
    assert rows == said(book, day)
    assert [code for code, _ in rows].count("date-in-future") == 1
