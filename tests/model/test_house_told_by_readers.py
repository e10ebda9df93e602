"""What in house.yaml only the check told: a time zone that is none, and a sign in a comment that ends it for some readers. Who reads the book says it too."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook
from history.ledgers import RECEIVED, cask

from caskbook.model.house_file import read_house

ASKED = (("list",), ("due",), ("show", "TH-004217"), ("report", "stock"), ("plan",))
ONE = "house.yaml: 1 setting cannot be read and stands at the default, or the first of two values; caskbook check\n"


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("timezone: Europe/London\n", 0), ("timezone: Europe/Nowhere\n", 1), ("timezone: Europe/Nowhere\nfill_needs: maybe\n", 2), ("timezone: 7\n", 1),
        ("timezone: [{since: 2015-01-01, value: Europe/London}, {since: 2020-01-01, value: Europe/Nowhere}]\n", 1),
        ("name: A\n", 0), ("name: A\n# ours\u0085short_fill_days: 90\n", 1),
    ],
)  # fmt: skip
def test_how_many_settings_stand_at_the_default(text: str, count: int) -> None:
    assert read_house("house.yaml", text.encode()).at_default == count


@pytest.mark.parametrize("mode", ["on", "off"])
@pytest.mark.parametrize(
    ("text", "told"),
    [("timezone: Europe/Nowhere\n", ONE), ("timezone: UTC\n# ours\u0085short_fill_days: 90\n", ONE), ("timezone: UTC\n# ours\u2028short_fill_days: 90\n", ONE)],
)
def test_who_reads_the_book_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mode: str, text: str, told: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    (tmp_path / "casks" / "TH-004").mkdir(parents=True)
    (tmp_path / "casks" / "TH-004" / "TH-004217.yaml").write_text(cask(RECEIVED))
    (tmp_path / "house.yaml").write_text(text, encoding="utf-8")
    for words in ASKED:
        done = caskbook(*words, cwd=tmp_path)
        assert done.returncode == 0 and done.stderr.count(told) == 1, (words, done.stderr)
    assert json.loads(caskbook("show", "TH-004217", "--format", "json", cwd=tmp_path).stdout)["settings_unread"] is True
