"""A file that an editor wrote over in place, which leaves no mark on its folder, is seen by what is asked of another cask."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.index import changed_folders
from index.book import SHIPPED, commit_all, copied

pytestmark = pytest.mark.thorough

JOINED, GOES_ON = "TH-003374", "TH-003373"
SAME = "  - id: gr0qzzzz\n    date: 2026-11-30\n    job: same-as\n    by: ab\n    of: TH-003374\n    why: two numbers on one cask\n"
MARKED = "  - id: gr0qzzzz\n    date: 2026-11-30\n    job: mark\n    by: ab\n    text: ZQ 7\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The shipped ledger, known to the index, its files written an hour ago."""
    root = copied(SHIPPED, tmp_path / "records")
    long_ago = time.time() - 3600
    for path in [*root.rglob("*"), root]:
        os.utime(path, (long_ago, long_ago))
    commit_all(root)
    assert caskbook("list", "--records", str(root)).returncode == 0
    return root


def write_in_place(book: Path, cask: str, text: str) -> None:
    path = next((book / "casks").rglob(f"{cask}.yaml"))
    folder = path.parent.stat()
    with path.open("a", encoding="utf-8") as file:
        file.write(text)
    assert path.parent.stat().st_mtime_ns == folder.st_mtime_ns


def test_a_joining_is_seen_by_the_number_that_was_joined(book: Path) -> None:
    assert "joined" not in caskbook("show", JOINED, "--records", str(book)).stdout
    write_in_place(book, GOES_ON, SAME)
    assert f"joined: {GOES_ON}" in caskbook("show", JOINED, "--records", str(book)).stdout
    done = caskbook("enter", "note", JOINED, "--note", "x", "--by", "ab", "--yes", "--records", str(book))
    assert done.returncode != 0 and f"is the same cask as {GOES_ON}" in done.stderr


def test_an_old_mark_is_found_in_it(book: Path) -> None:
    assert caskbook("show", "ZQ 7", "--records", str(book)).returncode != 0
    write_in_place(book, GOES_ON, MARKED)
    assert caskbook("show", "ZQ 7", "--records", str(book)).stdout.startswith(GOES_ON)


def test_of_a_large_book_the_folders_alone_are_looked_at(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = changed_folders.folder_stamps_of(book)
    monkeypatch.setattr(changed_folders, "MOST_LOOKED_AT", 10)
    asked: list[str] = []
    monkeypatch.setattr(changed_folders, "_written", lambda folder: asked.append(folder) or [])
    assert changed_folders.folder_stamps_of(book).marks.keys() == whole.marks.keys() and not asked
