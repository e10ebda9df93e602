"""Which columns of a view a reader's SQL may look at: SQLite works out every column of a view that it has to put down, asked for or not."""

from __future__ import annotations

import re
from collections.abc import Iterable

_ROWS_ONLY = re.compile(r"\bcount\s*\(\s*\*\s*\)", re.IGNORECASE)
_BY_NO_NAME = re.compile(r"\*|\bnatural\b|\bin\b\s*[^\s(]", re.IGNORECASE)
"""What takes columns without their names: every star but that of a count of rows, a natural join, and `IN` with a table behind it."""


def named(sql: str, columns: Iterable[str]) -> frozenset[str]:
    """Those of these columns that the SQL may look at: the ones whose names stand anywhere in it, or all where some can be taken without a name."""
    text = _ROWS_ONLY.sub(" ", sql)
    if _BY_NO_NAME.search(text):
        return frozenset(columns)
    words = set(re.findall(r"\w+", text.lower()))
    return frozenset(column for column in columns if column in words)
