"""The due line of a card: the first reason, and that there are more signs where several propose a retirement."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest

from caskbook.due.verdict import Verdict
from caskbook.render.card_parts import due_parts

LIFE: Any = SimpleNamespace(in_part=False, unread=(), lacks_entries=False, cask=SimpleNamespace(id="TH-000001"))


@pytest.mark.parametrize(
    ("rule", "reasons", "says"),
    [
        ("retire", ("50 years old", "staves thin", "2 signs; house proposes retirement at 2"), "RETIRE since 2026-05-14: 50 years old; 1 sign more"),
        ("retire", ("a", "b", "c", "3 signs"), "RETIRE since 2026-05-14: a; 2 signs more"),
        ("retire", ("staves cracked", "1 sign that is enough alone"), "RETIRE since 2026-05-14: staves cracked"),
        ("examine", ("emptied", "house examines within 30 days", "x"), "EXAMINE since 2026-05-14: emptied"),
    ],
)
def test_signs_behind_the_first_are_counted(rule: str, reasons: tuple[str, ...], says: str) -> None:
    verdict = Verdict("TH-000001", "barrel", None, rule, "due", date(2026, 5, 14), False, reasons, None, None)
    assert due_parts([verdict], LIFE)[0] == says
