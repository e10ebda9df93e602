"""A reader's own SQL, run in a guarded process: rows as they come, limits of time, memory and length, faults in plain words."""

from __future__ import annotations

import contextlib
import json
import re
import sqlite3
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.index.answer import Answer
from caskbook.index.beside import sql_kept
from caskbook.index.child import MOST_SQL, MOVED
from caskbook.index.events import keep_events
from caskbook.index.store import Changed, NoIndex, make_anew
from caskbook.index.views import views
from caskbook.model.questions import asks_sqlite, explained

SECONDS = 30
MEGABYTES = 1024
TRIES = 20
DAMAGED = "the index was damaged; it is made anew: ask again"
TOO_FAST = "the index changes faster than it can be read; ask again"
_EVENT = re.compile(r"\bevent\b", re.IGNORECASE)


class _DamagedError(Exception):
    """The index cannot be read."""


class _MovedError(Exception):
    """Another command took the answer over to another day before it was read."""


@dataclass
class Rows:
    """What a query gives: the names of its columns, its rows, and, once they are read, whether there were more."""

    columns: list[str]
    rows: Iterator[list[Any]]
    more: bool = field(default=False)


@contextlib.contextmanager
def select(answer: Answer, sql: str, limit: int | None = None, seconds: int = SECONDS) -> Iterator[Rows]:
    """Run one SELECT. CaskbookError in one line for wrong SQL, and where a limit is passed."""
    refuse_unaskable(sql)
    # A damaged file is found out while it is read; the next command has another.
    try:
        for _ in range(TRIES):
            if not rows_kept(answer, sql):
                continue
            with file_of(answer) as path, contextlib.suppress(_MovedError):
                yield from _run(_request(path, views(answer, sql), answer.stands, sql, limit, seconds), seconds)
                return
            answer.hold()
    except _DamagedError:
        make_anew(answer.snapshot.root)
        raise CaskbookError(DAMAGED) from None
    except NoIndex as error:
        raise CaskbookError(f"{error}; ask again") from None
    raise CaskbookError(TOO_FAST)


@contextlib.contextmanager
def select_from(path: str, shown: list[str], sql: str, limit: int | None, seconds: int) -> Iterator[Rows]:
    """The same over a file that nobody else writes to, through the views `shown`, in the same guarded process."""
    refuse_unaskable(sql)
    try:
        yield from _run(_request(path, shown, "SELECT 1", sql, limit, seconds), seconds)
    except _DamagedError:
        raise CaskbookError("the rows that were put together cannot be read; ask again") from None


def refuse_unaskable(sql: str) -> None:
    """CaskbookError for SQL that is not even begun: too long, or asking SQLite about itself."""
    if len(sql) > MOST_SQL:
        raise CaskbookError(f"the SQL has {len(sql)} characters: at most {MOST_SQL} are taken")
    sql.encode()  # A byte typed that is no text ends here, and is told as such; in the other process it would be told as too much memory.
    if asks_sqlite(sql):
        raise CaskbookError(explained("not authorized"))


def _request(path: str, shown: list[str], stands: str, sql: str, limit: int | None, seconds: int) -> dict[str, Any]:
    """What the guarded process is told."""
    return {"path": path, "views": shown, "stands": stands, "sql": sql, "limit": limit, "seconds": seconds, "megabytes": MEGABYTES}


def rows_kept(answer: Answer, sql: str) -> bool:
    """Whether the rows of the tables that are asked for are in the index; where they were not, the answer may be another now."""
    try:
        return sql_kept(answer, sql) and (not _EVENT.search(sql) or keep_events(answer))
    except Changed:
        answer.hold()
        return False


@contextlib.contextmanager
def file_of(answer: Answer) -> Iterator[str]:
    """The file of the index; one that is in memory is written down for as long as it is needed."""
    path = answer.store.path
    if path:
        yield path
        return
    with file_for_rows() as target:
        with no_room(target), contextlib.closing(sqlite3.connect(target)) as copy:
            answer.store.backup(copy)
        yield target


@contextlib.contextmanager
def file_for_rows() -> Iterator[str]:
    """A file of SQLite that can be made, and is taken away with its folder. CaskbookError where no folder can be made."""
    try:
        made = tempfile.TemporaryDirectory(prefix="caskbook-")
    except OSError as error:
        raise CaskbookError(
            f"no folder to put the rows together: {error.strerror or error}; make room, or set TMPDIR to a folder that can be written"
        ) from None
    with made as folder:
        yield str(Path(folder) / "index.sqlite")


@contextlib.contextmanager
def no_room(target: str) -> Iterator[None]:
    """While such a file is written: CaskbookError where SQLite cannot."""
    try:
        yield
    except sqlite3.Error as error:
        raise CaskbookError(f"{Path(target).parent}: no room to put the rows together: {error}; make room there, or set TMPDIR to another folder") from None


def _run(request: dict[str, Any], seconds: int) -> Iterator[Rows]:
    """The rows of a query run in a process of its own, which is ended after `seconds`, or when the rows are no longer wanted."""
    command = [sys.executable, "-P", "-m", "caskbook.index.child"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as child:
        late = threading.Event()
        timer = threading.Timer(seconds, _stop, (child, late))
        timer.daemon = True
        timer.start()
        try:
            assert child.stdin is not None
            with contextlib.suppress(BrokenPipeError):
                child.stdin.write(json.dumps(request).encode())
                child.stdin.close()
            yield _read(child, late, seconds)
        finally:
            timer.cancel()
            child.kill()


def _damaged(error: str) -> bool:
    return "malformed" in error or "not a database" in error


def _stop(child: subprocess.Popen[bytes], late: threading.Event) -> None:
    late.set()
    child.kill()


def _read(child: subprocess.Popen[bytes], late: threading.Event, seconds: int) -> Rows:
    """The columns and rows that the process sends, read as they come."""
    first = _line(child, late, seconds)
    found = Rows(first["columns"], iter(()))

    def rows() -> Iterator[list[Any]]:
        while True:
            line = _line(child, late, seconds)
            if isinstance(line, dict):
                found.more = line["more"]
                return
            yield line

    found.rows = rows()
    return found


def _line(child: subprocess.Popen[bytes], late: threading.Event, seconds: int) -> Any:
    """One line that the process sends, as data. CaskbookError where it took too long or the query is wrong."""
    assert child.stdout is not None
    text = child.stdout.readline()
    if not text.endswith(b"\n"):
        child.wait()
        raise CaskbookError(
            f"the query took more than {seconds} s: narrow it down, or allow more with --timeout"
            if late.is_set()
            else "the query took too much memory or time: narrow it down"
        )
    line = json.loads(text)
    if isinstance(line, dict) and "error" in line:
        if line["error"] == MOVED:
            raise _MovedError
        if _damaged(line["error"]):
            raise _DamagedError
        raise CaskbookError(explained(line["error"]))
    return line
