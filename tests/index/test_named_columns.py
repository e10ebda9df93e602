"""The columns of `due` that a reader's SQL does not name are not worked out; whatever it can look at is as it stands there."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from caskbook.due import RULES
from caskbook.index.answer import Answer
from caskbook.index.child import guarded
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import in_memory
from caskbook.index.views import views
from caskbook.model.query_columns import DUE
from index.book import DAY

COLUMNS = [column.name for column in DUE]
ROWS = [
    ("TH-000001", "barrel", "A-1", RULES[0].name, "due", "2020-01-02", 1, "dry", None, "2020-03-01"),
    ("TH-000001", "barrel", "A-1", RULES[1].name, "ok", None, 0, "sound", None, "2020-04-01"),
    ("TH-000001", "barrel", "A-1", RULES[2].name, "ok", "2020-01-05", 0, "wet", "by ab", None),
]
"""A verdict that calls for something, one that is ok, and one that is ok by a decision."""
STEPS = 20


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Answer]]:
    """An index of one cask with these verdicts."""
    store, file = in_memory(), tmp_path_factory.mktemp("index") / "one.sqlite"
    store.execute("INSERT INTO answer (id, from_day, until_day, summary) VALUES (1, 0, 4000000, '{\"joined\": {}}')")
    store.execute("INSERT INTO life (id, version, cask, type, berth, begun) VALUES (1, 1, 'TH-000001', 'barrel', 'A-1', 1)")
    store.execute("INSERT INTO answer_life VALUES (1, 1, 'TH-000001')")
    store.execute("INSERT INTO due VALUES (1, 0, 'due', '2020-01-02', 1, 0, 'dry', NULL, '2020-03-01')")
    store.execute("""INSERT INTO quiet VALUES (1, '[null,"2020-04-01sound",["2020-01-05",0,0,"wet","by ab",null]]')""")
    store.execute(f"VACUUM INTO '{file}'")
    answer = Answer(store, Snapshot(Path(), Path(), 1, date.fromisoformat(DAY)), lambda _: 1, date.fromisoformat(DAY), "", 0, number=1)
    answer.rules = [(rule.name, rule.rank) for rule in RULES]
    yield str(file), answer
    store.close()


def _asked(made: tuple[str, Answer], sql: str) -> tuple[list[Any], int]:
    """(the rows, how many times SQLite made a number of steps)."""
    counted = 0

    def stepped() -> int:
        nonlocal counted
        counted += 1
        return 0

    store = guarded(made[0], views(made[1], sql), made[1].stands)
    assert store is not None
    with closing(store):
        store.set_progress_handler(stepped, STEPS)
        return store.execute(sql).fetchall(), counted


@pytest.mark.parametrize("column", COLUMNS)
@pytest.mark.parametrize("sql", ["SELECT {}, count(*) FROM due GROUP BY 1", 'SELECT "{}", count(*) FROM due GROUP BY 1', "SELECT due.[{}], 1 FROM due"])
def test_a_column_that_is_named_is_as_it_stands(made: tuple[str, Answer], sql: str, column: str) -> None:
    at = COLUMNS.index(column)
    asked = sql.format(column.upper() if "[" in sql else column)
    assert {row[0] for row in _asked(made, asked)[0]} == {row[at] for row in ROWS}


@pytest.mark.parametrize(
    "sql",
    [
        "SELECT * FROM due", "SELECT due.* FROM due", "SELECT count(*), * FROM due GROUP BY rule", "SELECT count(*) AS n, due.* FROM due GROUP BY rule",
        "WITH one AS (SELECT * FROM due) SELECT * FROM one", "SELECT * FROM due NATURAL JOIN due b", "SELECT * FROM (SELECT * FROM due)",
    ],
)  # fmt: skip
def test_a_star_takes_all_columns_as_they_stand(made: tuple[str, Answer], sql: str) -> None:
    whole = {row[-len(COLUMNS) :] for row in _asked(made, sql)[0]}
    assert whole <= set(ROWS) and (whole or "NATURAL" in sql)  # A natural join takes no row with a column that is not known.


@pytest.mark.parametrize("between", [" ", "\n", " -- all of it\n", "/**/"])
@pytest.mark.parametrize("table", ["due", '"due"', "temp.due"])
def test_in_with_a_table_behind_it_looks_at_all_its_columns(made: tuple[str, Answer], table: str, between: str) -> None:
    values = ", ".join("NULL" if value is None else repr(value) for value in ROWS[0])
    # With a column that is not known nothing is in the table for sure; with another value of one that is, it surely is not.
    assert _asked(made, f"SELECT ({values}) IN{between}{table}")[0] == [(None,)]
    assert _asked(made, f"SELECT ({values.replace('dry', 'wet')}) in{between}{table}")[0] == [(0,)]


def test_a_natural_join_compares_columns_that_are_not_named(made: tuple[str, Answer]) -> None:
    assert _asked(made, "SELECT count(*) FROM cask NATURAL JOIN due")[0] == [(3,)]


def test_what_is_not_named_is_not_worked_out(made: tuple[str, Answer]) -> None:
    join = "SELECT c.type, d.rule, count(*){} FROM cask c JOIN due d USING (cask) GROUP BY 1, 2"
    few, more = _asked(made, join.format(""))[1], _asked(made, join.format(", max(d.reasons), max(d.changes_on), max(d.decided)"))[1]
    assert few < 0.8 * more, (few, more)
