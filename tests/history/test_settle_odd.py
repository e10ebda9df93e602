"""A side of a merge that made something else of a file of the book: `settle` says what is there, and what it advises gives the file back."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import RECEIVED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

NOTED = cask(RECEIVED) + event("gqw00001", "2023-06-01", "note", "note: seen")
FILE, HOUSE = "casks/TH-004/TH-004217.yaml", "house.yaml"


def odd(path: Path, kind: str, to: str = "elsewhere") -> None:
    """Something else in the file's place."""
    path.unlink()
    if kind == "link":
        path.symlink_to(to)
    else:
        path.mkdir()
        (path / "y.yaml").write_text("x\n")


def merged(tmp_path: Path, name: str, kind: str, whose: str) -> tuple[Repo, bytes]:
    """A merge under way in which one side went on with a file, and the other made something else of it; with the bytes that landed."""
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED))
    repo.commit("begun")
    path = repo.ledger / name
    repo.git("checkout", "-q", "-b", "side")
    odd(path, kind)
    repo.commit("odd")
    repo.git("checkout", "-q", "-f", "main")
    path.write_text(NOTED if name == FILE else path.read_text() + "name: North House\n")
    repo.commit("went on")
    landed = path.read_bytes()
    if whose == "our":
        repo.git("checkout", "-q", "-f", "side")
    repo.git("merge", "side" if whose == "their" else "main", good=(1,))
    return repo, landed


@pytest.mark.parametrize("whose", ["their", "our"])
@pytest.mark.parametrize(("name", "kind"), [(FILE, "link"), (FILE, "folder"), (HOUSE, "link")])
def test_what_it_advises_puts_the_file_back(tmp_path: Path, name: str, kind: str, whose: str):
    repo, landed = merged(tmp_path, name, kind, whose)
    ran = caskbook("settle", "--records", "records", cwd=repo.top) if name == FILE else _where_the_house_is(repo)
    assert ran.returncode == 1 and f"{whose} side has a {kind} there, which a ledger may not hold" in ran.stdout, ran
    for command in re.findall(r"`([^`]+)`", ran.stdout):
        subprocess.run(command, shell=True, cwd=repo.top, check=True, capture_output=True)
    assert (repo.ledger / name).read_bytes() == landed and not (repo.ledger / name).is_symlink()
    repo.git("commit", "-q", "--no-verify", "-m", "united")
    assert "nothing to settle" in caskbook("settle", cwd=repo.top).stdout
    assert repo.git("show", f"HEAD:records/{name}").encode() == landed and "~" not in repo.git("ls-files")


def _where_the_house_is(repo: Repo) -> subprocess.CompletedProcess[str]:
    """A link in its place leads nowhere, so the book is none until the house's file is given back; git laid that aside."""
    aside = next(path for path in repo.ledger.iterdir() if path.name.startswith("house.yaml~"))
    there = repo.ledger / HOUSE
    link = there.readlink()
    there.unlink()
    shutil.copy(aside, there)
    ran = caskbook("settle", "--records", "records", cwd=repo.top)
    there.unlink()
    there.symlink_to(link)
    return ran


def test_two_links_are_not_put_together(tmp_path: Path):
    repo = ledger(tmp_path)
    repo.write(cask(RECEIVED))
    repo.commit("begun")
    for branch, to in (("side", "one"), ("main", "two")):
        repo.git("checkout", "-q", *(["-b"] if branch == "side" else []), branch)
        odd(repo.ledger / FILE, "link", to)
        repo.commit(branch)
    repo.git("merge", "side", good=(1,))
    ran = caskbook("settle", cwd=repo.top)
    assert ran.returncode == 1 and "side has a link there" in ran.stdout and (repo.ledger / FILE).is_symlink(), ran
    assert repo.git("ls-files", "--unmerged")
