"""Lines of work that crossed: two merges have several common versions, and git's own base of them may hold conflict markers."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

from caskbook.cli.commands.git import install
from caskbook.merge.bases import merge_over
from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
OURS = event("gqw00001", "2023-06-01", "note", "note: ours")
THEIRS = event("gqw00002", "2023-06-01", "note", "note: theirs")
LEFT = event("gqy00001", "2023-08-01", "note", "note: left")
RIGHT = event("gqy00002", "2023-08-01", "note", "note: right")
BOTH = BASE + OURS + THEIRS


def crossed(tmp_path: Path, left: str, right: str, ours: str = BASE + OURS, theirs: str = BASE + THEIRS) -> Repo:
    """`main` and `side` each merged the other's first work, then wrote `left` and `right`; `main` is checked out."""
    repo = ledger(tmp_path)
    for branch, text in (("side", theirs), ("main", ours)):
        repo.git("checkout", "-q", "-B", branch, "main" if branch == "main" else "HEAD")
        repo.write(text)
        repo.commit(branch)
        repo.git("checkout", "-q", "main")
    repo.git("reset", "-q", "--hard", "main")
    first = {name: repo.git("rev-parse", name).strip() for name in ("main", "side")}
    for branch, other, text in (("side", "main", right), ("main", "side", left)):
        repo.git("checkout", "-q", branch)
        repo.git("merge", "-q", "-s", "ours", "--no-edit", "--no-commit", first[other])
        repo.write(BOTH)
        repo.commit("crossed")
        repo.write(text)
        repo.commit(branch)
    repo.git("config", "core.hooksPath", ".git/no-hooks")
    return repo


def text(repo: Repo) -> str:
    return repo.path().read_text(encoding="utf-8")


def test_settle_unites_over_the_real_common_versions(tmp_path: Path):
    repo = crossed(tmp_path, BOTH + LEFT, BOTH + RIGHT)
    assert len(repo.git("merge-base", "--all", "main", "side").split()) == 2
    repo.git("merge", "--no-edit", "side", good=(1,))
    assert "<<<<<<<" in repo.git("show", ":1:records/casks/TH-004/TH-004217.yaml"), "git's base holds a conflict itself"
    done = caskbook("settle", cwd=repo.top)
    assert done.returncode == 0, done.stdout
    assert text(repo) == BOTH + LEFT + RIGHT


def test_an_entry_of_any_common_version_that_a_side_lost_is_a_removal(tmp_path: Path):
    repo = crossed(tmp_path, BASE + THEIRS + LEFT, BOTH + RIGHT)
    repo.git("merge", "--no-edit", "side", good=(1,))
    done = caskbook("settle", cwd=repo.top)
    assert done.returncode == 1 and "event gqw00001 (note of 2023-06-01) is missing on our side" in done.stdout and "note: ours" in text(repo)


@pytest.mark.thorough
def test_the_driver_does_the_same_where_gits_own_base_has_markers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    one, other = (BASE.replace("charred: 2011", f"charred: {year}") + more for year, more in ((2009, OURS), (2010, THEIRS)))
    united = BOTH.replace("charred: 2011", "charred: 2009")
    repo = crossed(tmp_path, united + LEFT, united + RIGHT, one, other)
    monkeypatch.chdir(repo.top)
    install()
    repo.commit("attributes")
    out = repo.git("merge", "--no-edit", "side", good=(0, 1))
    assert text(repo) == united + LEFT + RIGHT, out


def test_common_versions_that_do_not_unite_are_each_held_against():
    one, other = (BASE.replace("psi: 11", f"psi: {psi}") + more for psi, more in ((10, OURS), (9, THEIRS)))
    ours = BASE.replace("psi: 11", "psi: 10") + OURS + THEIRS
    found, _ = merge_over([one.encode(), other.encode()], BASE.encode(), (ours + LEFT).encode(), (ours + RIGHT).encode())
    assert found.clean and found.data.decode() == ours + LEFT + RIGHT
    lost, _ = merge_over([one.encode(), other.encode()], BASE.encode(), (ours + LEFT).encode(), ours.replace(THEIRS, RIGHT).encode())
    assert not lost.clean and "gqw00002" in lost.conflicts[0]
