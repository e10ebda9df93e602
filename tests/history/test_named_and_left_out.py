"""A cask that a file names and a sparse checkout leaves out of the work tree: `show` finds no fault that `check` does not, and says in a line what is not there."""

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
CONVERT = ("enter", "convert", "TH-004217", "TH-004218", "--into", "2", "quarter-cask", "--first-id", "TH-005001", "--gave", "20", "--capacity", "50", "--yes")


def made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str = "on") -> Repo:
    """Two casks made into two others, whose folder alone is checked out."""
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    repo = ledger(tmp_path, RECEIVED, EXAMINED)
    repo.write(cask(RECEIVED, EXAMINED, cask_id="TH-004218"), "TH-004218")
    done = caskbook(*CONVERT, cwd=repo.top)
    assert done.returncode == 0, done.stderr
    repo.commit("made")
    return repo


def sparse(repo: Repo) -> None:
    repo.git("sparse-checkout", "set", "--no-cone", "/records/house.yaml", "/records/casks/TH-005/")
    assert not repo.path().exists() and repo.path("TH-005001").exists()


@pytest.mark.parametrize("mode", ["on", "off"])
def test_show_finds_no_fault_that_check_does_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str) -> None:
    repo = made(tmp_path, monkeypatch, mode)
    whole = json.loads(caskbook("show", "TH-005001", "--format", "json", cwd=repo.top).stdout)
    sparse(repo)
    told = "its parents TH-004217, TH-004218 are not checked out, and looked up in git\n"
    for words in (("show", "TH-005001"), ("show", "TH-005001", "--format", "json")):
        done = caskbook(*words, cwd=repo.top)
        assert done.returncode == 0 and told in done.stderr and "parent-unknown" not in done.stdout, (done.stdout, done.stderr)
    assert json.loads(done.stdout) == whole
    assert caskbook("check", "TH-005001", cwd=repo.top).returncode == 0
    ran = subprocess.run([PROGRAM, "show", "TH-005001"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert ran.returncode == 0 and told in ran.stderr and "error" not in ran.stdout


def test_one_parent_is_named_as_one_and_a_fault_against_it_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = made(tmp_path, monkeypatch)
    text = repo.path("TH-005001").read_text()
    repo.write(text.replace("TH-004218", "TH-009999"), "TH-005001")
    repo.commit("another parent")
    sparse(repo)
    done = caskbook("show", "TH-005001", cwd=repo.top)
    assert done.returncode == 1 and "parent-unknown" in done.stdout and "not checked out, and looked up in git" in done.stderr, done.stderr
    assert "TH-004217 is not checked out" in done.stderr and caskbook("check", "TH-005001", cwd=repo.top).returncode == 1


def test_a_partial_clone_that_lacks_the_content_finds_no_fault_either(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = made(tmp_path, monkeypatch)
    repo.git("config", "uploadpack.allowFilter", "true")
    repo.git("clone", "-q", "--filter=blob:none", "--no-local", "--no-checkout", f"file://{repo.top}", str(tmp_path / "partial"))
    clone = Repo(tmp_path / "partial")
    clone.git("sparse-checkout", "set", "--no-cone", "/records/house.yaml", "/records/casks/TH-005/")
    clone.git("checkout", "-q")
    done = caskbook("show", "TH-005001", cwd=clone.top)
    assert done.returncode == 0 and "not checked out, and looked up in git" in done.stderr and "parent-unknown" not in done.stdout, (done.stdout, done.stderr)


def test_a_whole_checkout_says_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = made(tmp_path, monkeypatch)
    assert "checked out" not in caskbook("show", "TH-005001", cwd=repo.top).stderr
    repo.path("TH-004218").unlink()
    done = caskbook("show", "TH-005001", cwd=repo.top)
    assert done.returncode == 1 and "checked out" not in done.stderr
