"""What somebody altered or cut short in an export's folder is held against the manifest, and written anew: as installed, for each format."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from history.ledgers import EMPTIED, EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, cask

from export.exports import DAY, commit, files, manifest

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
NOT_AS_WRITTEN = "was not what the export wrote"
FORMS = ["csv", "jsonl", "parquet", "sqlite"]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text("name: Small House\n" + HOUSE)
    (root / "casks" / "TH-000" / "TH-000001.yaml").write_text(cask(RECEIVED, EXAMINED, TESTED, FILLED, EMPTIED, cask_id="TH-000001"))
    commit(root)
    return root


def export(book: Path, folder: Path, form: str, day: str = DAY, *more: str) -> subprocess.CompletedProcess[str]:
    words = ["export", folder, "--format", form, "--records", book, "--as-of", day, *more]
    done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done


def part(folder: Path, form: str, table: str = "fill") -> Path:
    """The file of a table; of SQLite the one that has all."""
    (path,) = (folder / ("sqlite" if form == "sqlite" else table)).rglob(f"*.{form}")
    return path


def emptied(path: Path) -> None:
    path.write_bytes(b"")


def cut_short(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def by_one_letter(path: Path) -> None:
    """Its size and its times stay."""
    told, data = path.stat(), bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    os.utime(path, ns=(told.st_atime_ns, told.st_mtime_ns))


def a_link(path: Path) -> None:
    path.rename(path.parents[1] / "elsewhere")
    path.symlink_to(path.parents[1] / "elsewhere")


ALTER: list[Callable[[Path], None]] = [emptied, cut_short, by_one_letter, a_link]


@pytest.mark.parametrize("form", FORMS)
def test_a_file_that_is_not_as_it_was_written_is_written_anew(book: Path, tmp_path: Path, form: str) -> None:
    folder = tmp_path / "lake"
    export(book, folder, form)
    whole = files(folder, form)
    for alter in ALTER:
        path = part(folder, form)
        name = path.relative_to(folder)
        alter(path)
        done = export(book, folder, form)
        assert files(folder, form) == whole and not part(folder, form).is_symlink(), alter
        assert done.stdout.startswith("1 file written") and len(done.stderr.splitlines()) == 1, (alter, done.stdout, done.stderr)
        assert f"{name} {NOT_AS_WRITTEN}: written anew" in done.stderr, (alter, done.stderr)
        again = export(book, folder, form)
        assert again.stdout.startswith("nothing changed") and not again.stderr


def test_several_are_said_in_one_line(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    export(book, folder, "csv")
    whole = files(folder)
    for table in ("fill", "gauge", "setting"):
        cut_short(part(folder, "csv", table))
    done = export(book, folder, "csv")
    assert files(folder) == whole and "and 2 more were not what the export wrote: written anew" in done.stderr and len(done.stderr.splitlines()) == 1, (
        done.stderr
    )


def test_it_is_so_too_where_the_book_changed_or_the_commit(book: Path, tmp_path: Path) -> None:
    folder, file = tmp_path / "lake", book / "casks" / "TH-000" / "TH-000001.yaml"
    for number, form in enumerate(("csv", "parquet")):
        export(book, folder / form if folder.is_dir() else (folder.mkdir(), folder / form)[1], form)
        by_one_letter(part(folder / form, form))
        if form == "csv":
            (book / "notes.txt").write_text("of the shop\n")
        else:
            file.write_text(file.read_text() + "# looked through\n")
        commit(book)
        assert NOT_AS_WRITTEN in export(book, folder / form, form).stderr
        export(book, tmp_path / f"fresh{number}", form)
        assert files(folder / form, form) == files(tmp_path / f"fresh{number}", form)


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_a_file_of_a_day_gone_by_is_taken_out_and_said_with_what_brings_it_back(book: Path, tmp_path: Path, form: str) -> None:
    folder = tmp_path / "lake"
    export(book, folder, form, "2026-11-28")
    kept = files(folder, form)
    path = part(folder, form, "cask")
    export(book, folder, form)
    cut_short(path)
    done = export(book, folder, form)
    assert f"{NOT_AS_WRITTEN}: taken out; `--as-of 2026-11-28` writes that day anew" in done.stderr and str(path.relative_to(folder)) in done.stderr, (
        done.stderr
    )
    assert (
        not path.exists() and sorted(one["path"] for one in manifest(folder)["files"]) == sorted(files(folder, form)) and not done.stdout.startswith("nothing")
    )
    assert not export(book, folder, form).stderr
    assert not export(book, folder, form, "2026-11-28").stderr and files(folder, form).items() >= kept.items()


def test_of_days_gone_by_what_was_written_to_is_read_and_of_the_last_one_all(book: Path, tmp_path: Path) -> None:
    """By one letter: no size tells it."""
    folder = tmp_path / "lake"
    export(book, folder, "csv", "2026-11-27")
    last = part(folder, "csv", "cask")
    by_one_letter(last)
    assert NOT_AS_WRITTEN in export(book, folder, "csv", "2026-11-28").stderr and not last.exists()
    path = part(folder, "csv", "cask")
    export(book, folder, "csv")
    data = path.read_bytes()
    path.write_bytes(data.replace(b"TH-000001", b"TH-000002"))
    assert "taken out; `--as-of 2026-11-28`" in export(book, folder, "csv").stderr and not path.exists()


@pytest.mark.parametrize("form", ["csv", "sqlite"])
@pytest.mark.parametrize("how", ["emptied", "cut", "rows", "path", "list"])
def test_a_manifest_that_is_not_as_it_was_written_is_none(book: Path, tmp_path: Path, form: str, how: str) -> None:
    folder, other = tmp_path / "lake", tmp_path / "other"
    shutil.copytree(book, other, ignore=shutil.ignore_patterns(".git", ".caskbook"))
    (other / "house.yaml").write_text("name: Other\n" + HOUSE)
    export(other, folder, form)
    export(book, folder, form)
    whole, manifests = files(folder, form), {path.name: path.read_bytes() for path in (folder / "manifest").iterdir()}
    path = folder / "manifest" / "Small-House.json"
    if form == "csv":
        (part_of := next((folder / "cask" / "ledger=Small-House").iterdir())).joinpath("own.txt").write_text("by hand\n")
    told = json.loads(path.read_text())
    if how in ("emptied", "cut"):
        {"emptied": emptied, "cut": cut_short}[how](path)
    else:
        told["files"][0].update({"rows": {"rows": 7777}, "path": {"path": "/etc/passwd"}}.get(how, {}))
        path.write_text(json.dumps([told] if how == "list" else told))
    done = export(book, folder, form)
    assert f"manifest/Small-House.json {NOT_AS_WRITTEN}: all of it written anew, of {DAY} alone" in done.stderr and len(done.stderr.splitlines()) == 1, (
        done.stderr
    )
    assert files(folder, form) == whole and {path.name: path.read_bytes() for path in (folder / "manifest").iterdir()} == manifests
    assert form != "csv" or (part_of / "own.txt").read_text() == "by hand\n"
    assert export(book, folder, form).stdout.startswith("nothing changed")


def test_the_manifest_of_another_ledger_hinders_none(book: Path, tmp_path: Path) -> None:
    folder, other = tmp_path / "lake", tmp_path / "other"
    shutil.copytree(book, other, ignore=shutil.ignore_patterns(".git", ".caskbook"))
    (other / "house.yaml").write_text("name: Other\n" + HOUSE)
    commit(other)
    export(other, folder, "csv")
    whole = files(folder)
    cut_short(folder / "manifest" / "Other.json")
    done = export(book, folder, "csv")
    assert "also holds Other, of which nobody can tell" in done.stderr and whole.items() < files(folder).items(), done.stderr
    assert NOT_AS_WRITTEN in export(other, folder, "csv").stderr and whole.items() < files(folder).items()


def test_what_an_export_noted_for_the_next_one_is_believed_only_as_it_was_written(book: Path, tmp_path: Path) -> None:
    """It says that an entry stands as it was, which it does not: by the manifest it is none of the export's."""
    folder, file = tmp_path / "lake", book / "casks" / "TH-000" / "TH-000001.yaml"
    export(book, folder, "csv")
    before = (folder / ".caskbook-export" / "current" / "seen" / "Small-House.json").read_bytes()
    text = file.read_text()
    file.write_text(text.replace("2023-05-16", "2023-05-17"))
    export(book, folder, "csv")
    (folder / ".caskbook-export" / "current" / "seen" / "Small-House.json").write_bytes(before)
    for now in (b"", before):
        file.write_text(text)
        (folder / ".caskbook-export" / "current" / "seen" / "Small-House.json").write_bytes(now)
        export(book, folder, "csv")
        export(book, tmp_path / f"fresh{len(now)}", "csv")
        assert files(folder) == files(tmp_path / f"fresh{len(now)}")
        file.write_text(text.replace("2023-05-16", "2023-05-17"))
        export(book, folder, "csv")
