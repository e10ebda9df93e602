"""Python started without docstrings (PYTHONOPTIMIZE=2): what is made of them is refused in one line, and all else answers."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

from caskbook.checks import explain
from caskbook.core import own_texts
from caskbook.model import json_schema


def without_texts(monkeypatch: pytest.MonkeyPatch) -> None:
    """As Python starts with PYTHONOPTIMIZE=2; what was made of the texts before is not known."""
    monkeypatch.setattr(own_texts, "are_gone", lambda: True)
    explain._all.cache_clear()
    json_schema.schema_texts.cache_clear()


@pytest.mark.parametrize(
    "words",
    [("explain", "lpa-gain"), ("explain", "rechar"), ("explain",), ("explain", "test"), ("schema", "made"), ("init", "made"), ("enter", "test", "--help")],
)
def test_what_is_made_of_texts_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]) -> None:
    without_texts(monkeypatch)
    ran = caskbook(*words, cwd=tmp_path)
    assert ran.returncode == 2 and "PYTHONOPTIMIZE=2" in ran.stderr and ran.stderr.count("\n") == 1, ran
    assert list(tmp_path.iterdir()) == [], "nothing is begun that cannot be ended"


def test_the_book_is_answered_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    shop = Shop(tmp_path)
    shop.put({"date": days_ago(30), "job": "receive", "verdict": "accept"})
    without_texts(monkeypatch)
    for words in (("list",), ("due",), ("check",), ("show", CASK), ("enter", "note", CASK, "--note", "x", "--by", "ab", "--yes"), ("--help",)):
        ran = caskbook(*words, cwd=tmp_path)
        assert ran.returncode == 0, (words, ran)
