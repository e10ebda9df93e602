"""Killed (SIGKILL) before any thing it does to a file, an export leaves the old tables or the new ones, whole; and the next one finds its way."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook
from history.ledgers import EXAMINED, FILLED, HOUSE, RECEIVED, TESTED, cask

from export.exports import DAY, commit, export, files, manifest

HERE = Path(__file__).parent
pytestmark = pytest.mark.thorough


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("killed") / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("name: Small House\n" + HOUSE)
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text(cask(RECEIVED, EXAMINED, TESTED, FILLED))
    commit(root)
    return root


def run_to(book: Path, folder: Path, moment: int, form: str = "csv") -> subprocess.CompletedProcess[str]:
    words = ["export", str(folder), "--format", form, "--records", str(book), "--as-of", DAY]
    command = [sys.executable, str(HERE / "killed_at.py"), str(folder), str(moment), *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": str(HERE.parent.parent)})


def moments(many: int, tried: int) -> list[int]:
    """So many of the moments there are, spread evenly, with the last ones, in which the new state takes its place, all among them."""
    return sorted({*range(1, many + 1, max(1, many // tried)), *range(many - 7, many + 1)})


@pytest.mark.parametrize(("form", "tried"), [("csv", 3), *(pytest.param(*case, marks=pytest.mark.slow) for case in (("csv", 16), ("parquet", 8)))])
def test_killed_at_any_moment_readers_see_the_old_tables_or_the_new_ones(book: Path, tmp_path: Path, form: str, tried: int) -> None:
    start, whole = tmp_path / "start", tmp_path / "whole"
    assert export(book, start, form).returncode == 0
    old = files(start, form)
    assert (
        caskbook("enter", "note", "TH-004217", "--note", f"seen for {form}", "--by", "ab", "--date", "2024-11-20", "--records", str(book), "--yes").returncode
        == 0
    )
    shutil.copytree(start, whole, symlinks=True)
    counted = run_to(book, whole, 0, form)
    assert counted.returncode == 0, counted.stderr
    new, many = files(whole, form), int(counted.stderr.split()[-1])
    assert old != new and old.keys() & new.keys()
    seen = set()
    for moment in moments(many, tried):
        folder = tmp_path / str(moment)
        shutil.copytree(start, folder, symlinks=True)
        assert run_to(book, folder, moment, form).returncode == -signal.SIGKILL, moment
        found = files(folder, form)
        assert found in (old, new), moment
        assert {one["path"] for one in manifest(folder)["files"]} == set(found), moment
        seen.add(found == new)
        assert export(book, folder, form).returncode == 0 and files(folder, form) == new
        _swept(folder)
        assert sorted(one.name for one in tmp_path.iterdir() if one.name not in {"start", "whole"}) == [folder.name], "nothing beside the folder"
        shutil.rmtree(folder)
    assert seen == {True, False}, "none of the moments fell on both sides of the change"


def test_killed_at_the_first_export_it_leaves_nothing_or_all(book: Path, tmp_path: Path) -> None:
    counted = run_to(book, tmp_path / "whole", 0)
    new, many = files(tmp_path / "whole"), int(counted.stderr.split()[-1])
    assert len(new) >= 10
    for moment in moments(many, 2)[::2]:
        folder = tmp_path / str(moment)
        assert run_to(book, folder, moment).returncode == -signal.SIGKILL, moment
        assert files(folder) in ({}, new), moment
        assert export(book, folder).returncode == 0 and files(folder) == new
        _swept(folder)


def _swept(folder: Path) -> None:
    """What a run that was killed left is gone: the current state and the one before, and nothing beside them but what leads there and the lock."""
    kept = folder / ".caskbook-export"
    leading = sorted({"current", *(("before",) if (kept / "before").is_symlink() else ())})
    assert {one.name for one in (kept / "states").iterdir()} == {(kept / name).readlink().name for name in leading}
    assert sorted(one.name for one in kept.iterdir()) == sorted([*leading, "lock", "states"])
