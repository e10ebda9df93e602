"""A filter of git that stands between the files and the commits of a book: `review` tells no alteration that nobody made, and says what it cannot tell."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
ROT = "tr a-z n-za-m"
BINARY = "gzip -nc"
SAID = "git's filter house stands between files and commits of"
CANNOT = "cannot be read, so whether anything that landed there was altered, and what was entered, nobody can tell here; all else was compared"


def book(tmp_path: Path, clean: str, smudge: str) -> Repo:
    """Two casks behind the filter, one that is not."""
    repo = Repo(tmp_path / "house")
    with (repo.top / ".git" / "config").open("a", encoding="utf-8") as file:
        file.write(f'[filter "house"]\n\tclean = {clean}\n\tsmudge = {smudge}\n')
    (repo.top / ".gitattributes").write_text("records/casks/TH-00[45]/*.yaml filter=house\n")
    repo.house()
    repo.write(cask(RECEIVED, EXAMINED))
    for number in ("TH-005001", "TH-006001"):
        repo.write(cask(RECEIVED, cask_id=number), number)
    repo.commit("one")
    return repo


@pytest.mark.parametrize(("clean", "smudge"), [(ROT, ROT), (BINARY, "gzip -dc")])
@pytest.mark.parametrize("form", ["text", "json", "markdown"])
def test_no_alteration_is_told_that_nobody_made(tmp_path: Path, clean: str, smudge: str, form: str) -> None:
    repo = book(tmp_path, clean, smudge)
    repo.path().touch()
    repo.write(cask(RECEIVED, EXAMINED, TESTED))
    repo.write(cask(RECEIVED, TESTED, cask_id="TH-006001"), "TH-006001")
    done = caskbook("review", "--format", form, cwd=repo.top)
    assert done.returncode == 0 and "was absent" not in done.stdout and "landed-head-changed" not in done.stdout, done.stdout
    text = done.stdout.replace("\\", "")
    assert SAID in text and "TH-004217" in text.partition(SAID)[2] and CANNOT in text, text
    assert "TH-006001" in text and ("passed at 11 psi" in text or "test" in text)
    if form == "json":
        assert [one["kind"] for one in json.loads(done.stdout)["told"]] == ["filtered"]


def test_what_is_altered_beside_them_is_told_as_ever(tmp_path: Path) -> None:
    repo = book(tmp_path, ROT, ROT)
    repo.write(cask(RECEIVED, EXAMINED, TESTED))
    repo.write(cask(RECEIVED.replace("accept", "reject"), cask_id="TH-006001"), "TH-006001")
    done = caskbook("review", cwd=repo.top)
    assert done.returncode == 1 and "1 ALTERATION OF WHAT HAD LANDED" in done.stdout and "TH-006001" in done.stdout.split("\n")[3], done.stdout
    assert SAID in done.stdout


@pytest.mark.parametrize(("clean", "smudge"), [(ROT, ROT), (BINARY, "gzip -dc")])
def test_commits_that_hold_what_a_filter_wrote(tmp_path: Path, clean: str, smudge: str) -> None:
    repo = book(tmp_path, clean, smudge)
    for number in ("TH-004217", "TH-005001"):
        repo.write(cask(RECEIVED, EXAMINED, TESTED, cask_id=number), number)
    repo.commit("two")
    for number in ("TH-004217", "TH-005001"):
        repo.write(cask(RECEIVED, EXAMINED, cask_id=number), number)
    repo.commit("three")
    for span in ("HEAD~1..HEAD", "HEAD~2..HEAD", "HEAD"):
        done = subprocess.run([PROGRAM, "review", span], cwd=repo.top, capture_output=True, text=True, check=False)
        assert done.returncode == 0 and f"{SAID} 2 casks, from TH-004217 on:" in done.stdout, (span, done.stdout, done.stderr)


def test_a_filter_hides_no_landed_entry_that_could_be_read(tmp_path: Path) -> None:
    """What landed in plain words and is ciphered by a later commit is told as it was; so is a file behind a filter that is taken away."""
    repo = Repo(tmp_path / "house")
    repo.house()
    repo.write(cask(RECEIVED, EXAMINED))
    repo.commit("one")
    (repo.top / ".gitattributes").write_text("*.yaml filter=house\n")
    repo.write(cask(RECEIVED, EXAMINED).translate(str.maketrans("abcdefghijklmnopqrstuvwxyz", "nopqrstuvwxyzabcdefghijklm")))
    for words in ((), ("HEAD",)):
        if words:
            repo.commit("two")
        done = caskbook("review", *words, cwd=repo.top)
        assert done.returncode == 1 and "ALTERATION" in done.stdout and SAID not in done.stdout, done.stdout
    gone = book(tmp_path / "gone", ROT, ROT)
    gone.path().unlink()
    done = caskbook("review", cwd=gone.top)
    assert done.returncode == 1 and "TH-004217" in done.stdout


def test_what_was_altered_before_a_filter_came_is_told_though_the_end_cannot_be_read(tmp_path: Path) -> None:
    """All within the range: entered, altered, and then ciphered."""
    repo = Repo(tmp_path / "house")
    repo.house()
    base = repo.commit("house")
    for what in (RECEIVED, RECEIVED.replace("accept", "reject")):
        repo.write(cask(what, EXAMINED))
        repo.commit("plain")
    (repo.top / ".gitattributes").write_text("*.yaml filter=house\n")
    repo.write(cask(RECEIVED, EXAMINED).translate(str.maketrans("abcdefghijklmnopqrstuvwxyz", "nopqrstuvwxyzabcdefghijklm")))
    repo.commit("ciphered")
    done = caskbook("review", f"{base}..HEAD", cwd=repo.top)
    assert done.returncode == 1 and "verdict" in done.stdout and "accept" in done.stdout, done.stdout


def test_a_filter_that_leaves_casks_readable_changes_nothing(tmp_path: Path) -> None:
    repo = book(tmp_path, "sed s/#.*//", "cat")
    repo.write(cask(RECEIVED.replace("accept", "reject"), EXAMINED))
    done = caskbook("review", cwd=repo.top)
    assert done.returncode == 1 and "1 ALTERATION" in done.stdout and SAID not in done.stdout


@pytest.mark.parametrize("attributes", ["", "records/casks/TH-006/*.yaml -filter\n", "records/casks/TH-006/*.yaml filter\n"])
def test_what_could_not_be_read_without_a_filter_is_told_as_ever(tmp_path: Path, attributes: str) -> None:
    repo = book(tmp_path, ROT, ROT)
    with (repo.top / ".gitattributes").open("a", encoding="utf-8") as file:
        file.write(attributes)
    repo.write("no: cask of ours\n", "TH-006001")
    repo.commit("two")
    for number in ("TH-004217", "TH-005001"):  # Git looks into a file again whose time is another one, however long ago it was written.
        os.utime(repo.path(number), (1_000_000_000, 1_000_000_000))
    repo.write(cask(RECEIVED, cask_id="TH-006001"), "TH-006001")
    done = caskbook("review", cwd=repo.top)
    assert f"{SAID} 2 casks, from TH-004217 on" in done.stdout and "ALTERATION" in done.stdout and "TH-006001 added to the head" in done.stdout, done.stdout
