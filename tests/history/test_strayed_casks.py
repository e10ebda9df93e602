"""Files of casks that strayed within casks/: no command reads them there, so each says so, and their numbers are not received anew."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from laws import others_thorough

from caskbook.ledger.paths import strayed_number
from history.ledgers import RECEIVED, Repo, cask, ledger

PROGRAM = Path(sys.executable).with_name("caskbook")
ASKED = (("list",), ("due", "--all"), ("show", "TH-004217"), ("query", "select cask from cask"), ("report", "loss"), ("plan",), ("ready",), ("report", "stock"))
WAYS = {
    "dragged": "TH-005/TH-006/TH-006001.yaml",
    "doubled": "TH-006/TH-006/TH-006001.yaml",
    "deep": "TH-006/old/2024/TH-006001.yaml",
    "bare": "TH-006001.yaml",
    "yml": "TH-006/TH-006001.yml",
    "small": "TH-006/th-006001.YAML",
    "copy": "TH-006/TH-006001 (1).yaml",
}


def strayed(tmp_path: Path, where: str, *, known: bool = False) -> Repo:
    """A book of three casks, the file of one moved to `where` in casks/; `known`: the index knew it before."""
    repo = ledger(tmp_path, RECEIVED)
    for number in ("TH-005001", "TH-006001"):
        repo.write(cask(RECEIVED, cask_id=number), number)
    repo.commit("all")
    if known:
        caskbook("list", cwd=repo.top)
    there = repo.ledger / "casks" / where
    there.parent.mkdir(parents=True, exist_ok=True)
    repo.path("TH-006001").rename(there)
    return repo


def told(where: str) -> str:
    return f"1 file among the casks is not read where it lies, casks/{where}: caskbook check"


@pytest.mark.parametrize("where", others_thorough(list(WAYS.values()), 1))
@pytest.mark.parametrize("mode", others_thorough(["on", "off"], 1))
def test_who_reads_the_book_says_that_a_file_strayed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str, mode: str) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    repo = strayed(tmp_path, where)
    for state in ("changed", "staged", "committed"):
        if state != "changed":
            repo.git("add", "-A")
        if state == "committed":
            repo.git("commit", "-qm", "strayed", "--no-verify")
        for words in ASKED * 2 if state == "committed" else ASKED[:3]:
            assert caskbook(*words, cwd=repo.top).stderr.count(told(where)) == 1, (state, words)
    for words in ASKED[:2]:
        assert f"{told(where)} --at HEAD\n" in caskbook(*words, "--at", "HEAD", cwd=repo.top).stderr, words
        assert "among the casks" not in caskbook(*words, "--at", "HEAD~1", cwd=repo.top).stderr, words
    repo.path("TH-006001").parent.mkdir(exist_ok=True)
    (repo.ledger / "casks" / where).rename(repo.path("TH-006001"))
    for words in ASKED:
        assert "among the casks" not in caskbook(*words, cwd=repo.top).stderr, words


@pytest.mark.parametrize("where", others_thorough(list(WAYS.values()), 1))
@pytest.mark.parametrize("asked", others_thorough(["before", "known", "fresh", "off"], 1))
def test_a_number_whose_file_strayed_is_not_received_anew_and_its_place_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str, asked: str
) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("CASKBOOK_INDEX", "off" if asked == "off" else "on")
    repo = strayed(tmp_path, where, known=asked == "before")
    if asked == "known":
        caskbook("list", cwd=repo.top)
    line = f"TH-006001 is not where it is read: its file is records/casks/{where}; "
    for state in ("changed", "committed"):
        if state == "committed":
            repo.commit("strayed")
        found = [caskbook(*words, cwd=repo.top) for words in (("show", "TH-006001"), ("check", "TH-006001"), ("enter", "note", "TH-006001", "--note", "x", "--by", "ab", "--yes"),
                 ("enter", "receive", "TH-006001", "accept", "--type", "barrel", "--by", "ab", "--yes"))]  # fmt: skip
        for done in found:
            assert done.returncode == 2 and line in done.stderr, (state, done.args, done.stderr)
        assert not repo.path("TH-006001").exists()
    way = found[0].stderr.partition("; ")[2].strip()
    assert "git mv " in way and "TH-006/TH-006001.yaml" in way
    subprocess.run(way, shell=True, cwd=repo.top, check=True)
    assert caskbook("show", "TH-006001", cwd=repo.top).returncode == 0
    assert caskbook("enter", "receive", "TH-006002", "accept", "--type", "barrel", "--by", "ab", "--yes", cwd=repo.top).returncode == 0


@pytest.mark.thorough
def test_a_number_in_the_folder_of_others_is_not_received_anew(tmp_path: Path) -> None:
    repo = strayed(tmp_path, "TH-005/TH-006001.yaml")
    repo.commit("all")
    done = caskbook("enter", "receive", "TH-006001", "accept", "--type", "barrel", "--by", "ab", "--yes", cwd=repo.top)
    assert done.returncode == 2 and "its file is records/casks/TH-005/TH-006001.yaml; git mv" in done.stderr


@pytest.mark.thorough
@pytest.mark.parametrize("under_git", [True, False])
def test_a_name_that_is_no_utf8_is_said_too(tmp_path: Path, under_git: bool) -> None:
    repo = strayed(tmp_path, "TH-006/x.txt")
    if not under_git:
        (repo.top / ".git").rename(tmp_path / "git")
    caskbook("list", cwd=repo.top)
    odd = os.fsencode(repo.ledger / "casks" / "TH-006") + b"/TH-00600\xe9.yaml"
    (repo.ledger / "casks" / "TH-006" / "x.txt").rename(os.fsdecode(odd))
    for words in (("list",), ("due",), ("show", "TH-004217"), ("list",)):
        done = caskbook(*words, cwd=repo.top)
        assert told("TH-006/TH-00600\\xe9.yaml") in done.stderr, (words, done.stderr)


@pytest.mark.thorough
def test_what_is_no_cask_by_its_name_is_left_to_the_check(tmp_path: Path) -> None:
    repo = ledger(tmp_path, RECEIVED)
    for name in ("notes.txt", "TH-004/notes.yaml.bak", "TH-004/photo/TH-004217.jpg", "TH-004/.swap/TH-004217.yaml"):
        path = repo.ledger / "casks" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("x\n")
    for state in ("changed", "committed"):
        if state == "committed":
            repo.commit("all")
        for words in (("list",), ("show", "TH-004217"), ("list", "--at", "HEAD")):
            assert "among the casks" not in caskbook(*words, cwd=repo.top).stderr, words


@pytest.mark.thorough
def test_several_are_counted_and_the_first_named_by_the_installed_command(tmp_path: Path) -> None:
    repo = strayed(tmp_path, "TH-006/TH-006001.yml")
    (repo.ledger / "casks" / "TH-005").rename(repo.ledger / "casks" / "TH-004" / "TH-005")
    done = subprocess.run([PROGRAM, "list"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert "2 files among the casks are not read where they lie, from casks/TH-004/TH-005/TH-005001.yaml on: caskbook check\n" in done.stderr
    found = subprocess.run([PROGRAM, "check"], cwd=repo.top, capture_output=True, text=True, check=False)
    assert found.stdout.count("git mv it to casks/TH-00") == 2, found.stdout


@pytest.mark.parametrize(
    ("name", "number"),
    [
        ("casks/A/B/TH-004217.yaml", "TH-004217"), ("casks/TH-004217.yml", "TH-004217"), ("casks/TH-004/th-004217.Yml", "TH-004217"),
        ("casks/TH-004/TH-004217.yaml", ""), ("casks/TH-005/TH-004217.yaml", ""), ("casks/TH-004/TH-004217 (1).yaml", "TH-004217"), ("casks/TH-004/TH-004.yml", ""),
        ("casks/TH-004/TH-004217.yml~", ""), ("casks/TH-004/TH-004217.txt", ""), ("casks/a/.git/TH-004217.yaml", ""), ("casks/TH-004/TH-0042171234567.yml", ""),
    ],
)  # fmt: skip
def test_which_number_a_strayed_file_bears(name: str, number: str) -> None:
    assert strayed_number(name) == number
