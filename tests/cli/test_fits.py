"""Filters held against the facts of a life, one by one, as `list` has them out of the index."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from commands import caskbook

from caskbook.cli.choosing import fits
from caskbook.cli.common import open_book
from caskbook.cli.whole_book import lives_of
from caskbook.life.facts import Facts, facts_of

pytestmark = pytest.mark.thorough
DAY = "2026-06-30"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Facts]]:
    root = tmp_path_factory.mktemp("fits") / "book"
    assert caskbook("demo", str(root), "--casks", "150", "--seed", "9", "--until", DAY).returncode == 0
    return root, [facts_of(life) for life in lives_of(open_book(str(root), DAY))]


def of(facts: list[Facts], name: str) -> str:
    """A word that some casks of the book have, the most common one."""
    found = [value for one in facts if (value := getattr(one, name)) is not None]
    return max(sorted(set(found)), key=found.count)


@pytest.mark.parametrize("name", ["type", "state", "store", "spirit", "parcel", "supplier", "berth", "mark"])
def test_it_says_what_the_index_says(book: tuple[Path, list[Facts]], name: str) -> None:
    root, facts = book
    marks = [mark for one in facts for mark in one.old_marks or ()]
    word = {"berth": lambda: of(facts, "berth")[:3], "mark": lambda: f" {marks[0].upper()} "}.get(name, lambda: of(facts, name))()
    rows = json.loads(caskbook("list", f"--{name}", word, "--format", "json", "--records", str(root), "--as-of", DAY).stdout)
    found = {one.cask for one in facts if fits(one, {name: [word]})}
    assert found == {row["cask"] for row in rows} and 0 < len(found) < len(facts)


def test_a_vat_is_named_as_its_account_has_it() -> None:
    facts: Any = SimpleNamespace(vat="Vat 7", berth=None)
    assert fits(facts, {"vat": ["VAT  7"]}) and not fits(facts, {"vat": ["8"]}) and not fits(facts, {"berth": "W1"})


def test_types_may_be_named_together(book: tuple[Path, list[Facts]]) -> None:
    root, facts = book
    rows = json.loads(caskbook("list", "--type", "barrel,hogshead", "--format", "json", "--records", str(root), "--as-of", DAY).stdout)
    assert {row["cask"] for row in rows} == {one.cask for one in facts if fits(one, {"type": ["barrel", "hogshead"]})}
    assert {row["type"] for row in rows} == {"barrel", "hogshead"}
