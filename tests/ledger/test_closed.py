"""A folder that may be listed and not entered hides nothing in silence: no command takes its files for files that are not there."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from ledger.test_pending_writes import as_nobody

from caskbook.core.finding import CaskbookError
from caskbook.index.files_now import files_now
from caskbook.ledger.files import open_folder
from caskbook.ledger.journal import FOLDER, JOURNAL, foreign

RECORDS = Path(__file__).parent.parent.parent / "records"


@pytest.fixture
def book() -> Iterator[Path]:
    """The shipped ledger where others may enter it, as pytest's own folder does not allow."""
    with tempfile.TemporaryDirectory() as name:
        root = Path(name) / "records"
        shutil.copytree(RECORDS, root, ignore=shutil.ignore_patterns(".caskbook"))
        for path in (Path(name), root, *root.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
        yield root
        for path in (root / "casks").iterdir():
            path.chmod(0o755)


@pytest.mark.parametrize("mode", [0o000, 0o644, 0o111])
@pytest.mark.parametrize("under_git", [False, True])
def test_a_folder_of_casks_that_cannot_be_looked_into_is_said(book: Path, mode: int, under_git: bool) -> None:
    if under_git:
        for words in (("init", "-q"), ("add", "."), ("-c", "user.name=a", "-c", "user.email=a@b", "commit", "-qm", "all")):
            subprocess.run(("git", *words), cwd=book, check=True)
    (book / "casks" / "TH-003").chmod(mode)

    def work() -> None:
        ledger = open_folder(book, book)
        for look in (lambda: list(ledger.file_store.names()), lambda: files_now(book)):
            with pytest.raises(CaskbookError, match="cannot read TH-003/: Permission denied"):
                look()
        if mode != 0o111:  # Else a file whose name is known can be read.
            for number in ("TH-003372", "TH-003999"):
                found = ledger.find(number)
                assert found is not None and found.cask is None and "ermission denied" in found.findings[0].message

    as_nobody(work)


@pytest.mark.parametrize("closed", [FOLDER, f"{FOLDER}/{JOURNAL}"])
def test_what_was_said_to_be_written_and_cannot_be_read_is_an_error(book: Path, closed: str) -> None:
    (book / FOLDER).mkdir()
    (book / FOLDER / JOURNAL).write_text("{}")
    (book / FOLDER).chmod(0o755)
    (book / closed).chmod(0)

    def work() -> None:
        with pytest.raises(CaskbookError, match=r"may wait in it|cannot read \.pending/"):
            foreign(book)

    try:
        as_nobody(work)
    finally:
        (book / closed).chmod(0o755)
