"""Gauging slips are named when the entry is made: a unit, a point, a gauge above the last."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from commands import caskbook

ROOT = Path(__file__).parents[2]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "records", tmp_path / "records", ignore=shutil.ignore_patterns(".caskbook"))
    return tmp_path


@pytest.mark.parametrize(
    ("fields", "code", "words"),
    [
        ("dip --wet-mm 41 --abv 59.4 --temp 12", 0, "did you mean cm?"),
        ("dip --litres 215 --abv 59.4 --temp 12", 0, "it held 124.7 L"),
        ("dip --litres 198 --abv 5.94 --temp 12", 1, "did you mean 59.4 %?"),
        ("dip --litres 198 --abv 59.4 --temp 145", 2, "did you mean 14.5 °C?"),
    ],
)
def test_the_likely_slip_is_named(book: Path, fields: str, code: int, words: str) -> None:
    # TH-004402 was last gauged on 2024-09-03: 124.7 litres of alcohol.
    done = caskbook("enter", "regauge", "TH-004402", *fields.split(), "--by", "ab", "--date", "2026-11-24", "--dry-run", cwd=book)
    assert done.returncode == code
    assert words in done.stderr


def test_a_fitting_gauge_is_not_remarked_on(book: Path) -> None:
    done = caskbook("enter", "regauge", "TH-004402", "dip", "--litres", "198", "--abv", "58.9", "--temp", "12", "--by", "ab",
                    "--date", "2026-11-24", "--dry-run", cwd=book)  # fmt: skip
    assert done.returncode == 0 and "did you mean" not in done.stderr
