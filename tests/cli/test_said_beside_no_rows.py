"""What is left out, or stands at a default, is said beside data too, also where there are no rows that could bear it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

pytestmark = pytest.mark.thorough


@pytest.mark.parametrize("mode", ["on", "off"])
@pytest.mark.parametrize("words", [("due",), ("due", "--by-cask"), ("list",)])
def test_settings_and_files_that_cannot_be_read_are_said_on_standard_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], mode: str
) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    folder = tmp_path / "book" / "casks" / "TH-000"
    folder.mkdir(parents=True)
    (tmp_path / "book" / "house.yaml").write_text("timezone: UTC\nexamine_valid_days: abc\n", encoding="utf-8")
    (folder / "TH-000001.yaml").write_bytes(b"cask: [\n\0")
    for form in ("json", "jsonl", "csv"):
        ran = caskbook(*words, "--format", form, "--records", str(tmp_path / "book"))
        assert "1 setting cannot be read and stands at the default, or the first of two values" in ran.stderr, (form, ran.stderr)
        assert "left out" in ran.stderr, (form, ran.stderr)
        assert form != "json" or json.loads(ran.stdout) == []


@pytest.mark.parametrize("mode", ["on", "off"])
def test_the_card_of_a_file_that_cannot_be_read_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    folder = tmp_path / "book" / "casks" / "TH-000"
    folder.mkdir(parents=True)
    (tmp_path / "book" / "house.yaml").write_text("timezone: UTC\n", encoding="utf-8")
    (folder / "TH-000001.yaml").write_bytes(b"cask: [\n\0")
    ran = caskbook("show", "TH-000001", "--format", "json", "--records", str(tmp_path / "book"))
    assert ran.returncode == 2 and ran.stdout == "" and "cannot be read" in ran.stderr
