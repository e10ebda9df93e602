"""Where an export may go: nothing that is not its own is ever written, followed or taken away."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, cask, event

from caskbook.export.schema import part_fields, table
from export.exports import commit, export, files, manifest, parquet_rows

KEPT = ".caskbook-export"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text("name: Small House\n" + HOUSE)
    (root / "casks" / "TH-000" / "TH-000001.yaml").write_text(cask(RECEIVED, cask_id="TH-000001"))
    commit(root)
    return root


def refused(book: Path, folder: Path, why: str, form: str = "csv") -> None:
    done = export(book, folder, form)
    assert done.returncode == 2 and why in done.stderr, done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_folders_that_are_none_of_ours_are_refused(book: Path, tmp_path: Path) -> None:
    full, file, link, git = tmp_path / "full", tmp_path / "file", tmp_path / "link", book / ".git" / "lake"
    full.mkdir()
    (full / "own.csv").write_text("a\n")
    file.write_text("a\n")
    (tmp_path / "empty").mkdir()
    link.symlink_to(tmp_path / "empty")
    bare = tmp_path / "bare.git"
    shutil.copytree(book / ".git", bare)
    for folder, why in (
        (full, "holds other things than an export (own.csv)"), (file, "is a file"), (link, "is a link"), (git, "git's own files"), (bare / "x", "git's own files"),
        (book / "casks" / "lake", "among the files of the ledger"), (book, "holds other things"), (tmp_path / "no" / "such", "there is no folder"),
    ):  # fmt: skip
        refused(book, folder, why)
    assert sorted(one.name for one in full.iterdir()) == ["own.csv"] and not list((tmp_path / "empty").iterdir())
    assert not git.exists() and not (book / "casks" / "lake").exists()


@pytest.mark.thorough
def test_what_was_put_in_the_place_of_a_part_is_neither_followed_nor_written(book: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    for number, (name, why) in enumerate(((KEPT, "not as an export makes it"), (f"{KEPT}/states", "not as an export makes it"), ("event", "none of an export's"), (f"{KEPT}/current", "leads elsewhere"))):  # fmt: skip
        folder = tmp_path / str(number)
        assert export(book, folder).returncode == 0
        place = folder / name
        shutil.rmtree(place) if place.is_dir() and not place.is_symlink() else place.unlink()
        place.symlink_to(outside)
        refused(book, folder, why)
    assert not list(outside.iterdir())


def test_a_manifest_cannot_lead_out(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(book, folder).returncode == 0
    whole = files(folder)
    path = folder / "manifest" / "Small-House.json"
    for odd in ("../../../../secret", "/etc/passwd", "event/../../../../secret"):
        told = json.loads(path.read_text())
        told["files"][0]["path"] = odd
        del told["sha256"]  # Whoever means harm leaves it out, as manifests of earlier versions do.
        path.write_text(json.dumps(told))
        done = export(book, folder)
        assert done.returncode == 0 and "was not what the export wrote: all of it written anew" in done.stderr and files(folder) == whole, done.stderr


@pytest.mark.thorough
def test_formats_and_books_of_one_name_are_not_mixed(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(book, folder).returncode == 0
    before = files(folder)
    refused(book, folder, "holds csv: name another folder for jsonl", "jsonl")
    house = (book / "house.yaml").read_text()
    (book / "house.yaml").write_text(house.replace("Small House", "Small-House"))
    refused(book, folder, "name another folder")
    (book / "house.yaml").write_text(house.replace("Small House", "'///'"))
    refused(book, folder, "no letter a path can bear")
    refused(book, tmp_path / "other", "expected parquet, csv, jsonl or sqlite", "xls")
    assert files(folder) == before and not (tmp_path / "other").exists()


def test_names_that_differ_in_capitals_alone_are_refused(book: Path, tmp_path: Path) -> None:
    """Where a disk takes big and small letters for one the two would lie in one folder. The same book under another spelling of its name goes on."""
    folder, other = tmp_path / "lake", tmp_path / "other"
    shutil.copytree(book, other, ignore=shutil.ignore_patterns(".git"))
    for root, name in ((book, "North-Site"), (other, "north site")):
        (root / "house.yaml").write_text(f"name: {name}\n" + HOUSE)
        commit(root, "named")
    assert export(book, folder).returncode == 0
    before = files(folder)
    refused(
        other, folder, "holds the ledger 'North-Site', which 'north site' differs from in capitals alone: give one house another `name`, or name another folder"
    )
    assert files(folder) == before
    (book / "house.yaml").write_text("name: north-site\n" + HOUSE)
    commit(book, "named anew")
    done = export(book, folder)
    assert done.returncode == 0 and "its name before" in done.stderr, done.stderr
    assert [path.stem for path in (folder / "manifest").glob("*.json")] == ["north-site"]


def test_without_the_library_it_says_what_to_install(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    from caskbook.core import extra

    extra.library.cache_clear()
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    refused(book, tmp_path / "lake", "pyarrow is not installed, and --format parquet needs it: pip install 'caskbook[lake]'", "parquet")
    assert not (tmp_path / "lake").exists()


def test_a_leak_with_which_a_cask_was_emptied_is_a_defect(book: Path, tmp_path: Path) -> None:
    """Its severity is a word, that of any other defect a figure."""
    leak = event("fdsy3jp1", "2020-03-12", "leak", "at: joint-9", "severity: weep")
    (book / "casks" / "TH-000" / "TH-000001.yaml").write_text(cask(RECEIVED, EXAMINED, TESTED, FILLED, leak, EMPTIED, cask_id="TH-000001"))
    assert export(book, tmp_path / "lake", "parquet").returncode == 0
    ((_, number, found, place, _, severity),) = parquet_rows(tmp_path / "lake", table("defect"))
    assert (number, found, place, severity) == ("TH-000001", "fdsy3jp1", "joint-9", "weep")
    names = [field.name for field in (*part_fields(table("leak")), *table("leak").fields)]
    (leaked,) = (dict(zip(names, row, strict=True)) for row in parquet_rows(tmp_path / "lake", table("leak")))
    assert (leaked["outcome"], str(leaked["ended_on"]), leaked["ended_by"]) == ("emptied", "2023-05-16", None)


def test_tables_without_a_row_are_there_all_the_same(book: Path, tmp_path: Path) -> None:
    """Of a book with one cask: whoever reads the leaks finds none, and no fault."""
    assert export(book, tmp_path / "lake").returncode == 0
    named = {one["table"]: one["rows"] for one in manifest(tmp_path / "lake")["files"]}
    assert named["leak"] == 0 and named["cask"] == 1 and len(named) == 12
