"""What stands behind a second document, or below a second list of entries: how much of it is left out is said wherever the cask is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

from caskbook.model.house_file import read_house

pytestmark = pytest.mark.thorough

HEAD = "cask: TH-004217\nformat: 1\ntype: barrel\n"
RECEIVED = "  - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n"
MORE = (
    "  - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: hold}\n\n  # seen\n  - {id: e1000003, date: 2020-01-02, job: note, by: ab, note: x}\n"
)
FILES = {
    "document": (f"{HEAD}events:\n{RECEIVED}---\n{MORE}", "a second document begins here, expected one in a file; not read: 2 lines", "2 lines of a second document"),
    "one line": (f"{HEAD}events:\n{RECEIVED}--- {{a: b}}\n", "a second document begins here, expected one in a file; not read: 1 line", "1 line of a second document"),
    "events": (f"{HEAD}events:\n{RECEIVED}events:\n{MORE}note: x\n", "`events` is given twice; first in line 4; not read: 2 lines", "2 lines of a second `events`"),
    "margin": (f"{HEAD}events:\n{RECEIVED}events:\n{MORE.replace('  -', '-')}", "first in line 4; not read: 2 lines", "2 lines of a second `events`"),
}  # fmt: skip


def words(root: Path, *arguments: str) -> str:
    done = caskbook(*arguments, cwd=root)
    return " ".join((done.stdout + " " + done.stderr).split())


@pytest.mark.parametrize("what", FILES)
def test_a_cask_says_how_much_of_its_file_is_not_read(tmp_path: Path, what: str) -> None:
    text, found, left_out = FILES[what]
    (tmp_path / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\n")
    (tmp_path / "casks" / "TH-004").mkdir(parents=True)
    (tmp_path / "casks" / "TH-004" / "TH-004217.yaml").write_text(text)
    assert found in words(tmp_path, "check")
    assert f"cannot be read: {left_out}" in words(tmp_path, "show", "TH-004217") and f"cannot be read: {left_out}" in words(tmp_path, "due", "--all")
    assert "told in part" in words(tmp_path, "list")


def test_a_house_says_that_what_stands_behind_is_at_the_default(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text("timezone: UTC\n---\ntest_limit_psi: 10\nshort_fill_days: 3\n")
    (tmp_path / "casks").mkdir()
    said = words(tmp_path, "check")
    assert "a second document begins here, expected one in a file; at the default: 2 lines" in said and "delete `---`: then the settings below it count" in said
    assert "house.yaml cannot be read whole: what it lacks stands at the default" in words(tmp_path, "list")


def test_a_key_given_twice_with_its_value_beside_it_leaves_no_line_out(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text("timezone: UTC\ntimezone: UTC\ntest_limit_psi: 10\n")
    (tmp_path / "casks").mkdir()
    assert "not read" not in words(tmp_path, "check")


def test_a_setting_given_twice_stands_at_its_first_value_and_that_is_said(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text("timezone: UTC\ntest_limit_psi: 10\ntest_limit_psi: 9\n")
    (tmp_path / "casks").mkdir()
    assert "house.yaml: 1 setting cannot be read and stands at the default, or the first of two values" in words(tmp_path, "list")
    assert read_house("house.yaml", (tmp_path / "house.yaml").read_bytes()).house.raw["test_limit_psi"] == 10
