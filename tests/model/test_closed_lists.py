"""The words of closed lists are read one way, by readers of YAML 1.1 and 1.2 alike."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

FILES = sorted((Path(__file__).parents[2] / "schemas").glob("*.schema.json"))


QUOTED = {"false"}
"""A leak that was none is closed as false, which the model takes in both readings."""


def words(part: Any) -> Iterator[str]:
    """Each word of each closed list, in the schema of a file."""
    if isinstance(part, dict):
        yield from (word for word in [*part.get("enum", ()), part.get("const")] if isinstance(word, str))
        for value in part.values():
            yield from words(value)
    elif isinstance(part, list):
        for value in part:
            yield from words(value)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_no_word_of_a_closed_list_is_read_as_true_or_false_or_a_number(path: Any) -> None:
    found = set(words(json.loads(path.read_text(encoding="utf-8"))))
    assert len(found) > 5
    assert {word for word in found if yaml.safe_load(word) != word or word.casefold() in ("y", "n")} <= QUOTED


def test_the_schemas_are_there() -> None:
    assert len(FILES) == 2
