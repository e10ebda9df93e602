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


@pytest.mark.parametrize(
    ("temp", "told"), [("98.6F", "98.6 F = 37 °C: -5 to 35 is usual"), ("37", "did you mean °F?"), ("140F", "140 F = 60 °C cannot be: -20 to 40 °C")]
)
def test_who_types_a_unit_is_not_asked_whether_it_was_meant(book: Path, temp: str, told: str) -> None:
    words = ("dip", "--litres", "198", "--abv", "58.9", "--temp", temp, "--by", "ab", "--date", "2026-11-24", "--dry-run")
    done = caskbook("enter", "regauge", "TH-004402", *words, cwd=book)
    assert done.returncode != 0 and told in done.stderr, done.stderr
    assert temp == "37" or "did you mean" not in done.stderr, done.stderr


@pytest.mark.parametrize(("figure", "told"), [
    ("98.6F", "write 37: 98.6 F = 37 °C"), ("14 °C", "write 14 alone: it is in °C"), ('"14"', "write 14 alone: it is in °C"), ("cool", "write temperature of the liquor, °C"),
])  # fmt: skip
def test_check_names_what_to_write_for_a_figure_with_its_unit(book: Path, figure: str, told: str) -> None:
    path = book / "records" / "casks" / "TH-004" / "TH-004402.yaml"
    entry = f"  - {{id: zz000001, date: 2026-11-24, job: regauge, by: ab, litres: 198, abv: 58.9, temp_c: {figure}, method: dip}}\n"
    path.write_text(path.read_text(encoding="utf-8") + entry, encoding="utf-8")
    done = caskbook("check", "TH-004402", cwd=book)
    assert done.returncode == 1 and f"help: {told}" in done.stdout, done.stdout
