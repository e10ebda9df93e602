"""A whole ledger as one SQLite file: every table with its types, the ledger and the day in columns, an index on cask."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable
from pathlib import Path

from caskbook.export.columns import Table
from caskbook.export.rows import Row
from caskbook.export.schema import part_fields
from caskbook.export.writers import batches

_KINDS = {"text": "TEXT", "integer": "INTEGER", "double": "REAL", "decimal": "NUMERIC", "boolean": "INTEGER", "date": "TEXT"}


class SqliteFile:
    """The file while it is written. SQLite knows no days and no yes and no: days are ISO text, yes is 1 and no 0."""

    def __init__(self, path: Path) -> None:
        self._store = sqlite3.connect(path, isolation_level=None)
        # Nobody else knows of the file yet, and one that was not finished is thrown away.
        self._store.execute("PRAGMA journal_mode=OFF")
        self._store.execute("PRAGMA synchronous=OFF")
        self._store.execute("BEGIN")

    def lay_out(self, of: Table) -> None:
        """Make a table."""
        columns = [f"{field.name} {_KINDS[field.type]}{'' if field.nullable else ' NOT NULL'}" for field in (*part_fields(of), *of.fields)]
        self._store.execute(f"CREATE TABLE {of.name} ({', '.join(columns)})")

    def write(self, of: Table, parts: tuple[object, ...], rows: Iterable[Row]) -> int:
        """Put rows into a table, each with what its parts say before it; how many."""
        marks = ", ".join("?" * (len(parts) + len(of.fields)))
        count = 0
        for batch in batches(rows):
            self._store.executemany(f"INSERT INTO {of.name} VALUES ({marks})", [(*parts, *row) for row in batch])
            count += len(batch)
        return count

    def take_over(self, other: Path, of: Table, as_of: str, keep: int | None) -> int:
        """The rows of the same table of an earlier file that are not of this day, of as many days as are kept with it; how many."""
        days = f"SELECT DISTINCT as_of FROM {of.name} WHERE as_of <> ? ORDER BY 1 DESC LIMIT ?"
        with contextlib.closing(sqlite3.connect(f"{other.resolve().as_uri()}?mode=ro", uri=True)) as old:
            rows = old.execute(f"SELECT * FROM {of.name} WHERE as_of IN ({days}) ORDER BY rowid", (as_of, -1 if keep is None else keep - 1))
            return self.write(Table(of.name, of.meaning, (*part_fields(of), *of.fields)), (), rows)

    def close(self, tables: Iterable[Table]) -> None:
        """Make the indexes, and finish the file."""
        for of in tables:
            if "cask" in of.names:
                self._store.execute(f"CREATE INDEX {of.name}_cask ON {of.name} (cask)")
        self._store.execute("COMMIT")
        self._store.close()

    def drop(self) -> None:
        """Let go of a file that was not finished."""
        self._store.close()
