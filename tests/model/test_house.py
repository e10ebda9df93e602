"""The house's settings: the due rules, read apart from the rest, are what the model of all settings makes of them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError

from caskbook.model import house
from caskbook.model.house import DueRules, House, Settings, whole_settings
from caskbook.model.house_due import read_due
from caskbook.model.house_file import read_house

GIVEN: list[dict[str, Any]] = [{}, {"rechar": {"due_at": 6}}, {"look": {"weep_days": 7, "new_fill_days": [2, 7]}, "hold": {"off": True}}, {"claim": {}}]


@pytest.mark.parametrize("given", GIVEN)
def test_due_rules_read_apart_are_those_of_the_whole(given: dict[str, Any]):
    assert read_due(given) == DueRules.model_validate(given) == House({"due": given}).on(date(2024, 1, 1)).due
    assert whole_settings().model_validate({"due": given}).due == read_due(given)  # type: ignore[attr-defined]


@pytest.mark.parametrize("given", [{"waltz": {}}, {"rechar": {"due_at": 0}}, {"look": 3}, {"hold": {"of": True}}, {1: {}}])
def test_wrong_due_rules_are_refused(given: dict[Any, Any]):
    with pytest.raises(ValidationError):
        assert Settings.model_validate({"due": given}).due


def test_a_wrong_due_rule_is_found_where_it_stands():
    text = "due:\n  rechar: {due_at: 0}\n  look: {weep: 3}\n  waltz: {}\nminimum_age: -1\ndue_: {}\n"
    found = read_house("house.yaml", text.encode()).findings
    assert [(one.code, one.span.line) for one in found if one.span] == [
        ("out-of-range", 5), ("out-of-range", 2), ("unknown-key", 3), ("unknown-key", 4), ("unknown-key", 6),
    ]  # fmt: skip


def test_what_is_no_name_is_none():
    with pytest.raises(AttributeError):
        assert house.Waltz  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("berth", "store"),
    [
        ("W1/05/3", "one"), ("W1", "one"), ("W1-05", "one"), ("W1A/3", "one"), ("W10/05/3", None), ("W100", None), ("W12/1", "twelve"), ("W3/2/1", "low"),
        ("W3/20/1", "three"), ("Y2", "yard"), ("YD/03", "yard"), ("Q1", None), (None, None),
    ],
)  # fmt: skip
def test_a_number_at_the_end_of_a_prefix_is_whole(berth: str | None, store: str | None):
    """W10 is no place of the store W1; of the prefixes that fit the longest counts."""
    stores = {"W1": "one", "W12": "twelve", "W3": "three", "W3/2": "low", "Y": "yard"}
    assert House({"stores": stores}).on(date(2024, 1, 1)).store_of(berth) == store
