"""What a repository says of a last run is no run of this machine: `undo` takes nothing back for it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, RECEIVED, Repo, cask, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")


def carried(tmp_path: Path) -> Repo:
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED, EXAMINED))
    assert caskbook("enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--yes", cwd=repo.top).returncode == 0
    return repo


def test_a_run_that_a_repository_carries_in_takes_nothing_back(tmp_path: Path):
    repo = carried(tmp_path)
    repo.git("add", "-f", "records/.caskbook/last-run.json")
    repo.commit("carried in")
    repo.git("clone", "-q", ".", str(tmp_path / "clone"))
    file = tmp_path / "clone" / "records" / "casks" / "TH-004" / "TH-004217.yaml"
    before = file.read_bytes()
    done = subprocess.run([str(PROGRAM), "undo", "--yes"], cwd=tmp_path / "clone", capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "no run to take back" in done.stderr and file.read_bytes() == before


def test_a_run_names_files_of_the_book_alone(tmp_path: Path):
    repo = carried(tmp_path)
    place = repo.ledger / ".caskbook" / "last-run.json"
    known = json.loads(place.read_text())
    for path in ("../records/casks/TH-004/TH-004217.yaml", str(repo.path()), "casks/../casks/TH-004/TH-004217.yaml", ".git/x.yaml"):
        place.write_text(json.dumps({**known, "files": [{**known["files"][0], "path": path}]}))
        assert "no run to take back" in caskbook("undo", "--yes", cwd=repo.top).stderr
    place.write_text(json.dumps(known))
    assert caskbook("undo", "--yes", cwd=repo.top).returncode == 0
