"""What SQL of a reader may do beside reading the tables that it is shown."""

from __future__ import annotations

import sqlite3

OWN_FUNCTIONS = ("plain_mark", "plain_vat")
"""Functions of one value that this program adds to those of SQLite."""
TABLE_FUNCTIONS = frozenset({"json_each", "json_tree"})
"""Functions that give rows, which may be read like tables."""
_FORBIDDEN = frozenset({"load_extension", "fts3_tokenizer", "readfile", "writefile", "edit", "zeroblob", "randomblob"})
_ALLOWED = frozenset({sqlite3.SQLITE_SELECT, sqlite3.SQLITE_FUNCTION, sqlite3.SQLITE_RECURSIVE})


def may_do(action: int, name: str | None) -> bool:
    """Whether an action other than reading a column is allowed, as SQLite numbers it; `name` is that of a function."""
    if action == sqlite3.SQLITE_FUNCTION:
        return (name or "").lower() not in _FORBIDDEN
    return action in _ALLOWED
