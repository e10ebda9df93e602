from __future__ import annotations

from pathlib import Path

import pytest

from entry.shop import Shop


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.chdir(tmp_path)
    return Shop(tmp_path)
