"""Two settings of a due rule that cannot both hold: told at the one that is written, on every day and for every type it is in force for."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

pytestmark = pytest.mark.thorough

CASES = [
    ("due: {rechar: {soon_at: 6, due_at: 5}}", ["2:25 `soon_at` is 6, above `due_at`, which is 5"]),
    ("due: {rechar: {soon_at: 6}}", ["2:25 `soon_at` is 6, above `due_at`, which is 5"]),
    ("due: {rechar: {soon_at: 5, due_at: 5}}", []),
    ("due: {rechar: {due_at: 9}}", ["2:24 `due_at` is 9, above `well_past_at`, which is 8"]),
    ("due: {rechar: {soon_at: 3, due_at: 4, well_past_at: 3}}", ["2:36 `due_at` is 4, above `well_past_at`, which is 3"]),
    ("due: {nose: {faint_again_from: 15}}", ["2:32 `faint_again_from` is 15, above `faint_again_until`, which is 14"]),
    ("due: {nose: {faint_again_from: 14}}", []),
    ("due: {regauge: {first_year: 0}}", ["2:29 `first_year` is 0: a fill would be gauged again on its own day"]),
    ("due: {regauge: {first_year: 16}}", ["2:29 `first_year` is 16, above `yearly_from`, which is 15"]),
    (
        "due: {rechar: {soon_at: [{since: 2020-01-01, value: 4}, {since: 2024-01-01, value: 7}]}}",
        ["2:25 `soon_at` is 7, above `due_at`, which is 5"],
    ),
    ("types: {butt: {due: {rechar: {soon_at: 6}}}}", ["2:40 `soon_at` is 6, above `due_at`, which is 5"]),
    ("due: {rechar: {due_at: 6, soon_at: 6}}\ntypes: {butt: {due: {rechar: {due_at: 5}}}}", ["3:39 `soon_at` is 6, above `due_at`, which is 5"]),
]


@pytest.mark.parametrize(("text", "told"), CASES)
def test_what_contradicts_is_a_warning_at_what_is_written(tmp_path: Path, text: str, told: list[str]) -> None:
    (tmp_path / "house.yaml").write_text(f"timezone: UTC\n{text}\n")
    (tmp_path / "casks").mkdir()
    found = json.loads(caskbook("check", "--format", "json", cwd=tmp_path).stdout)["findings"]
    found = [one for one in found if one["path"] == "house.yaml"]
    assert {one["code"] for one in found} <= {"settings-contradict"} and {one["severity"] for one in found} <= {"warning"}
    assert [f"{one['line']}:{one['column']} {one['message']}" for one in found] == told
