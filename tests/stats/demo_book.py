"""One invented ledger for all tests that count a report again: made once in this process, its files read once."""

from __future__ import annotations

import os
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from commands import caskbook

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@pytest.fixture(scope="module")
def book() -> Path:
    """200 casks. Who alters it takes a copy."""
    return _made()


@cache
def _made() -> Path:
    root = Path(tempfile.mkdtemp(prefix="counted-", dir=os.environ["CASKBOOK_TEST_FOLDER"])) / "book"
    assert caskbook("demo", str(root), "--casks", "200", "--seed", "5").returncode == 0
    return root


@cache
def files_of(book: Path) -> tuple[dict[str, Any], ...]:
    """Each cask file as YAML has it, by number; nothing in them may be altered."""
    return tuple(yaml.load(path.read_bytes(), _LOADER) for path in sorted((book / "casks").rglob("*.yaml")))
