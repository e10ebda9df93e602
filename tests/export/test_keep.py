"""`--keep`: of how many days the tables that have a part for each stay; what somebody else put there stays whatever goes."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from history.ledgers import HOUSE, RECEIVED, cask

from export.exports import export, files, inodes, manifest

pytestmark = pytest.mark.thorough


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text("name: Small House\n" + HOUSE)
    (root / "casks" / "TH-000" / "TH-000001.yaml").write_text(cask(RECEIVED, cask_id="TH-000001"))
    return root


def days(folder: Path) -> dict[str, list[str]]:
    """Table → the days it has parts of."""
    return {name: sorted(one.name.removeprefix("as_of=") for one in (folder / name / "ledger=Small-House").iterdir()) for name in ("cask", "due")}


def exported(book: Path, folder: Path, day: int, *more: str, form: str = "csv") -> str:
    done = export(book, folder, form, "--as-of", f"2026-11-{day:02}", *more)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_so_many_days_stay_and_without_the_option_all(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    for day in (2, 9, 3, 4, 5):
        exported(book, folder, day)
    assert days(folder) == dict.fromkeys(("cask", "due"), [f"2026-11-{day:02}" for day in (2, 3, 4, 5, 9)])
    before = inodes(folder)
    assert "2 days let go" in exported(book, folder, 5, "--keep", "3")
    assert days(folder) == dict.fromkeys(("cask", "due"), ["2026-11-04", "2026-11-05", "2026-11-09"])
    after = inodes(folder)
    assert after.items() < before.items() and {one["path"] for one in manifest(folder)["files"]} == set(files(folder))
    assert exported(book, folder, 5, "--keep", "3").startswith("nothing changed:")
    exported(book, folder, 1, "--keep", "2")
    assert days(folder)["cask"] == ["2026-11-01", "2026-11-09"], "the day that is exported stays, however old it is"
    exported(book, folder, 6, "--keep", "1")
    assert days(folder)["due"] == ["2026-11-06"]
    assert export(book, folder, "csv", "--keep", "0").returncode == 2


def test_what_somebody_else_put_there_stays(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    exported(book, folder, 2)
    own = [folder / "own.txt", folder / "cask" / "ledger=Small-House" / "as_of=2026-11-02" / "own.txt", folder / "event" / "own.txt"]
    for path in own:
        path.write_text("by hand\n")
    for day in (3, 4):
        exported(book, folder, day, "--keep", "1")
    assert [path.read_text() for path in own] == ["by hand\n"] * 3
    assert [path.name for path in own[1].parent.iterdir()] == ["own.txt"] and days(folder)["due"] == ["2026-11-04"]


def test_a_sqlite_file_keeps_so_many_days(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    for day, more in ((2, ()), (3, ()), (4, ("--keep", "2")), (4, ("--keep", "1"))):
        exported(book, folder, day, *more, form="sqlite")
        with closing(sqlite3.connect(folder / "sqlite" / "Small-House.sqlite")) as store:
            found = [row[0] for row in store.execute("SELECT DISTINCT as_of FROM cask ORDER BY 1")]
        assert found == {(2, ()): ["2026-11-02"], (3, ()): ["2026-11-02", "2026-11-03"], (4, ("--keep", "2")): ["2026-11-03", "2026-11-04"]}.get(
            (day, more), ["2026-11-04"]
        )
