"""What was in a cask where nobody told it: unknown stays unknown, also of one that is gone."""

from __future__ import annotations

from typing import Any

import pytest
from casks import ev, facts_on

SOLD = ev("2020-02-01", "dispose", how="sold")


def received(**fields: Any) -> dict[str, Any]:
    return ev("2020-01-10", "receive", verdict="accept", **fields)


@pytest.mark.parametrize(
    ("events", "contents", "state"),
    [
        ((received(source="register"), {**SOLD, "source": "register"}), None, "gone"),
        ((received(source="register"), ev("2020-01-11", "note", note="x"), {**SOLD, "source": "register"}), None, "gone"),
        ((received(source="register"), ev("2020-01-11", "examine", verdict="sound"), SOLD), "empty", "gone"),
        ((received(source="register", contents="empty"), SOLD), "empty", "gone"),
        ((received(), SOLD), "empty", "gone"),
        ((received(contents="unknown"), SOLD), None, "gone"),
        ((received(contents="unknown"),), None, None),
        ((received(contents="unknown"), ev("2020-01-20", "empty", litres=0.0)), "empty", "emptied"),
        ((received(contents="unknown"), ev("2020-01-20", "empty", litres=0.0), SOLD), "empty", "gone"),
        ((received(source="register"),), "empty", "unexamined"),
    ],
)
def test_what_nobody_told_is_unknown_until_an_entry_tells_it(events: tuple[dict[str, Any], ...], contents: str | None, state: str | None) -> None:
    facts = facts_on("2020-03-01", *events)
    assert (facts.contents, facts.spirit, facts.state) == (contents, None, state)
