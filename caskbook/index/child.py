"""The process in which a reader's own SQL runs: it can read the four tables and nothing else, and has little memory and time.

Started as a program of its own; takes one request as JSON on standard input and answers in lines of JSON.
"""

from __future__ import annotations

import contextlib
import json
import math
import sqlite3
import sys
from typing import Any
from urllib.parse import quote

from caskbook.core.sql_guard import OWN_FUNCTIONS, TABLE_FUNCTIONS, may_do
from caskbook.core.sql_names import refuse_text_as_name
from caskbook.core.vat_names import vat_key

MOST_SQL = 100_000
MOVED = "the answer is about another day now"
MOST_VALUE = 20_000_000
_LIMITS = {
    sqlite3.SQLITE_LIMIT_LENGTH: MOST_VALUE, sqlite3.SQLITE_LIMIT_SQL_LENGTH: MOST_SQL, sqlite3.SQLITE_LIMIT_COLUMN: 200,
    sqlite3.SQLITE_LIMIT_EXPR_DEPTH: 100, sqlite3.SQLITE_LIMIT_COMPOUND_SELECT: 50, sqlite3.SQLITE_LIMIT_VDBE_OP: 250_000,
    sqlite3.SQLITE_LIMIT_FUNCTION_ARG: 100, sqlite3.SQLITE_LIMIT_ATTACHED: 0, sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH: 1000,
    sqlite3.SQLITE_LIMIT_WORKER_THREADS: 0, sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH: 1,
}  # fmt: skip


def main() -> None:
    """Answer one request."""
    request = json.load(sys.stdin)
    _limit_process(request["megabytes"], request["seconds"])
    try:
        _answer(request)
    except sqlite3.Error as error:
        _say({"error": str(error)})
    except (MemoryError, OverflowError):
        _say({"error": "out of memory"})


def _limit_process(megabytes: int, seconds: int) -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (megabytes << 20, megabytes << 20))
        resource.setrlimit(resource.RLIMIT_CPU, (seconds + 1, seconds + 2))
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _answer(request: dict[str, Any]) -> None:
    store = guarded(request["path"], request["views"], request["stands"])
    if store is None:
        _say({"error": MOVED})
        return
    with contextlib.closing(store):
        _rows(store, request)


def _rows(store: sqlite3.Connection, request: dict[str, Any]) -> None:
    """The rows of a reader's SQL go out one a line, at most its limit, and at last whether there are more."""
    refuse_text_as_name(store, request["sql"])
    cursor = store.execute(request["sql"])
    if cursor.description is None:
        _say({"error": "expected a SELECT that gives rows"})
        return
    _say({"columns": [column[0] for column in cursor.description]})
    for n, row in enumerate(cursor):
        if request["limit"] is not None and n >= request["limit"]:
            _say({"more": True})
            return
        _say([_plain(value) for value in row])
    _say({"more": False})


def guarded(path: str, views: list[str], stands: str) -> sqlite3.Connection | None:
    """The index, open for reading through the views only: whatever the SQL says, nothing is written and no other file opened.

    None where `stands` gives no row: the views are no longer about the day asked for. What is read is all as it is now.
    """
    store = sqlite3.connect(f"file:{quote(path)}?mode=ro", uri=True, isolation_level=None, timeout=30)
    store.text_factory = lambda data: data.decode("utf-8", "replace")
    store.execute("PRAGMA temp_store=MEMORY")
    store.execute("PRAGMA cache_size=-32768")
    for statement in views:
        store.execute(statement)
    for name in TABLE_FUNCTIONS:
        store.execute(f"SELECT 1 FROM {name}('[]')")  # makes them known while that is still allowed
    store.execute("BEGIN")
    if store.execute(stands).fetchone() is None:
        store.close()
        return None
    store.execute("PRAGMA query_only=ON")
    store.execute("PRAGMA trusted_schema=OFF")
    for name, function in zip(OWN_FUNCTIONS, (_plain_mark, _plain_vat), strict=True):
        store.create_function(name, 1, function, deterministic=True)
    for limit, most in _LIMITS.items():
        store.setlimit(limit, most)
    names = {statement.split()[3] for statement in views}

    def allowed(action: int, one: str | None, two: str | None, _database: str | None, inside: str | None) -> int:
        if action == sqlite3.SQLITE_READ:
            # No column is named where rows are only counted.
            open_to_all = not two or inside in names or one in names or one in TABLE_FUNCTIONS
            return sqlite3.SQLITE_OK if open_to_all else sqlite3.SQLITE_DENY
        return sqlite3.SQLITE_OK if may_do(action, two) else sqlite3.SQLITE_DENY

    store.set_authorizer(allowed)
    return store


def _plain_mark(value: object) -> str | None:
    """A mark as it is compared: capitals of any letters and blanks at its ends aside, for which SQLite knows ASCII alone."""
    return value.strip().casefold() if isinstance(value, str) else None


def _plain_vat(value: object) -> str | None:
    """A vat as its account has it."""
    return vat_key(value) if isinstance(value, str) else None


def _plain(value: object) -> object:
    if isinstance(value, bytes):
        return value.hex()
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _say(line: object) -> None:
    sys.stdout.write(json.dumps(line, ensure_ascii=True, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main()
