"""What has not changed since the last export stays the very file it was; ledgers lie side by side; days are added, not exchanged."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from commands import caskbook

from export.exports import DAY, commit, csv_rows, export, files, git, inodes, manifest

pytestmark = pytest.mark.thorough

ROOT = Path(__file__).parent.parent.parent
YEARS = "event/ledger=Thornmere-House/year="


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the shipped ledger, committed."""
    shutil.copytree(ROOT / "records", tmp_path / "book", ignore=shutil.ignore_patterns(".caskbook", ".pending"))
    commit(tmp_path / "book")
    return tmp_path / "book"


def everything(folder: Path) -> dict[str, tuple[int, int, int]]:
    """Each file and folder below → its number on the disk, when it was last written, when anything of it changed."""
    return {str(one.relative_to(folder)): (one.lstat().st_ino, one.lstat().st_mtime_ns, one.lstat().st_ctime_ns) for one in folder.rglob("*")}


def test_only_what_changed_is_written_anew(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(shop, folder).returncode == 0
    before, first = inodes(folder), everything(folder)
    again = export(shop, folder)
    assert again.stdout.startswith("nothing changed") and everything(folder) == first

    assert caskbook("enter", "note", "TH-003372", "--note", "seen", "--by", "ab", "--date", "2025-11-20", "--records", str(shop), "--yes").returncode == 0
    assert manifest(folder)["uncommitted"] is False
    done = export(shop, folder)
    after = inodes(folder)
    changed = {path.rpartition("/")[0] for path in after.keys() ^ before.keys()}
    assert done.returncode == 0 and f"{YEARS}2025" in changed
    assert not {name for name in changed if name.startswith(YEARS)} - {f"{YEARS}2025"}
    assert {path: after[path] for path in after.keys() & before.keys()} == {path: before[path] for path in after.keys() & before.keys()}
    assert len(after.keys() & before.keys()) > 15, "of a book of many years nearly all stays"
    told = manifest(folder)
    assert told["uncommitted"] is True and told["commit"] == git(shop, "rev-parse", "HEAD").strip()

    fresh = tmp_path / "fresh"
    assert export(shop, fresh).returncode == 0
    assert files(fresh) == files(folder), "what was written piece by piece is what is written at once"


def test_a_commit_that_changes_nothing_of_the_book_changes_the_manifest_alone(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(shop, folder).returncode == 0
    before = inodes(folder)
    (shop / "notes.txt").write_text("of the shop\n")
    named = commit(shop)
    assert export(shop, folder).returncode == 0
    assert inodes(folder) == before and manifest(folder)["commit"] == named


def test_a_part_that_was_taken_away_is_written_again(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(shop, folder).returncode == 0
    before = files(folder)
    for path in ((folder / "event").rglob("*.csv"), (folder / "cask").rglob("*.csv")):
        next(path).unlink()
    assert export(shop, folder).stdout.startswith("2 files written") and files(folder) == before


def test_a_file_that_somebody_altered_is_not_built_upon(shop: Path, tmp_path: Path) -> None:
    """Its size is as it was, its content is not: a file that is made of it would go on telling it. It is written from the book instead."""
    folder = tmp_path / "lake"
    assert export(shop, folder, "parquet", "--as-of", "2026-11-29").returncode == 0
    (path,) = (folder / "cask").rglob("*.parquet")
    other = path.read_bytes()
    path.write_bytes(other[:2000] + bytes(one ^ 1 for one in other[2000:2100]) + other[2100:])
    done = export(shop, folder, "parquet")
    assert done.returncode == 0, done.stderr
    assert export(shop, tmp_path / "fresh", "parquet").returncode == 0
    name = f"as_of={DAY}"
    now, fresh = ({path: data for path, data in files(one, "parquet").items() if name in path} for one in (folder, tmp_path / "fresh"))
    assert now == fresh and now


def test_a_store_by_type_follows_a_type_that_is_corrected(shop: Path, tmp_path: Path) -> None:
    """The entry is the same, and the store that it was done in another: of all years the cask has entries in."""
    house = shop / "house.yaml"
    text = house.read_text(encoding="utf-8")
    assert text.count("\ntypes:\n") == 1
    house.write_text(text.replace("\ntypes:\n", "\ntypes:\n  gorda: {stores: {W1: far shed, W3: far shed}}\n"), encoding="utf-8")
    folder = tmp_path / "lake"
    assert export(shop, folder, "parquet").returncode == 0
    before = inodes(folder, "parquet")
    done = caskbook(
        "enter",
        "correct",
        "TH-003372",
        "--type",
        "gorda",
        "--anyway",
        "--why",
        "as it is",
        "--by",
        "ab",
        "--date",
        "2026-11-28",
        "--records",
        str(shop),
        "--yes",
    )
    assert done.returncode == 0, done.stderr
    assert export(shop, folder, "parquet").returncode == 0 and export(shop, tmp_path / "fresh", "parquet").returncode == 0
    assert files(folder, "parquet") == files(tmp_path / "fresh", "parquet")
    assert len([path for path in before if path.startswith(YEARS) and path not in inodes(folder, "parquet")]) > 1


def test_a_revision_is_exported_as_it_stood(shop: Path, tmp_path: Path) -> None:
    first = git(shop, "rev-parse", "HEAD").strip()
    assert export(shop, tmp_path / "then").returncode == 0
    assert caskbook("enter", "note", "TH-003372", "--note", "seen", "--by", "ab", "--date", "2025-11-20", "--records", str(shop), "--yes").returncode == 0
    second = commit(shop)
    assert export(shop, tmp_path / "lake").returncode == 0
    done = export(shop, tmp_path / "lake", "csv", "--at", first)
    assert done.returncode == 0 and manifest(tmp_path / "lake")["commit"] == first != second
    assert files(tmp_path / "lake") == files(tmp_path / "then")


def test_days_are_added_and_another_ledger_is_left_alone(shop: Path, tmp_path: Path) -> None:
    folder, other = tmp_path / "lake", tmp_path / "other"
    shutil.copytree(shop, other, ignore=shutil.ignore_patterns(".git", ".caskbook"))
    house = (other / "house.yaml").read_text()
    (other / "house.yaml").write_text(house.replace("name: Thornmere House", "name: Ýzer / Ünder=1"))
    assert export(shop, folder, "csv", "--as-of", "2026-11-29").returncode == 0
    assert export(other, folder).returncode == 0
    own = {path: about for path, about in inodes(folder).items() if "ledger=Yzer-Under-1/" in path}
    assert len(own) > 15
    assert export(shop, folder).returncode == 0
    assert {path: about for path, about in inodes(folder).items() if path in own} == own
    days = {path.split("/")[2] for path in inodes(folder) if path.startswith("cask/ledger=Thornmere-House/")}
    assert days == {"as_of=2026-11-29", f"as_of={DAY}"}
    assert sorted(path.stem for path in (folder / "manifest").iterdir()) == ["Thornmere-House", "Yzer-Under-1"]
    cask = {row["cask"] for row in csv_rows(folder, "cask")}
    assert len(csv_rows(folder, "cask")) == 3 * len(cask)


def test_a_day_to_come_is_told_from_that_day_on(shop: Path, tmp_path: Path) -> None:
    """An entry is no row before its day; the file it stands in is the same on both."""
    folder = tmp_path / "lake"
    assert export(shop, folder, "csv", "--as-of", "2026-09-01").returncode == 0
    early = len(csv_rows(folder, "event"))
    assert max(row["done_on"] for row in csv_rows(folder, "event")) <= "2026-09-01"
    assert export(shop, folder).returncode == 0
    assert export(shop, tmp_path / "fresh").returncode == 0
    assert len(csv_rows(folder, "event")) == len(csv_rows(tmp_path / "fresh", "event")) > early


def test_cells_are_no_formulas_and_sqlite_keeps_other_days(shop: Path, tmp_path: Path) -> None:
    assert caskbook("enter", "note", "TH-003372", "--note", "=1+1", "--by", "ab", "--date", "2025-11-20", "--records", str(shop), "--yes").returncode == 0
    assert export(shop, tmp_path / "csv").returncode == 0
    assert [row["note"] for row in csv_rows(tmp_path / "csv", "event") if row["note"].endswith("=1+1")] == ["'=1+1"]

    import sqlite3
    from contextlib import closing

    for day in ("2026-11-28", DAY, DAY):
        assert export(shop, tmp_path / "one", "sqlite", "--as-of", day).returncode == 0
    with closing(sqlite3.connect(tmp_path / "one" / "sqlite" / "Thornmere-House.sqlite")) as store:
        assert [row[0] for row in store.execute("SELECT DISTINCT as_of FROM cask ORDER BY 1")] == ["2026-11-28", DAY]
        indexed = {row[0] for row in store.execute("SELECT tbl_name FROM sqlite_master WHERE type = 'index'")}
        assert indexed == {"event", "cask", "due", "fill", "gauge", "part", "defect", "leak", "receipt", "gift", "finding"}
        assert store.execute("SELECT count(*), count(DISTINCT done_by) FROM event WHERE year IS NOT NULL").fetchone()[1] > 1
