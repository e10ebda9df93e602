"""Links that a repository carries in where commands write files with names of their own: none is followed, and a check tells them."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from laws import crossed

from history.ledgers import RECEIVED, Repo, cask, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
LINKS = ("records/.gitattributes", "records/.gitignore", "schemas", "schemas/cask.schema.json")


@pytest.fixture
def outside(tmp_path: Path) -> Path:
    place = tmp_path / "outside"
    place.mkdir()
    (place / "file").write_text("precious\n")
    return place


def linked(tmp_path: Path, outside: Path, *links: str) -> Repo:
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED))
    for link in links:
        path = repo.top / link
        path.parent.mkdir(exist_ok=True)
        path.symlink_to(outside if link == "schemas" else outside / "file")
    repo.commit("links")
    return repo


@pytest.mark.parametrize("link", ["records", "books"])
def test_a_ledger_behind_a_link_out_of_the_repository_is_answered_and_not_written(tmp_path: Path, link: str):
    outside = tmp_path / "there"
    held = ledger(tmp_path, name="one")
    held.write(cask(RECEIVED))
    (outside if link == "books" else tmp_path).mkdir(exist_ok=True)
    held.ledger.rename(outside / "records" if link == "books" else outside)
    where = "books/records" if link == "books" else "records"
    (held.top / link).symlink_to(outside)
    found = caskbook("check", "--records", where, "--format", "json", cwd=held.top)
    assert not [one for one in json.loads(found.stdout)["findings"] if one["code"] == "symbolic-link"], "a link of the user's own"
    held.commit("link")
    for path in outside.rglob(".caskbook"):
        shutil.rmtree(path)
    before = {path: path.read_bytes() for path in outside.rglob("*") if path.is_file()}
    found = caskbook("check", "--records", where, "--format", "json", cwd=held.top)
    told = [(one["code"], one["path"]) for one in json.loads(found.stdout)["findings"] if one["severity"] != "note"]
    assert found.returncode == 1 and told == [("symbolic-link", link)], told
    for words in (("due",), ("list",), ("show", "TH-004217"), ("query", "select cask from cask")):
        ran = caskbook(*words, "--records", where, cwd=held.top)
        assert ran.returncode == 0 and "TH-004217" in caskbook("list", "--records", where, cwd=held.top).stdout, ran.stderr
    for words in (("enter", "note", "TH-004217", "--note", "x", "--by", "ab", "--yes"), ("enter", "receive", "TH-009001", "accept", "--type", "barrel", "--by", "ab", "--yes"),
                  ("git", "install")):  # fmt: skip
        assert caskbook(*words, "--records", where, cwd=held.top).returncode == 2, words
    assert before == {path: path.read_bytes() for path in outside.rglob("*") if path.is_file()}


def test_a_ledger_behind_a_link_within_the_repository_is_told_and_written(tmp_path: Path):
    held = ledger(tmp_path)
    held.write(cask(RECEIVED))
    held.ledger.rename(held.top / "real")
    (held.top / "records").symlink_to("real")
    held.commit("link")
    found = caskbook("check", "--format", "json", cwd=held.top)
    assert [(one["code"], one["path"]) for one in json.loads(found.stdout)["findings"] if one["severity"] != "note"] == [("symbolic-link", "records")], (
        found.stdout
    )
    assert caskbook("enter", "note", "TH-004217", "--note", "x", "--by", "ab", "--yes", cwd=held.top).returncode == 0


def unharmed(outside: Path) -> bool:
    return [one.name for one in outside.iterdir()] == ["file"] and (outside / "file").read_text() == "precious\n"


@pytest.mark.parametrize(
    ("link", "words"),
    [
        ("records/.gitattributes", "git install"),
        ("records/.gitattributes", "git uninstall"),
        ("schemas", "schema"),
        ("schemas/cask.schema.json", "schema"),
        ("schemas/cask.schema.json", "schema schemas"),
    ],
)
def test_nothing_is_written_where_a_link_leads(tmp_path: Path, outside: Path, link: str, words: str):
    repo = linked(tmp_path, outside, link)
    before = (repo.top / ".git" / "config").read_bytes()
    done = caskbook(*words.split(), cwd=repo.top)
    assert done.returncode == 2 and "a symbolic link, which a ledger may not hold" in done.stderr, done.stderr
    assert unharmed(outside) and (repo.top / link).is_symlink() and (repo.top / ".git" / "config").read_bytes() == before


@pytest.mark.parametrize("name", [".last-run.json.tmp", "last-run.json"])
@pytest.mark.parametrize("there", ["file", "missing"])
def test_what_a_run_wrote_is_noted_where_no_link_leads(tmp_path: Path, outside: Path, name: str, there: str):
    """By an entry, a void and `undo`; a link in the place of the note itself leaves nothing to take back."""
    repo = linked(tmp_path, outside)
    link = repo.ledger / ".caskbook" / name
    link.parent.mkdir(exist_ok=True)
    for words in (("enter", "note", "TH-004217", "--note", "x", "--by", "ab"), ("void", "TH-004217", "dsy3jphz", "--why", "x", "--by", "ab"), ("undo",)):
        link.unlink(missing_ok=True)
        link.symlink_to(outside / there)
        done = caskbook(*words, "--yes", cwd=repo.top)
        assert done.returncode == (2 if words == ("undo",) and name == "last-run.json" else 0), (words, done.stderr)
        assert unharmed(outside), words


def test_the_installed_command_follows_none_either(tmp_path: Path, outside: Path):
    repo = linked(tmp_path, outside, *LINKS[:2], LINKS[3])
    repo.git("clone", "-q", ".", str(tmp_path / "clone"))
    for words in (["git", "install"], ["schema"]):
        done = subprocess.run([str(PROGRAM), *words], cwd=tmp_path / "clone", capture_output=True, text=True, check=False)
        assert done.returncode == 2 and "symbolic link" in done.stderr
    assert unharmed(outside)


@pytest.mark.parametrize("link", ["house.yaml", ".gitattributes", ".gitignore", "casks", "../schemas", "../schemas/house.schema.json"])
def test_a_new_ledger_is_made_over_no_link(tmp_path: Path, outside: Path, link: str):
    (tmp_path / "new" / "records").mkdir(parents=True)
    path = tmp_path / "new" / "records" / link
    path.parent.mkdir(exist_ok=True)
    path.symlink_to(outside / "missing")
    done = caskbook("init", "records", cwd=tmp_path / "new")
    assert done.returncode == 2 and "a symbolic link" in done.stderr and unharmed(outside)
    assert not (tmp_path / "new" / "records" / "house.yaml").exists()


def test_where_a_folder_is_named_it_may_be_a_link(tmp_path: Path, outside: Path):
    (tmp_path / "here").symlink_to(outside)
    assert caskbook("schema", str(tmp_path / "here")).returncode == 0 and (outside / "cask.schema.json").is_file()


@pytest.mark.parametrize("link", LINKS)
def test_a_check_tells_the_link_on_disk_and_in_a_revision(tmp_path: Path, outside: Path, link: str):
    repo = linked(tmp_path, outside, link)
    for words in ([], ["--at", "HEAD"]):
        done = caskbook("check", *words, "--format", "json", cwd=repo.top)
        found = [(one["code"], one["path"].removeprefix("HEAD:")) for one in json.loads(done.stdout)["findings"] if one["severity"] == "error"]
        assert found == [("symbolic-link", link)] and done.returncode == 1, words


def test_a_hook_that_is_a_link_is_put_aside_and_what_it_leads_to_left_alone(tmp_path: Path, outside: Path):
    repo = linked(tmp_path, outside)
    (repo.top / ".git" / "hooks" / "pre-commit").symlink_to(outside / "file")
    (repo.top / ".git" / "hooks" / "pre-push").symlink_to(outside / "missing")
    assert caskbook("git", "install", cwd=repo.top).returncode == 0
    hooks = repo.top / ".git" / "hooks"
    assert unharmed(outside) and not (hooks / "pre-commit").is_symlink() and os.access(hooks / "pre-push", os.X_OK)
    assert (hooks / "pre-commit.before-caskbook").is_symlink() and not os.access(outside / "file", os.X_OK)


@crossed("link,mode", ["casks/TH-004/TH-004218.yaml", "casks/TH-005"], ["on", "off"])
def test_who_lists_casks_says_that_a_link_among_them_is_not_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, link: str, mode: str) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    repo = ledger(tmp_path, RECEIVED)
    for number in ("TH-004218", "TH-005001"):
        repo.write(cask(RECEIVED, cask_id=number), number)
    repo.commit("all")
    asked = (("list",), ("due", "--all"), ("query", "select cask from cask"), ("report", "loss"), ("round", "--vacant", "W1/05", "4217"))
    told = f"1 link among the casks is not followed, and what is there is left out, from {Path(link).stem} on: caskbook check"
    assert not [one for words in asked if "link among" in (one := caskbook(*words, cwd=repo.top)).stderr]
    there = repo.ledger / link
    there.rename(tmp_path / "elsewhere")
    there.symlink_to(tmp_path / "elsewhere")
    for state in ("changed", "staged", "committed"):
        if state != "changed":
            repo.git("add", "-A")
        if state == "committed":
            repo.git("commit", "-qm", "link", "--no-verify")
        for words in asked * 2:
            assert caskbook(*words, cwd=repo.top).stderr.count(told) == 1, (state, words)
    for words in asked[:4]:
        assert f"{told} --at HEAD\n" in caskbook(*words, "--at", "HEAD", cwd=repo.top).stderr, words
        assert "link among" not in caskbook(*words, "--at", "HEAD~1", cwd=repo.top).stderr, words
