"""Several protected branches: what landed on any of them is not judged again, and nothing passes by way of another."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
BASE = cask(RECEIVED, EXAMINED, TESTED)
NOTED = event("gqw00001", "2023-06-01", "note", "note: seen")


@pytest.fixture
def bench(tmp_path: Path) -> Repo:
    """Main and an old branch `aged`; on `site`, protected as both are, an alteration landed before the gate was there."""
    repo = ledger(tmp_path)
    repo.write(BASE)
    repo.commit("book")
    repo.git("branch", "aged")
    repo.git("checkout", "-q", "-b", "site")
    repo.write(BASE.replace("psi: 11", "psi: 12"))
    repo.commit("altered, and landed so")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(tmp_path / "book.git")], check=True)
    repo.git("remote", "add", "origin", str(tmp_path / "book.git"))
    repo.git("push", "-q", "origin", "main", "aged", "site")
    for name in ("aged", "site"):
        repo.git("-C", str(tmp_path / "book.git"), "config", "--add", "caskbook.protected", name)
    assert subprocess.run([str(PROGRAM), "git", "install", "--server", str(tmp_path / "book.git")], check=False).returncode == 0
    return repo


def test_what_landed_on_another_protected_branch_is_not_judged_again(bench: Repo):
    bench.git("push", "-q", "origin", "site:refs/heads/new")
    bench.write(BASE.replace("psi: 11", "psi: 12") + NOTED)
    bench.commit("a note")
    bench.git("push", "-q", "origin", "HEAD:refs/heads/newer")
    bench.git("checkout", "-q", "main")
    bench.git("merge", "-q", "-m", "the site", "--no-ff", "site~1")
    bench.git("push", "-q", "origin", "main")


def test_what_is_altered_beside_it_is_refused_all_the_same(bench: Repo):
    bench.write(BASE.replace("psi: 11", "psi: 13"))
    bench.commit("altered once more")
    assert "is 13" in bench.git("push", "origin", "HEAD:refs/heads/new", good=(1,))
    bench.git("checkout", "-q", "main")
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("the same alteration, made anew")
    assert "landed-event-altered" in bench.git("push", "origin", "main", good=(1,))
    bench.git("reset", "-q", "--hard", "aged")
    bench.git("merge", "-q", "--no-ff", "--no-commit", "site~1", good=(0, 1))
    bench.write(BASE.replace("water_l: 2", "water_l: 3"))
    bench.commit("merged, and altered in it")
    assert "water_l" in bench.git("push", "origin", "HEAD:main", good=(1,))


def test_a_protected_branch_may_be_named_in_full_and_a_pattern_is_told(bench: Repo, tmp_path: Path):
    server = str(tmp_path / "book.git")
    bench.git("push", "-q", "origin", "main:refs/heads/rel")
    for name in ("refs/heads/rel", "v*"):
        bench.git("-C", server, "config", "--add", "caskbook.protected", name)
    ran = subprocess.run([str(PROGRAM), "git", "install", "--server", server], capture_output=True, text=True, check=False)
    assert ran.returncode == 0 and "caskbook.protected names v*, which no branch can be called: it protects nothing" in ran.stderr and "rel" not in ran.stderr
    bench.git("checkout", "-q", "--orphan", "other")
    bench.commit("another history")
    said = bench.git("push", "-f", "origin", "HEAD:rel", good=(1,))
    assert "rel is protected: this push would take back" in said and "names v*, which no branch can be called" in said
