"""What a repository says of a last run is no run of this machine: `undo` takes nothing back for it."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from run_notes import noted, put_note

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
    known = noted(repo.ledger)
    for path in ("../records/casks/TH-004/TH-004217.yaml", str(repo.path()), "casks/../casks/TH-004/TH-004217.yaml", ".git/x.yaml"):
        put_note(repo.ledger, {**known, "files": [{**known["files"][0], "path": path}]})
        assert "no run to take back" in caskbook("undo", "--yes", cwd=repo.top).stderr
    put_note(repo.ledger, known)
    assert caskbook("undo", "--yes", cwd=repo.top).returncode == 0


@pytest.mark.parametrize("mark", ["", "0" * 64, "\n"])
def test_a_note_that_this_machine_did_not_write_takes_nothing_back(tmp_path: Path, mark: str) -> None:
    """Whatever is unpacked beside the casks can name any entry: everything in the note can be worked out of the file."""
    repo = carried(tmp_path)
    before = repo.path().read_bytes()
    put_note(repo.ledger, noted(repo.ledger), mark)
    done = caskbook("undo", "--yes", cwd=repo.top)
    assert done.returncode == 2 and "no run to take back" in done.stderr and repo.path().read_bytes() == before


def test_a_copy_of_a_ledger_has_no_run_to_take_back(tmp_path: Path) -> None:
    repo = carried(tmp_path)
    shutil.copytree(repo.top, tmp_path / "copy", symlinks=True)
    file = tmp_path / "copy" / "records" / "casks" / "TH-004" / "TH-004217.yaml"
    before = file.read_bytes()
    done = caskbook("undo", "--yes", cwd=tmp_path / "copy")
    assert done.returncode == 2 and "no run to take back" in done.stderr and file.read_bytes() == before
    assert caskbook("undo", "--yes", cwd=repo.top).returncode == 0


def test_one_of_another_machine_takes_nothing_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = carried(tmp_path)
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "other"))
    assert caskbook("undo", "--yes", cwd=repo.top).returncode == 2
    monkeypatch.setenv("CASKBOOK_STATE", "/proc/none")
    assert caskbook("undo", "--yes", cwd=repo.top).returncode == 2
