"""The quick writer gives the bytes that the writer of new documents gives."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from caskbook.demo.block import Demo, tell
from caskbook.demo.text import cask_text
from caskbook.yaml.insertion import new_document

VALUES = st.one_of(
    st.text(max_size=30), st.integers(-10**6, 10**6), st.floats(-1e6, 1e6, allow_nan=False),
    st.dates(date(2000, 1, 1)), st.lists(st.text(max_size=6), max_size=3), st.sampled_from(["no", "12:30", "1e5", "012", "on"]),
)  # fmt: skip
MAPS = st.dictionaries(st.sampled_from(["cask", "note", "why", "litres", "at"]), VALUES, min_size=1)


@pytest.mark.thorough
def test_five_hundred_casks_are_written_alike() -> None:
    for page in tell(Demo(500, 7, date(2026, 6, 30)), 0).pages:
        assert cask_text(page.head, page.in_order()).encode() == new_document(page.head, page.events), page.number


@given(MAPS, st.lists(MAPS, max_size=3))
@example({"litres": 0.0}, [{"litres": -0.0}])
def test_any_data_is_written_alike(head: dict[str, object], events: list[dict[str, object]]) -> None:
    numbered = [{"date": f"2020-01-{n + 1:02d}", **event} for n, event in enumerate(events)]
    assert cask_text(head, numbered).encode() == new_document(head, numbered)
