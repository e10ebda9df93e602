"""A copy of the shipped ledger, so that no test leaves anything in the checkout, nor meets another one there."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module", autouse=True)
def shipped_book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """While a module's tests run, every command that names no ledger takes the copy."""
    book = tmp_path_factory.mktemp("shipped") / "records"
    shutil.copytree(ROOT / "records", book, ignore=shutil.ignore_patterns(".caskbook", ".pending"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CASKBOOK_RECORDS", str(book))
        yield
