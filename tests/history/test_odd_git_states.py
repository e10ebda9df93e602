"""Odd states of git: what is gone, ignored or cannot be read is told, and never taken for a sound book."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from laws import crossed

from history.ledgers import EXAMINED, FILLED, RECEIVED, TESTED, Repo, cask, ledger
from history.test_carried_in import DAY, cloned, codes, here, installed

pytestmark = pytest.mark.thorough

FILE = "records/casks/TH-005/TH-005001.yaml"


@pytest.fixture
def book(tmp_path: Path) -> Repo:
    """Two casks."""
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED, cask_id="TH-005001"), "TH-005001")
    repo.commit()
    return repo


@crossed("flag,index", ["--skip-worktree", "--assume-unchanged"], ["", "off"])
def test_a_cask_that_is_gone_unseen_by_git_is_told(book: Repo, flag: str, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    book.git("update-index", flag, FILE)
    assert here(book, "due", *DAY).stderr == ""
    book.path("TH-005001").unlink()
    line = "1 cask is gone that git is told to overlook, from TH-005001 on: caskbook check\n"
    for words in (("due", *DAY), ("list", *DAY), ("query", "select cask from cask"), ("report", "loss", *DAY), ("due", *DAY)):
        assert here(book, *words).stderr == line, words
    assert here(book, "due", *DAY, "--at", "HEAD").stderr == ""
    assert codes(book)["overlooked-and-gone"] == "error" and "sparse-checkout" not in codes(book)
    way = f"git update-index --no-skip-worktree {FILE}; git update-index --no-assume-unchanged {FILE}; git restore {FILE}"
    for words in (("show", "TH-005001"), ("enter", "note", "TH-005001", "--note", "seen", "--by", "ab", "--yes")):
        done = here(book, *words)
        assert done.returncode != 0 and f"TH-005001 is gone from this work tree, and git has it: {way}" in done.stderr, done.stderr
    for part in way.split("; "):
        book.git(*part.split()[1:])
    assert book.path("TH-005001").exists() and here(book, "due", *DAY).stderr == ""


def test_the_installed_command_tells_of_a_cask_gone_unseen(book: Repo) -> None:
    book.git("update-index", "--skip-worktree", FILE)
    book.path("TH-005001").unlink()
    assert "1 cask is gone that git is told to overlook" in installed(book, "due", *DAY).stderr
    done = installed(book, "check", "--format", "concise")
    assert done.returncode == 1 and "error overlooked-and-gone" in done.stdout


def test_a_cask_that_was_deleted_is_not_called_unknown(book: Repo) -> None:
    book.path("TH-005001").unlink()
    assert here(book, "show", "TH-005001").stderr == f"caskbook: TH-005001 is gone from this work tree, and git has it: git restore {FILE}\n"
    assert (
        here(book, "show", "TH-005002").stderr == "caskbook: TH-005002 is not in the book: did you mean TH-005001?\n"
        or "is not in the book" in here(book, "show", "TH-005002").stderr
    )


# Ignored


@crossed("where,index", ["records/.gitignore", ".gitignore", ".git/info/exclude", "core.excludesFile"], ["", "off"])
def test_a_cask_that_git_ignores_is_told(book: Repo, where: str, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    if where == "core.excludesFile":
        where = "ignored.txt"
        book.git("config", "core.excludesFile", str(book.top / where))
    (book.top / where).write_text("TH-006/\n")
    book.commit()
    assert "cask-ignored" not in codes(book)
    book.write(cask(RECEIVED, cask_id="TH-006001"), "TH-006001")
    book.write("# no cask\n", "TH-006001").with_name("notes.txt").write_text("x")
    book.write(cask(RECEIVED, cask_id="TH-006001"), "TH-006001")
    assert codes(book)["cask-ignored"] == "error"
    done = (installed if where == ".gitignore" and not index else here)(book, "review")
    assert "TH-006001" in done.stdout and "notes.txt" not in done.stdout
    book.git("add", "-f", "records/casks/TH-006/TH-006001.yaml")
    assert "cask-ignored" not in codes(book)


def test_an_ignored_house_is_told(tmp_path: Path) -> None:
    repo = Repo(tmp_path / "house")
    repo.house()
    repo.write(cask(RECEIVED))
    (repo.top / ".gitignore").write_text("house.yaml\n")
    repo.commit()
    assert codes(repo)["cask-ignored"] == "error"


# Git cannot be asked


def nowhere(repo: Repo) -> str:
    (repo.top / ".git").rename(repo.top.parent / "taken")
    (repo.top / ".git").write_text("gitdir: /nowhere/at/all\n")
    return ".git: leads to no repository"


def garbage(repo: Repo) -> str:
    (repo.top / ".git").rename(repo.top.parent / "taken")
    (repo.top / ".git").write_text("garbage\n")
    return "invalid gitfile format"


def empty(repo: Repo) -> str:
    (repo.top / ".git").rename(repo.top.parent / "taken")
    (repo.top / ".git").mkdir()
    return ".git: leads to no repository"


def version(repo: Repo) -> str:
    repo.git("config", "core.repositoryFormatVersion", "99")
    return "Expected git repo version"


def config(repo: Repo) -> str:
    with (repo.top / ".git" / "config").open("a") as file:
        file.write("[garbage\n")
    return "bad config line"


def index_file(repo: Repo) -> str:
    (repo.top / ".git" / "index").write_bytes(b"\x00garbage" * 9)
    return "bad signature"


def index_short(repo: Repo) -> str:
    (repo.top / ".git" / "index").write_bytes(b"")
    return "index file smaller than expected"


def owner(repo: Repo) -> str:
    for path in (repo.top, repo.top / ".git"):
        os.chown(path, 12345, -1)
    return "git config --global --add safe.directory"


WAYS = [
    nowhere,
    garbage,
    empty,
    version,
    config,
    index_file,
    index_short,
    pytest.param(owner, marks=pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() != 0, reason="only root gives files away")),
]


@pytest.mark.parametrize("way", WAYS)
def test_a_repository_that_git_cannot_read_is_told(book: Repo, way: Callable[[Repo], str]) -> None:
    before = here(book, "list", *DAY).stdout
    said = way(book)
    assert codes(book) == {"git-unreadable": "warning"}
    assert here(book, "list", *DAY).stdout == before
    assert here(book, "show", "TH-005001").returncode == 0
    assert here(book, "enter", "note", "TH-005001", "--note", "seen", "--by", "ab", "--dry-run").returncode == 0
    done = here(book, "review")
    assert done.returncode == 2 and said in done.stderr and len(done.stderr.splitlines()) == 1, done.stderr
    assert "make one with `git init`" not in done.stderr


def test_a_folder_without_git_is_no_fault(book: Repo) -> None:
    shutil.rmtree(book.top / ".git")
    assert codes(book) == {}
    assert "make one with `git init`" in here(book, "review").stderr


def test_a_work_tree_that_lies_elsewhere_is_not_believed(book: Repo) -> None:
    book.write(cask(RECEIVED, EXAMINED, TESTED.replace("psi: 11", "psi: 12")))
    assert here(book, "review").returncode == 1
    book.git("config", "core.worktree", "../records")
    for words in (("review",), ("check", "--since", "HEAD")):
        done = (installed if words[0] == "review" else here)(book, *words)
        assert done.returncode == 2 and "core.worktree" in done.stderr, (words, done.stdout, done.stderr)


def test_a_git_dir_in_the_environment_is_named_where_it_is_not_followed(book: Repo, monkeypatch: pytest.MonkeyPatch) -> None:
    (book.top / ".git").rename(book.top.parent / "elsewhere.git")
    monkeypatch.setenv("GIT_DIR", str(book.top.parent / "elsewhere.git"))
    done = here(book, "review")
    assert done.returncode == 2 and "GIT_DIR is not followed" in done.stderr, done.stderr


# States in which all is well


def test_files_of_a_ledger_in_a_bare_repository_are_checked_as_they_are_listed(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    repo.git("init", "-q", "--bare", str(tmp_path / "bare"))
    shutil.copytree(repo.ledger, tmp_path / "bare" / "records")
    bare = Repo.__new__(Repo)
    bare.top, bare.ledger = tmp_path / "bare", tmp_path / "bare" / "records"
    assert "1 cask" in here(bare, "list", *DAY).stdout
    done = here(bare, "check")
    assert done.stdout.startswith("1 cask") or "1 cask:" in done.stdout, (done.stdout, done.stderr)


def linked(book: Repo) -> Repo:
    book.git("worktree", "add", "-q", str(book.top.parent / "linked"), "-b", "other")
    return Repo(book.top.parent / "linked")


def submodule(book: Repo) -> Repo:
    outer = Repo(book.top.parent / "outer")
    outer.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", str(book.top), "inner")
    outer.commit()
    return Repo(outer.top / "inner")


def detached(book: Repo) -> Repo:
    book.git("checkout", "-q", "--detach")
    return book


def split(book: Repo) -> Repo:
    book.git("config", "core.splitIndex", "true")
    book.git("update-index", "--split-index")
    return book


def untracked_cache(book: Repo) -> Repo:
    book.git("config", "core.untrackedCache", "true")
    book.git("update-index", "--untracked-cache")
    return book


def monitored(book: Repo) -> Repo:
    book.git("config", "core.fsmonitor", f"touch {book.top.parent / 'owned'}; false")
    return book


def modes_off(book: Repo) -> Repo:
    book.git("config", "core.fileMode", "false")
    return book


def locked(book: Repo) -> Repo:
    (book.top / ".git" / "index.lock").touch()
    return book


@pytest.mark.parametrize("state", [linked, submodule, detached, split, untracked_cache, monitored, modes_off, locked])
def test_an_unusual_repository_answers_like_any(book: Repo, state: Callable[[Repo], Repo]) -> None:
    repo = state(book)
    assert codes(repo) == {} and here(repo, "review").returncode == 0
    assert "2 casks" in here(repo, "list", *DAY).stdout
    repo.path().chmod(0o755)
    assert "2 casks" in here(repo, "list", *DAY).stdout and codes(repo) == {}
    done = here(repo, "enter", "note", "TH-005001", "--note", "seen", "--by", "ab", "--date", "2026-01-02", "--yes")
    assert done.returncode == 0, done.stderr
    repo.write(cask(RECEIVED, EXAMINED, TESTED, FILLED))
    assert "filled" in here(repo, "list", *DAY).stdout and "note: seen" in here(repo, "review").stdout + here(
        repo, "show", "TH-005001", "--all"
    ).stdout.replace("note        seen", "note: seen")
    repo.write(cask(RECEIVED, EXAMINED))
    assert here(repo, "review").returncode == 1
    assert not (book.top.parent / "owned").exists()


def test_a_partial_clone_whose_origin_is_gone_says_what_is_missing(book: Repo) -> None:
    book.git("config", "uploadpack.allowFilter", "true")
    book.write(cask(RECEIVED, EXAMINED, cask_id="TH-005001"), "TH-005001")
    book.commit()
    partial = cloned(book, "partial", "--filter=blob:none", "--no-local")
    book.top.rename(book.top.parent / "away")
    assert "2 casks" in here(partial, "list", *DAY).stdout and codes(partial) == {}
    for words in (("list", "--at", "HEAD~1"), ("review", "HEAD~1..HEAD"), ("show", "TH-005001", "--at", "HEAD~1"), ("check", "--since", "HEAD~1")):
        done = here(partial, *words)
        assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and "git" in done.stderr, (words, done.stdout, done.stderr)
