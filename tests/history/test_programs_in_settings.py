"""Programs that the settings of a repository name: a folder that came as a whole, `.git` and all, runs none of them for whoever only looks."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

NOTED = event("dt3q62s2", "2015-03-21", "note", "note: seen")
LOOKS = (("list",), ("due",), ("check",), ("show", "TH-004217"), ("review",), ("report", "loss"), ("report", "stock"), ("query", "SELECT 1"), ("plan",))


@pytest.fixture
def repo(tmp_path: Path) -> Repo:
    return ledger(tmp_path)


@pytest.mark.parametrize("key", ["clean", pytest.param("process", marks=pytest.mark.thorough)])
@pytest.mark.parametrize("kept_in", ["config", pytest.param("included", marks=pytest.mark.thorough), pytest.param("worktree", marks=pytest.mark.thorough)])
def test_no_filter_of_the_repository_is_run(repo: Repo, tmp_path: Path, key: str, kept_in: str) -> None:
    ran = tmp_path / "ran"
    name = 'a="b'
    settings = f'[filter "a=\\"b"]\n\t{key} = "touch {ran}; cat"\n\trequired = true\n'
    git = repo.top / ".git"
    if kept_in == "included":
        (git / "more").write_text(settings, encoding="utf-8")
        settings = "[include]\n\tpath = more\n"
    if kept_in == "worktree":
        repo.git("config", "extensions.worktreeConfig", "true")
        (git / "config.worktree").write_text(settings, encoding="utf-8")
    else:
        with (git / "config").open("a", encoding="utf-8") as file:
            file.write(settings)
    (git / "info").mkdir(exist_ok=True)
    repo.git("config", "filter.x.clean", f"touch {ran}; cat")
    (git / "info" / "attributes").write_text("*.yaml filter=x\n", encoding="utf-8")
    for round_ in range(2):
        repo.write(cask(RECEIVED, EXAMINED, TESTED, *[NOTED] * (round_ == 0)))
        for words in LOOKS if round_ == 0 else LOOKS[:2]:
            done = caskbook(*words, cwd=repo.top)
            assert done.returncode in (0, 1) and not ran.exists(), (words, done.stderr)
    assert name
    subprocess.run(["git", "diff", "--stat"], cwd=repo.top, check=True, capture_output=True)
    assert ran.exists(), "the same filter is run by git itself"


@pytest.mark.thorough
def test_what_a_partial_clone_lacks_is_fetched_by_nobody(repo: Repo, tmp_path: Path) -> None:
    ran = tmp_path / "ran"
    repo.write(cask(RECEIVED, EXAMINED, TESTED, NOTED))
    repo.commit("second")
    repo.git("config", "uploadpack.allowFilter", "true")
    repo.git("clone", "-q", "--filter=blob:none", "--no-local", f"file://{repo.top}", str(tmp_path / "partial"))
    subprocess.run(["git", "-C", str(tmp_path / "partial"), "config", "remote.origin.uploadpack", f"touch {ran}; git-upload-pack"], check=True)
    for words in (("review", "HEAD~1..HEAD"), ("list", "--at", "HEAD~1"), ("check", "--since", "HEAD~1")):
        done = caskbook(*words, cwd=tmp_path / "partial")
        assert done.returncode == 2 and not ran.exists() and done.stderr.count("\n") == 1, (words, done.stderr)
    assert "this partial clone lacks what is asked for, and nothing is fetched by the way: git fetch --refetch --no-filter" in done.stderr
    subprocess.run(["git", "-C", str(tmp_path / "partial"), "fetch", "-q", "--refetch", "--no-filter"], check=True)
    assert ran.exists() and caskbook("review", "HEAD~1..HEAD", cwd=tmp_path / "partial").returncode == 0


@pytest.mark.thorough
def test_a_hook_of_the_users_own_commit_may_push(repo: Repo, tmp_path: Path) -> None:
    """What looks fetches nothing; a commit is the user's own act, and a house may have it pushed."""
    repo.git("init", "-q", "--bare", str(tmp_path / "server"))
    repo.git("remote", "add", "server", str(tmp_path / "server"))
    hook = repo.top / ".git" / "hooks" / "post-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text("#!/bin/sh\ngit push -q server HEAD:main\n", encoding="utf-8")
    hook.chmod(0o755)
    done = caskbook("enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--commit", "--yes", cwd=repo.top)
    assert done.returncode == 0, done.stderr
    pushed = subprocess.run(["git", "-C", str(tmp_path / "server"), "rev-parse", "main"], check=True, capture_output=True, text=True).stdout.strip()
    assert pushed == repo.git("rev-parse", "HEAD").strip()
