"""Names in double quotes, which SQLite takes for text where there is no column of that name: a slip of the pen would then be an answer."""

from __future__ import annotations

import re
import sqlite3

_NO_COLUMN = "no such column: "
# Text in single quotes, names in backticks or square brackets, comments; and names in double quotes, of which alone the group is filled.
_PART = re.compile(r"""'(?:[^']|'')*'|`(?:[^`]|``)*`|\[[^\]]*\]|--[^\n]*|/\*.*?(?:\*/|\Z)|"((?:[^"]|"")*)\"""", re.DOTALL)
# What may stand before a statement.
_BEFORE = re.compile(r"\A[\s;\ufeff]+")


def explain(store: sqlite3.Connection, sql: str) -> None:
    """Have SQLite look at a statement without running it. sqlite3.Error, sqlite3.Warning or ValueError where it cannot be run."""
    store.execute("EXPLAIN " + _BEFORE.sub("", sql)).close()


def refuse_text_as_name(store: sqlite3.Connection, sql: str) -> None:
    """sqlite3.OperationalError where a name in double quotes is that of no column; what else is wrong is told of the SQL as it was written."""
    named = _as_names(sql)
    if named is None:
        return
    try:
        explain(store, named)
    except (sqlite3.Error, sqlite3.Warning, ValueError) as error:
        kind, _, name = str(error).partition(_NO_COLUMN)
        if not kind and f'"{name.rpartition(".")[2]}"' in sql:
            raise sqlite3.OperationalError(f'{_NO_COLUMN}"{name}"') from None


def _as_names(sql: str) -> str | None:
    """The SQL with every name in double quotes written so that it can be a name alone; None where it has none, and means what it says."""
    found = 0

    def written(part: re.Match[str]) -> str:
        nonlocal found
        if part[1] is None:
            return part[0]
        found += 1
        return "`" + part[1].replace('""', '"').replace("`", "``") + "`"

    text = _PART.sub(written, sql)
    return text if found else None
