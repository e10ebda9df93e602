"""A book whose house changed its name: an export takes the tables of the old name away, so that no engine counts the book twice."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import duckdb
import pytest
from history.ledgers import RECEIVED, cask

from caskbook.export.place import KEPT
from export.exports import DAY, commit, csv_rows, export, files, git, manifest

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
HOUSE = "name: {name}\ncrew:\n  - {{initials: ab, name: A B, from: 2010-01-01}}\n"
UNSURE = "lake also holds"


def book(root: Path, name: str = "Small House", number: str = "TH-000001", *, under_git: bool = True) -> Path:
    (root / "casks" / number[:-3]).mkdir(parents=True)
    (root / "house.yaml").write_text(HOUSE.format(name=name))
    (root / "casks" / number[:-3] / f"{number}.yaml").write_text(cask(RECEIVED, cask_id=number))
    if under_git:
        commit(root)
    return root


def renamed(root: Path, name: str = "New House", *, committed: bool = True) -> None:
    (root / "house.yaml").write_text(HOUSE.format(name=name))
    if committed:
        commit(root, "renamed")


def ledgers(folder: Path) -> list[str]:
    """The ledgers that any table, manifest or file of the export is of."""
    found = {part.removeprefix("ledger=") for path in files(folder) for part in Path(path).parts if part.startswith("ledger=")}
    return sorted(found | {path.stem for path in (folder / "manifest").iterdir()} | {path.stem for path in (folder / KEPT / "current" / "seen").glob("*.json")})


@pytest.mark.parametrize("form", ["csv", "parquet", "sqlite"])
def test_the_tables_of_the_old_name_go(tmp_path: Path, form: str) -> None:
    root, folder = book(tmp_path / "book"), tmp_path / "lake"
    assert export(root, folder, form).returncode == 0
    renamed(root)
    done = export(root, folder, form)
    assert (
        done.returncode == 0 and "lake held this book as Small House, its name before (one day): nothing of it stands under that name any more" in done.stderr
    ), done.stderr
    if form == "sqlite":
        assert [path.name for path in (folder / "sqlite").iterdir()] == ["New-House.sqlite"]
        assert [path.stem for path in (folder / "manifest").iterdir()] == ["New-House"]
    else:
        assert ledgers(folder) == ["New-House"]
        with duckdb.connect() as engine:
            read = f"read_{form}('{folder}/cask/**/*.{form}', hive_partitioning = true)"
            assert engine.execute(f"SELECT ledger, count(*) FROM {read} GROUP BY 1").fetchall() == [("New-House", 1)]
    again = export(root, folder, form)
    assert again.stdout.startswith("nothing changed") and not again.stderr


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_the_days_that_were_exported_go_on_under_the_new_name(tmp_path: Path, form: str) -> None:
    root, folder = book(tmp_path / "book"), tmp_path / "lake"
    for day in ("2026-11-28", "2026-11-29"):
        assert export(root, folder, form, "--as-of", day).returncode == 0
    kept = {path.replace("Small-House", "New-House"): data for path, data in files(folder, form).items() if "as_of=" in path}
    renamed(root)
    assert export(root, folder, form).returncode == 0 and ledgers(folder) == ["New-House"]
    now = files(folder, form)
    assert kept.items() <= now.items() and {path.split("as_of=")[1][:10] for path in now if "cask/" in path} == {"2026-11-28", "2026-11-29", DAY}
    assert sorted(one["path"] for one in manifest(folder)["files"]) == sorted(now) and not any("was" in one for one in manifest(folder)["files"])
    assert export(root, folder, form).stdout.startswith("nothing changed")


@pytest.mark.parametrize("how", ["uncommitted", "clone", "moved", "old manifest", "back"])
def test_a_book_is_known_again(tmp_path: Path, how: str) -> None:
    """By its own history: uncommitted, in another clone, from another place, by what an earlier version said of it, and back under its first name."""
    root, folder = book(tmp_path / "book"), tmp_path / "lake"
    assert export(root, folder).returncode == 0
    if how == "clone":
        git(tmp_path, "clone", "-q", str(root), str(tmp_path / "other"))
    if how == "moved":
        root.rename(tmp_path / "other")
    root = tmp_path / "other" if (tmp_path / "other").exists() else root
    if how == "old manifest":
        forget(folder)
    renamed(root, committed=how != "uncommitted")
    assert export(root, folder).returncode == 0 and ledgers(folder) == ["New-House"]
    if how == "back":
        renamed(root, "Small House")
        assert export(root, folder).returncode == 0 and ledgers(folder) == ["Small-House"]
        done = export(root, folder, "csv", "--at", "HEAD~1")
        assert done.returncode == 0 and ledgers(folder) == ["New-House"], done.stderr


def forget(folder: Path) -> None:
    """What a manifest of an earlier version does not say."""
    for path in (folder / "manifest").iterdir():
        told: dict[str, Any] = json.loads(path.read_text())
        path.write_text(json.dumps({key: value for key, value in told.items() if key not in ("repository", "place", "sha256")}))


@pytest.mark.parametrize("under_git", [True, False])
def test_several_ledgers_go_on_lying_side_by_side(tmp_path: Path, under_git: bool) -> None:
    folder = tmp_path / "lake"
    for number, name in enumerate(("North", "South", "East")):
        done = export(book(tmp_path / name, name, f"TH-00000{number}", under_git=under_git), folder)
        assert done.returncode == 0, done.stderr
        assert (UNSURE in done.stderr) == (not under_git and number > 0), done.stderr
    before = files(folder)
    for name in ("North", "South", "East"):
        done = export(tmp_path / name, folder)
        assert done.returncode == 0 and not done.stderr and files(folder) == before
    assert ledgers(folder) == ["East", "North", "South"] and len(csv_rows(folder, "cask")) == 3


def test_two_ledgers_of_one_repository_are_two(tmp_path: Path) -> None:
    top, folder = tmp_path / "top", tmp_path / "lake"
    for name in ("north", "south"):
        book(top / name, name, under_git=False)
    commit(top)
    for old in (False, True):
        for name in ("north", "south"):
            assert export(top / name, folder).returncode == 0
        assert ledgers(folder) == ["north", "south"], old
        forget(folder)
    renamed(top / "south", "West", committed=False)
    assert export(top / "south", folder).returncode == 0 and ledgers(folder) == ["West", "north"]


def test_without_git_a_book_is_known_by_its_place_alone(tmp_path: Path) -> None:
    root, folder = book(tmp_path / "book", under_git=False), tmp_path / "lake"
    assert export(root, folder).returncode == 0
    renamed(root, committed=False)
    assert export(root, folder).returncode == 0 and ledgers(folder) == ["New-House"]
    shutil.copytree(root, tmp_path / "copy")
    renamed(tmp_path / "copy", "Copy", committed=False)
    done = export(tmp_path / "copy", folder)
    told = f"{folder} also holds New House, of which nobody can tell here whether it is this book under an earlier name: if it is, both are counted; name another folder"
    assert done.returncode == 0 and told in done.stderr and ledgers(folder) == ["Copy", "New-House"], done.stderr
    assert not export(tmp_path / "copy", folder).stderr


def test_a_book_of_the_same_beginning_whose_commit_is_not_known_is_refused(tmp_path: Path) -> None:
    root, folder = book(tmp_path / "book"), tmp_path / "lake"
    git(tmp_path, "clone", "-q", str(root), str(tmp_path / "other"))
    renamed(root, "Old House")
    assert export(root, folder).returncode == 0
    before = files(folder)
    renamed(tmp_path / "other")
    done = subprocess.run([PROGRAM, "export", folder, "--format", "csv", "--records", tmp_path / "other"], capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "Old House" in done.stderr and "the same first commit" in done.stderr and "name another folder" in done.stderr, done.stderr
    assert files(folder) == before and ledgers(folder) == ["Old-House"]


def test_a_shallow_clone_says_that_it_cannot_tell(tmp_path: Path) -> None:
    root, folder = book(tmp_path / "book"), tmp_path / "lake"
    assert export(root, folder).returncode == 0
    renamed(root)
    git(tmp_path, "clone", "-q", "--depth", "1", f"file://{root}", str(tmp_path / "other"))
    done = export(tmp_path / "other", folder)
    assert done.returncode == 0 and UNSURE in done.stderr and "git fetch --unshallow" in done.stderr, done.stderr
