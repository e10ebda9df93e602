"""What a changed row of the house is said to have been: so that the difference shows."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.checks.landed_beside import house_breaches

pytestmark = pytest.mark.thorough

ROW = "crew:\n  - {initials: kd, name: Somebody With A Rather Long Name Indeed, from: 2010-01-01, until: 2030-01-01}\n"


def test_a_changed_row_names_the_key_that_changed() -> None:
    (breach,) = house_breaches("house.yaml", ROW.encode(), ROW.replace("2030-01-01", "2026-01-01").encode())
    assert "until 2030-01-01 when it landed, is 2026-01-01" in breach.finding.message


@pytest.mark.parametrize("named", [True, False])
@pytest.mark.parametrize("what, words", [("link", "a link that leads to no file"), ("fifo", "not an ordinary file"), ("folder", "not an ordinary file")])
def test_a_house_that_is_no_file_is_called_what_it_is(tmp_path: Path, what: str, words: str, named: bool) -> None:
    house = tmp_path / "house.yaml"
    house.symlink_to("nowhere") if what == "link" else os.mkfifo(house) if what == "fifo" else house.mkdir()
    done = caskbook("check", *(["--records", str(tmp_path)] if named else []), cwd=tmp_path)
    assert done.returncode == 2 and words in done.stderr and "caskbook init" not in done.stderr and len(done.stderr.splitlines()) == 1


def test_a_revision_without_a_house_is_told_so(tmp_path: Path) -> None:
    git = ["git", "-C", str(tmp_path), "-c", "user.name=a", "-c", "user.email=a@b.c"]
    subprocess.run([*git, "init", "-q"], check=True)
    subprocess.run([*git, "commit", "-qm", "Begin", "--allow-empty"], check=True)
    (tmp_path / "house.yaml").write_text("timezone: UTC\n")
    done = caskbook("show", "TH-004217", "--at", "HEAD", cwd=tmp_path)
    assert done.returncode == 2 and "commit it first" in done.stderr and "caskbook init" not in done.stderr
