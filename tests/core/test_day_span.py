"""Some days on end, as they are typed."""

from __future__ import annotations

from datetime import date

import pytest

from caskbook.core.day_span import parse_span
from caskbook.core.days import DayError

TODAY = date(2026, 11, 25)  # It is a Wednesday.


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        (None, "2026-11-19", "2026-11-25"),
        ("2026-11-02..2026-11-08", "2026-11-02", "2026-11-08"),
        ("2026-11-02 .. 2026-11-08", "2026-11-02", "2026-11-08"),
        ("monday..today", "2026-11-23", "2026-11-25"),
        ("-7..yesterday", "2026-11-18", "2026-11-24"),
        ("2026-11-02..", "2026-11-02", "2026-11-25"),
        ("today", "2026-11-25", "2026-11-25"),
        ("2026-11-02", "2026-11-02", "2026-11-02"),
        ("2026-02", "2026-02-01", "2026-02-28"),
        ("2024", "2024-01-01", "2024-12-31"),
        ("2024..2025-02", "2024-01-01", "2025-02-28"),
        ("2026-11-25..2026-11-25", "2026-11-25", "2026-11-25"),
    ],
)
def test_days_as_they_are_typed(text: str | None, first: str, last: str) -> None:
    assert parse_span(text, TODAY) == (date.fromisoformat(first), date.fromisoformat(last))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2026-11-08..2026-11-02", "turned round it is 2026-11-02..2026-11-08"),
        ("2027-01-01..", "lies after the day of the report, 2026-11-25"),
        ("..2026-11-02", "from which day?"),
        ("2026-13", "2026-13"),
        ("soon", "is no day"),
        ("", "is no day"),
        ("2026-02-30..2026-03-01", "that month has 28 days"),
        ("1..2..3", "is no day"),
    ],
)
def test_what_is_no_stretch_of_days(text: str, said: str) -> None:
    with pytest.raises(DayError, match=said.replace("?", r"\?").replace(".", r"\.")):
        parse_span(text, TODAY)
