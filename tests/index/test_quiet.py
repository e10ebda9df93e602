"""Verdicts that are ok, as the index keeps them: what comes back in Python and in SQL is what was put in."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from caskbook.index.quiet import COLUMNS, THERE, quiet_rows, quiet_text

DAY = st.none() | st.dates().map(lambda day: day.isoformat())
WORDS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=12) | st.sampled_from(["-", "2020-01-01", "-2020-01-01", ""])
ROW = st.tuples(DAY | st.none(), st.integers(0, 1), st.integers(0, 3), WORDS, st.none() | WORDS, DAY) | st.tuples(
    st.none(), st.just(0), st.just(0), WORDS, st.none(), DAY
)


@given(st.dictionaries(st.integers(0, 4), ROW))
def test_what_was_put_in_comes_back(rows: dict[int, tuple[Any, ...]]) -> None:
    text = quiet_text(((number, *row) for number, row in rows.items()), 5)
    assert bool(text) == bool(rows)
    expected = sorted((number, *row) for number, row in rows.items())
    assert [(number, *row) for number, row in (quiet_rows(text) if text else ())] == expected
    with closing(sqlite3.connect(":memory:")) as store:
        found = store.execute(f"SELECT {', '.join(COLUMNS.values())} FROM (SELECT ? AS data) q, json_each(q.data) j WHERE {THERE}", (text or "[]",)).fetchall()
    assert sorted(found) == expected
