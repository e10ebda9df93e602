"""Numbers near one that the book has not."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import Shop

from caskbook.ledger.nearest_numbers import nearest_numbers


@pytest.fixture
def casks(tmp_path: Path) -> Path:
    for name in ("TH-000400", "TH-000401", "TH-000412", "TH-000413", "TH-004217", "TH-004218", "TH-014217", "TL-0004"):
        path = tmp_path / name[:-3] / f"{name}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text("")
    return tmp_path


@pytest.mark.parametrize(
    ("absent", "near"),
    [
        ("TH-4217", ["TH-004217"]),
        ("TH-0000400", ["TH-000400"]),
        ("TH-0004", ["TH-000400", "TH-000401", "TH-000412"]),
        ("TH-004127", ["TH-004217"]),
        ("TH-004216", ["TH-004217", "TH-004218"]),
        ("TH-04217", ["TH-004217"]),
        ("XX-9999", []),
        ("TH-777777", []),
    ],
)
def test_the_likeliest_first(casks: Path, absent: str, near: list[str]):
    assert nearest_numbers(casks, absent)[: len(near) or 1] == near


def test_never_more_than_three_and_none_without_a_folder(casks: Path, tmp_path: Path):
    for number in range(500, 560):
        (casks / "TH-000" / f"TH-000{number}.yaml").write_text("")
    assert len(nearest_numbers(casks, "TH-0005")) == 3
    assert nearest_numbers(tmp_path / "none", "TH-0005") == []


def test_every_command_that_misses_a_cask_says_what_may_be_meant(tmp_path: Path):
    shop = Shop(tmp_path)
    shop.put(cask="TH-004217")
    for words in (("show",), ("check",), ("enter", "note", "--note", "x", "--by", "ab"), ("void", "e0000001", "--why", "x", "--by", "ab")):
        first = words[0] != "enter"
        ran = caskbook(words[0], "TH-4217", *words[1:], cwd=tmp_path) if first else caskbook("enter", "note", "TH-4217", *words[2:], cwd=tmp_path)
        assert ran.returncode in (1, 2) and "TH-4217 is not in the book: did you mean TH-004217?" in ran.stderr, words
