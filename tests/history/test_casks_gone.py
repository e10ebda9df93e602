"""A ledger without its casks: the folder is gone, empty, a link or a file. It is never passed for an empty book."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from laws import crossed
from reading_commands import of_the_whole_book

from history.ledgers import Repo, ledger
from history.test_carried_in import DAY, codes, here, installed

pytestmark = pytest.mark.thorough


def gone(repo: Repo) -> None:
    """No folder at all."""
    repo.git("rm", "-r", "-q", "records/casks")
    repo.git("reset", "-q")


def emptied(repo: Repo) -> None:
    """The folder without a file."""
    gone(repo)
    (repo.ledger / "casks").mkdir()


def linked(repo: Repo) -> None:
    """A link to where the casks were moved."""
    (repo.ledger / "casks").rename(repo.top / "moved")
    (repo.ledger / "casks").symlink_to("../moved")


def loose(repo: Repo) -> None:
    """A link that leads nowhere."""
    gone(repo)
    (repo.ledger / "casks").symlink_to("nowhere")


def filed(repo: Repo) -> None:
    """A file in its place."""
    gone(repo)
    (repo.ledger / "casks").write_text("casks")


def piped(repo: Repo) -> None:
    """A pipe in its place."""
    gone(repo)
    os.mkfifo(repo.ledger / "casks")


WAYS = {gone: "no casks folder at", emptied: "no casks here", linked: "a link at", loose: "a link at", filed: "no folder at", piped: "no folder at"}


@crossed("way,index", list(WAYS), ["", "off"])
def test_a_book_without_its_casks_is_no_empty_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: Callable[[Repo], None], index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    repo = ledger(tmp_path)
    way(repo)
    words = WAYS[way]
    line = words + (" records/casks" if words.endswith("at") else "") + "; git knows 1 cask there: git restore records/casks"
    for asked in ((*words, *DAY) for words in of_the_whole_book()):
        done = here(repo, *asked)
        assert done.returncode == 0 and line in done.stderr.splitlines(), (asked, done.stderr)
    alarm = here(repo, "due", *DAY, "--fail-if-any")
    assert alarm.returncode == 1 and alarm.stderr.count(line) == 1, alarm.stderr
    assert codes(repo)["casks-missing"] == "error"
    assert here(repo, "check").returncode == 1
    for asked in (("show", "TH-004217"), ("enter", "note", "TH-004217", "--note", "seen", "--by", "ab", "--yes")):
        done = here(repo, *asked)
        assert done.returncode != 0 and "git restore records/casks" in done.stderr, done.stderr
    repo.git("restore", "records/casks")
    assert here(repo, "due", *DAY).stderr == "" and "casks-missing" not in codes(repo)
    assert "TH-004217" in here(repo, "list", *DAY).stdout


def test_the_installed_command_says_that_the_casks_are_gone(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    gone(repo)
    done = installed(repo, "due", "--fail-if-any", *DAY)
    assert done.returncode == 1 and done.stderr == "no casks folder at records/casks; git knows 1 cask there: git restore records/casks\n"
    done = installed(repo, "check", "--format", "json")
    assert done.returncode == 1 and [one["code"] for one in json.loads(done.stdout)["findings"]] == ["casks-missing"]


def test_what_is_staged_as_removed_is_told_with_the_way_back(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    repo.git("rm", "-r", "-q", "records/casks")
    done = here(repo, "due", *DAY)
    way = done.stderr.strip().rpartition(": ")[2]
    assert way == "git restore -SW -s HEAD records/casks", done.stderr
    repo.git(*way.split()[1:])
    assert here(repo, "due", *DAY).stderr == ""


@pytest.mark.parametrize("committed", [True, False])
@pytest.mark.parametrize("folder", [True, False])
def test_a_new_ledger_without_a_cask_is_welcome(tmp_path: Path, committed: bool, folder: bool) -> None:
    repo = Repo(tmp_path / "house")
    here(repo, "init", "records")
    if committed:
        repo.commit()
    if not folder:
        (repo.ledger / "casks").rmdir()
    for asked in (("due", "--fail-if-any"), ("list",), ("check", "--strict")):
        done = here(repo, *asked)
        assert (done.returncode, done.stderr) == (0, ""), (asked, done.stdout, done.stderr)


def test_a_filter_that_fits_nothing_asks_no_more_of_git(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    for asked in (("due", "--type", "butt", *DAY), ("list", "--type", "butt", *DAY)):
        done = here(repo, *asked)
        assert done.returncode == 0 and "git" not in done.stderr, done.stderr


@pytest.mark.parametrize("command", ["list", "due", "show", "query", "check"])
def test_a_revision_without_a_ledger_is_called_so(tmp_path: Path, command: str) -> None:
    repo = ledger(tmp_path)
    repo.git("rm", "-q", "--cached", "records/house.yaml")
    repo.git("commit", "-q", "-m", "no house")
    more = {"show": ("TH-004217",), "query": ("select cask from cask",)}.get(command, ())
    run: Callable[..., subprocess.CompletedProcess[str]] = installed if command == "list" else here
    done = run(repo, command, *more, "--at", "HEAD")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "caskbook: no house.yaml in HEAD:records/: that revision has no ledger there; name one that has, or commit it first\n"
