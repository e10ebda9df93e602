"""To a file that is nearly as large as one may be no work is added: what two benches add must still be read once it is united."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

from caskbook.entry import page
from caskbook.yaml.source import MAX_BYTES
from entry.shop import CASK, Shop


def test_a_full_file_takes_a_void_and_nothing_else_and_says_how_to_go_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    house = Shop(tmp_path)
    house.put({"date": "2026-01-05", "job": "receive", "verdict": "accept"}, {"date": "2026-01-06", "job": "note", "note": "a"})
    records = ("--by", "ab", "--yes", "--records", str(house.root))
    assert page._FULL == MAX_BYTES - 50_000
    monkeypatch.setattr(page, "_FULL", house.path().stat().st_size + 100)
    assert caskbook("enter", "note", CASK, "--note", "n", *records).returncode == 0
    done = caskbook("enter", "note", CASK, "--note", "one more", *records)
    assert done.returncode != 0 and f"at most {page._FULL}" in done.stderr and f"same-as --of {CASK}" in done.stderr
    assert caskbook("void", CASK, "e0000002", "--why", "twice", *records).returncode == 0
    monkeypatch.setattr(page, "_FULL", 10_000)
    assert caskbook("enter", "receive", "TH-004218", "accept", "--type", "barrel", *records).returncode == 0
    assert caskbook("enter", "same-as", "TH-004218", "--of", CASK, "--why", "its file is full", *records).returncode == 0
