"""Odd things among the casks on disk: every command sees the same casks, and one finding or line says what to do."""

from __future__ import annotations

import json
import os
import socket
from collections.abc import Callable
from pathlib import Path

import pytest
from laws import crossed

from history.ledgers import EXAMINED, RECEIVED, TESTED, Repo, cask, event, ledger
from history.test_carried_in import DAY, here, installed

pytestmark = pytest.mark.thorough

NOTE = ("--note", "seen", "--by", "ab", "--date", "2026-01-02", "--dry-run")


def findings(repo: Repo) -> list[tuple[str, str]]:
    """(code, path) of what `check` finds."""
    return [(one["code"], one["path"]) for one in json.loads(here(repo, "check", "--format", "json").stdout)["findings"]]


def listed(repo: Repo) -> list[str]:
    """The casks that `list` has, once it is sure that `due` has as many."""
    found = json.loads(here(repo, "list", *DAY, "--format", "json").stdout)
    assert f" {sum(one['state'] != 'gone' for one in found)} cask" in here(repo, "due", *DAY).stdout
    return [one["cask"] for one in found]


@pytest.fixture
def book(tmp_path: Path) -> Repo:
    """Two casks in folders of their own; one took a stave of the other, which was broken up."""
    repo = ledger(tmp_path)
    opened = event("dt3q62s2", "2015-03-21", "open", "heads: [A]")
    stave = event("dt4q62s2", "2015-03-25", "stave", "staves: [4]", "action: replace", "from: TH-005001")
    repo.write(cask(RECEIVED, EXAMINED, TESTED, opened, stave))
    repo.write(cask(RECEIVED, cask_id="TH-005002"), "TH-005002")
    repo.write(cask(RECEIVED.replace("accept", "reject"), event("dsz3q62s", "2015-03-15", "break-up", "staves_saved: 20"), cask_id="TH-005001"), "TH-005001")
    repo.commit()
    return repo


def a_folder(place: Path) -> None:
    (place / ".git").mkdir()


def a_file(place: Path) -> None:
    (place / ".git").touch()


def a_repository(place: Path) -> None:
    Repo(place, "")


PLANTED = [a_folder, a_file, a_repository]
INSIDE = pytest.mark.parametrize("inside", PLANTED)


@crossed("inside,index", PLANTED, ["", "off"])
def test_casks_of_the_book_beside_a_git_folder_are_seen_by_all(book: Repo, inside: Callable[[Path], None], index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    before, casks = findings(book), listed(book)
    inside(book.path("TH-005001").parent)
    assert sorted(findings(book)) == sorted([*before, ("submodule-in-casks", "records/casks/TH-005/.git")])
    assert listed(book) == casks
    assert here(book, "show", "TH-005002").returncode == 0
    assert here(book, "enter", "note", "TH-005002", *NOTE).returncode == 0
    book.write(cask(RECEIVED, cask_id="TH-005003"), "TH-005003")
    assert ("submodule-in-casks", "records/casks/TH-005/.git") in findings(book)
    assert listed(book) == sorted([*casks, "TH-005003"])


@crossed("inside,index", PLANTED, ["", "off"])
def test_casks_of_another_book_are_seen_by_none(book: Repo, inside: Callable[[Path], None], index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    before, casks = findings(book), listed(book)
    inside(book.write(cask(RECEIVED, cask_id="TH-006001"), "TH-006001").parent)
    assert sorted(findings(book)) == sorted([*before, ("submodule-in-casks", "records/casks/TH-006")])
    assert listed(book) == casks
    for words in (
        ("show", "TH-006001"),
        ("enter", "note", "TH-006001", *NOTE),
        ("enter", "receive", "TH-006002", "--type", "barrel", "--verdict", "accept", *NOTE),
    ):
        done = here(book, *words)
        assert done.returncode == 2 and "another git repository" in done.stderr, (words, done.stderr)


def test_the_installed_command_sees_the_casks_beside_a_git_folder(book: Repo) -> None:
    a_folder(book.path("TH-005001").parent)
    done = installed(book, "check", "--format", "concise")
    assert done.returncode == 1 and done.stdout.splitlines() == [
        "records/casks/TH-005/.git:1:1: error submodule-in-casks a `.git` among casks of this book: expected cask files alone"
    ]
    assert "3 casks" in installed(book, "list", *DAY).stdout and "TH-005002" in installed(book, "show", "TH-005002").stdout


@INSIDE
def test_a_git_folder_beside_the_folders_of_casks_is_one_finding(book: Repo, inside: Callable[[Path], None]) -> None:
    before, casks = findings(book), listed(book)
    inside(book.ledger / "casks")
    assert sorted(findings(book)) == sorted([*before, ("submodule-in-casks", "records/casks/.git")])
    assert listed(book) == casks
    book.write(cask(RECEIVED, cask_id="TH-005003"), "TH-005003")
    assert listed(book) == sorted([*casks, "TH-005003"])


# Pipes, sockets, folders in the place of files


def a_pipe(path: Path) -> None:
    os.mkfifo(path)


def a_socket(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(path.name)
    os.chdir(here)


def a_directory(path: Path) -> None:
    path.mkdir()


ODD = pytest.mark.parametrize("odd", [a_pipe, a_socket, a_directory])


@crossed("odd,index", [a_pipe, a_socket, a_directory], ["", "off"])
def test_no_file_in_the_place_of_a_cask_is_told_by_all(book: Repo, odd: Callable[[Path], None], index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    here(book, "due")
    path = book.path("TH-005002")
    path.unlink()
    odd(path)
    assert ("unreadable-file", "records/casks/TH-005/TH-005002.yaml") in findings(book)
    assert "not an ordinary file" in here(book, "check").stdout
    for words in (("show", "TH-005002"), ("enter", "note", "TH-005002", *NOTE)):
        done = here(book, *words)
        assert done.returncode == 2 and "not an ordinary file" in done.stderr, done.stderr
    assert here(book, "due", *DAY).stderr == "records/casks/TH-005/TH-005002.yaml cannot be read and is left out; caskbook check TH-005002\n"
    assert here(book, "list", *DAY).stderr == "1 file left out: caskbook check\n"
    assert here(book, "review").returncode == 1


@ODD
@pytest.mark.parametrize("name", [".pending", ".pending/journal.json", ".caskbook", ".caskbook/lock", ".caskbook/index.lock"])
def test_no_file_of_ours_is_called_what_it_is(book: Repo, odd: Callable[[Path], None], name: str) -> None:
    path = book.ledger / name
    path.parent.mkdir(exist_ok=True)
    if odd is a_directory and "/" not in name:
        return  # a folder is what belongs there
    odd(path)
    found = findings(book)
    wanted = ("foreign-journal", "records/.pending") if name.endswith("json") else ("no-file-of-ours", f"records/{name}")
    assert wanted in found and not [one for one in found if one[0] == "symbolic-link"], found
    assert listed(book) == ["TH-004217", "TH-005001", "TH-005002"]
    done = here(book, "enter", "note", "TH-005002", *NOTE[:-1], "--yes")
    assert done.returncode == (2 if "index" not in name else 0), done.stderr
    assert "ordinary file" in done.stderr or "no folder of ours" in done.stderr or "take it away" in done.stderr or "not a directory" in done.stderr, (
        done.stderr
    )


def test_a_pipe_in_the_place_of_house_yaml_is_told_by_all(book: Repo) -> None:
    (book.ledger / "house.yaml").unlink()
    os.mkfifo(book.ledger / "house.yaml")
    for words in (("check",), ("due",), ("list",), ("show", "TH-005002"), ("review",)):
        done = here(book, *words)
        assert done.returncode == 2 and "not an ordinary file" in done.stderr, done.stderr


@pytest.mark.parametrize("place", [".gitattributes", ".gitignore", "records/.gitattributes", "records/casks/.gitattributes"])
def test_git_is_not_left_waiting_on_a_pipe(book: Repo, place: str) -> None:
    os.mkfifo(book.top / place)
    assert ("git-unreadable", "records/casks") in findings(book)
    assert listed(book) == ["TH-004217", "TH-005001", "TH-005002"]
    done = here(book, "review")
    assert done.returncode == 2 and f"{place.rpartition('/')[2]}: not an ordinary file" in done.stderr, done.stderr


def test_a_dot_file_is_told_by_its_name_and_sent_to_no_folder_of_dots(book: Repo) -> None:
    named = book.path().with_name(".TH-004217.yaml")
    named.write_bytes(book.path().read_bytes())
    report = json.loads(here(book, "check", f"records/casks/TH-004/{named.name}", "--format", "json").stdout)["findings"]
    assert [(one["code"], one["help"]) for one in report] == [("id-not-file-name", "rename the file to TH-004217.yaml")], report


def test_a_folder_that_is_called_casks_but_for_its_capitals_is_told(book: Repo) -> None:
    """On a disk where capitals do not count both are one folder; where they do, nobody reads the other one."""
    records, before = book.path().parents[2], findings(book)
    (records / "CASKS").mkdir()
    assert findings(book) == before, "an empty one is nobody's"
    place = records / "Casks" / "TH-007" / "TH-007001.yaml"
    place.parent.mkdir(parents=True)
    place.write_text(cask(RECEIVED, cask_id="TH-007001"), encoding="utf-8")
    assert findings(book) == [*before, ("stray-file", "records/Casks/TH-007/TH-007001.yaml")]
    assert "TH-007001" not in listed(book)
