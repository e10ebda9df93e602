"""Saved questions: what they may be called, whether their SQL can be asked, and what SQLite says of wrong SQL in plain words."""

from __future__ import annotations

import contextlib
import re
import sqlite3

from caskbook.core.sql_guard import OWN_FUNCTIONS, TABLE_FUNCTIONS, may_do
from caskbook.core.sql_names import explain, refuse_text_as_name
from caskbook.model.query_columns import TABLES, no_such

_NAME = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
# What runs is SELECT alone; EXPLAIN would tell of SQLite itself. Before it there may be blanks, comments and empty statements.
_EXPLAIN = re.compile(r"(?:[\s;\ufeff]|--[^\n]*(?:\n|\Z)|/\*.*?(?:\*/|\Z))*explain\b", re.IGNORECASE | re.DOTALL)
_FILL = re.compile(r"\bfill\b", re.IGNORECASE)


def is_question_name(text: str) -> bool:
    """Whether it may be the name of a saved question: lower-case letters, figures and hyphens. SQL is none, for it has a blank."""
    return _NAME.fullmatch(text) is not None


def tells_fills(sql: str) -> bool:
    """Whether SQL asks for the table `fill`."""
    return bool(_FILL.search(sql))


def asks_sqlite(sql: str) -> bool:
    """Whether it asks SQLite how it would go about it, which is shown to nobody."""
    return _EXPLAIN.match(sql) is not None


def explained(error: str) -> str:
    """SQLite's words in one line, with the nearest name where one is unknown."""
    found = re.fullmatch(r"no such (column|table): (.*)", error)
    if found is not None:
        return f"SQL: {no_such(found.group(1), found.group(2))}"
    if "prohibited" in error or "not authorized" in error or "denied" in error or "readonly" in error:
        return "SQL: only SELECT on the tables cask, event, fill and due is allowed"
    if "one statement at a time" in error:
        return "SQL: one statement at a time"
    return "SQL: " + " ".join(error.split())[:200]


def sql_fault(sql: str) -> str | None:
    """What is wrong with the SQL of a question, in one line, found out without any book; None where it can be asked."""
    if asks_sqlite(sql):
        return explained("not authorized")
    with contextlib.closing(sqlite3.connect(":memory:")) as empty:
        for table, columns in TABLES.items():
            names = ", ".join(f'"{column.name}"' for column in columns)
            empty.execute(f"CREATE TABLE {table} ({names})")
        for name in TABLE_FUNCTIONS:
            empty.execute(f"SELECT 1 FROM {name}('[]')")  # makes them known while that is still allowed
        for name in OWN_FUNCTIONS:
            empty.create_function(name, 1, lambda value: value, deterministic=True)
        empty.set_authorizer(_allowed)
        try:
            refuse_text_as_name(empty, sql)
            explain(empty, sql)
        except (sqlite3.Error, sqlite3.Warning, ValueError) as error:
            return explained(str(error))
    return None


def _allowed(action: int, one: str | None, two: str | None, _database: str | None, _inside: str | None) -> int:
    if action == sqlite3.SQLITE_READ:
        return sqlite3.SQLITE_OK if one in TABLES or one in TABLE_FUNCTIONS or not two else sqlite3.SQLITE_DENY
    return sqlite3.SQLITE_OK if may_do(action, two) else sqlite3.SQLITE_DENY
