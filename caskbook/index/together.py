"""The tables of several answers in one file, each row with the name of its ledger, for a reader's SQL over all of them."""

from __future__ import annotations

import contextlib
import re
import sqlite3
from collections.abc import Iterator
from urllib.parse import quote

from caskbook.core.finding import CaskbookError
from caskbook.index.answer import Answer
from caskbook.index.named_columns import named
from caskbook.index.sql import DAMAGED, SECONDS, TOO_FAST, TRIES, Rows, file_for_rows, file_of, no_room, refuse_unaskable, rows_kept, select_from
from caskbook.index.store import NoIndex, make_anew
from caskbook.index.views import views
from caskbook.model.query_columns import LEDGER, TABLES


class Together:
    """Rows put down for one SQL: of tables that it does not name none, of columns that it cannot look at nothing."""

    def __init__(self, sql: str, path: str) -> None:
        self.sql, self.path = sql, path
        self.casks: dict[str, int] = {}
        """Ledger → how many casks it has, whatever the SQL asks for."""
        self._tables = [table for table in TABLES if table == "cask" or re.search(rf"\b{table}\b", sql, re.IGNORECASE)]

    def add(self, name: str, answer: Answer) -> None:
        """Put down the rows of one answer under the name of its ledger. CaskbookError where its index turns out to be damaged, or changes all the while."""
        try:
            for _ in range(TRIES):
                if not rows_kept(answer, self.sql):
                    continue
                with file_of(answer) as path:
                    if self._copied(name, answer, path):
                        return
                answer.hold()
        except NoIndex as error:
            raise CaskbookError(f"{error}; ask again") from None
        raise CaskbookError(TOO_FAST)

    def _copied(self, name: str, answer: Answer, path: str) -> bool:
        """Copy the rows out of the file of an index; False where the answer is about another day by now, and nothing is put down."""
        first = not self.casks
        with contextlib.closing(sqlite3.connect(f"file:{quote(path)}?mode=ro", uri=True, isolation_level=None, timeout=30)) as store:
            with _damaged(answer):
                store.execute("PRAGMA temp_store=MEMORY")
                for statement in views(answer, self.sql):
                    store.execute(statement)
            with no_room(self.path):
                store.execute("ATTACH ? AS whole", (self.path,))
                store.execute("PRAGMA whole.journal_mode=OFF")
                store.execute("PRAGMA whole.synchronous=OFF")
            store.execute("BEGIN")
            with _damaged(answer):
                if store.execute(answer.stands).fetchone() is None:
                    return False
                self.casks[name] = int(store.execute("SELECT count(*) FROM temp.cask").fetchone()[0])
            for table in TABLES:
                with no_room(self.path):
                    store.execute(self._put(table, name, first=first))
            store.execute("COMMIT")
        return True

    def _put(self, table: str, name: str, *, first: bool) -> str:
        """The SQL that puts down the rows of a table. Made by the first SELECT, its columns compare as those of the view do."""
        columns = [column.name for column in TABLES[table]]
        seen = named(self.sql, columns)
        shown = ", ".join(f'"{column}"' if column in seen else f'NULL AS "{column}"' for column in columns)
        none = "" if table in self._tables else " WHERE 0"
        ledger = "'" + name.replace("'", "''") + "'"
        into = f"CREATE TABLE whole.rows_{table} AS" if first else f"INSERT INTO whole.rows_{table}"
        return f"{into} SELECT {ledger} AS {LEDGER.name}, {shown} FROM temp.{table}{none}"

    def select(self, limit: int | None = None, seconds: int | None = None) -> contextlib.AbstractContextManager[Rows]:
        """Run the SQL over all rows, in the guarded process. CaskbookError for wrong SQL, and a limit that is passed."""
        shown = [f"CREATE TEMP VIEW {table} AS SELECT * FROM main.rows_{table}" for table in TABLES]
        return select_from(self.path, shown, self.sql, limit, SECONDS if seconds is None else seconds)

    def twice(self) -> int:
        """How many numbers of casks stand in several of the ledgers."""
        query = f'SELECT count(*) FROM (SELECT 1 FROM rows_cask GROUP BY "cask" HAVING count(DISTINCT {LEDGER.name}) > 1)'
        with contextlib.closing(sqlite3.connect(self.path)) as store:
            return int(store.execute(query).fetchone()[0])


@contextlib.contextmanager
def together(sql: str) -> Iterator[Together]:
    """A place to put rows together for one SQL, which is refused first where it cannot be asked; it lasts as long as it is held."""
    refuse_unaskable(sql)
    with file_for_rows() as path:
        yield Together(sql, path)


@contextlib.contextmanager
def _damaged(answer: Answer) -> Iterator[None]:
    """While an index is read: one that turns out to be damaged is made anew. CaskbookError."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.OperationalError):
            raise CaskbookError(f"the index cannot be read ({error}); ask again") from None
        make_anew(answer.snapshot.root)
        raise CaskbookError(DAMAGED) from None
