"""A cask whose file holds what counts for nothing, an entry that cannot be read or the other side of a merge, is never told as a whole one."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from laws import others_thorough
from reading_commands import of_the_whole_book

HOUSE = "name: North House\ntimezone: UTC\ncrew:\n  - {initials: ab}\n"
CASK = """\
cask: TH-000001
format: 1
type: barrel
events:
  - id: e1000001
    date: 2020-01-02
    job: receive
    by: ab
    verdict: accept
"""
OTHER = CASK.replace("TH-000001", "TH-000002").replace("e1000001", "e1000002")
NOTE = "  - id: e200000{}\n    date: 2020-02-0{}\n    job: note\n    by: ab\n    note: {}\n"
JOINED = "  - id: e3000001\n    date: 2020-02-05\n    job: same-as\n    by: ab\n    of: TH-000002\n    why: two numbers\n"
ODD = {
    "no job": CASK + NOTE.format(1, 1, "x").replace("job: note", "job: nothing"),
    "entries in conflict": CASK + "<<<<<<< ours\n" + NOTE.format(1, 1, "x") + "=======\n" + NOTE.format(1, 1, "y") + ">>>>>>> theirs\n",
    "head in conflict": CASK.replace("events:", "<<<<<<< ours\nowner: one\n=======\nowner: other\n>>>>>>> theirs\nevents:"),
}
COMMANDS = (*of_the_whole_book(), ("list", "--format", "json"), ("due", "--format", "csv"))
SAID = "TH-000001 is told in part"


def book(root: Path, text: str, other: str = OTHER) -> Path:
    (root / "casks/TH-000").mkdir(parents=True, exist_ok=True)
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for name, content in (("TH-000001", text), ("TH-000002", other)):
        (root / f"casks/TH-000/{name}.yaml").write_text(content, encoding="utf-8")
    return root


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["on", pytest.param("off", marks=pytest.mark.thorough)])
@pytest.mark.parametrize("odd", others_thorough(list(ODD), 1))
def test_it_is_said_beside_every_answer_until_it_is_put_right(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, odd: str, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    for text, times in ((CASK, 0), (ODD[odd], 1), (CASK, 0)):
        book(tmp_path, text)
        for words in COMMANDS:
            ran = caskbook(*words, "--records", str(tmp_path))
            assert ran.stderr.count(SAID) == times, (words, ran.stderr)
            assert "told in part" not in ran.stdout


def test_a_joined_file_that_is_read_in_part_makes_the_cask_one(tmp_path: Path) -> None:
    book(tmp_path, CASK + JOINED, ODD["no job"].replace("TH-000001", "TH-000002").replace("e1", "e4").replace("e2", "e5"))
    for words in COMMANDS:
        ran = caskbook(*words, "--records", str(tmp_path))
        assert SAID in ran.stderr or "2 casks are told in part, from TH-000001 on" in ran.stderr, (words, ran.stderr)


@pytest.mark.thorough
def test_of_a_past_revision_too(tmp_path: Path) -> None:
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    for text in (ODD["no job"], CASK):
        book(tmp_path / "records", text)
        subprocess.run(["git", "-C", str(tmp_path), "add", "-A"], check=True)
        subprocess.run(["git", "-C", str(tmp_path), "-c", "user.name=x", "-c", "user.email=x", "commit", "-qm", "x", "--no-verify"], check=True)
    for at, times in (("HEAD", 0), ("HEAD~1", 1)):
        for words in of_the_whole_book():
            ran = caskbook(*words, "--at", at, "--records", str(tmp_path / "records"))
            assert ran.stderr.count(SAID) == times, (words, at, ran.stderr)
