"""The tables that `list` and `query` look into: views on an answer of the index, in plain columns, for one day."""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Sequence

from caskbook.index.answer import Answer
from caskbook.index.named_columns import named
from caskbook.index.places import berth_of_entry, store_of, store_of_entry
from caskbook.index.quiet import COLUMNS, THERE
from caskbook.model.query_columns import CASK, DUE, EVENT, FILL, Column

_EMPTY = {"list": "[]", "map": "{}"}


def views(answer: Answer, sql: str) -> list[str]:
    """Statements that make the tables cask, event, fill and due of an answer as temporary views, for a reader's SQL: of `due`, which SQLite puts down
    as a whole before it is joined, the columns that the SQL does not name are empty."""
    made = {
        "cask": rows_of(answer, "cask"),
        "fill": rows_of(answer, "fill"),
        "event": f"SELECT {_columns(answer, EVENT, 'e')} FROM main.answer_life a JOIN main.life l ON l.id = a.life AND a.answer = {answer.number}"
        f" JOIN main.event e ON e.version = l.version AND ifnull(e.date, '') <= {_text(answer.day.isoformat())}",
        "due": _due(answer, _source(answer), named(sql, (column.name for column in DUE))),
    }
    return [f"CREATE TEMP VIEW {name} AS {select}" for name, select in made.items()]


def rows_of(answer: Answer, name: str, among: str = "") -> str:
    """The SELECT that gives all columns of the table cask, fill or due. `among`: SQL of the numbers whose rows alone are wanted (`among_of`)."""
    source = _source(answer) + (f" AND a.cask IN {among}" if among else "")
    if name == "cask":
        return f"SELECT {_columns(answer, CASK, 'l')} FROM {source}"
    if name == "fill":
        return f"SELECT {_columns(answer, FILL, 'f')} FROM {source} JOIN main.fill f ON f.life = l.id"
    return _due(answer, source, {column.name for column in DUE})


def among_of(casks: Iterable[str]) -> str:
    """SQL of these numbers, to stand behind IN."""
    return f"(SELECT value FROM json_each({_text(json.dumps(list(casks)))}))"


def event_columns(answer: Answer, names: Sequence[str]) -> str:
    """These columns of the table event, as SQL over the rows a, l and e."""
    own = {column.name: column for column in EVENT}
    return _columns(answer, tuple(own[name] for name in names), "e")


def cask_rows(answer: Answer, *, life: bool = False) -> str:
    """The SELECT that gives a row for each cask of the answer: those that had begun, each under the number that goes on. `life`: with the number of its
    life in the index as well."""
    return f"SELECT {'l.id AS life, ' * life}{_columns(answer, CASK, 'l')} FROM {_source(answer)}"


def _source(answer: Answer) -> str:
    joined = ", ".join(_text(number) for number in sorted(answer.joined))
    return f"main.answer_life a JOIN main.life l ON l.id = a.life AND a.answer = {answer.number} AND l.begun AND l.cask NOT IN ({joined})"


def _text(value: str) -> str:
    return "'" + value.replace("'", "''") + "'"


def _columns(answer: Answer, columns: tuple[Column, ...], table: str) -> str:
    return ", ".join(f'{_sql(answer, column, table)} AS "{column.name}"' for column in columns)


def _sql(answer: Answer, column: Column, table: str) -> str:
    """The SQL of one column of the view on a table: as it is stored, or as it is worked out for the day or for the cask that goes on."""
    if column.sql:
        return column.sql.replace("d.day", str(answer.day.toordinal())).replace("d.iso", _text(answer.day.isoformat()))
    if column.name == "cask":
        return "a.cask"  # It has an index, by which tables are joined.
    if table == "e" and column.name in ("berth", "store"):
        return berth_of_entry(answer) if column.name == "berth" else store_of_entry(answer)
    if table == "f" and column.name in ("store_filled", "store_emptied"):
        return store_of(answer, f'f."{column.name.replace("store", "berth")}"', "l.type")
    if column.name == "loss_doubt":
        fill = "p.fill = f.event AND p.start = f.start" if table == "f" else "p.back = 0"
        by_peers = f"SELECT p.doubt FROM main.peer_doubt p WHERE p.answer = {answer.number} AND p.life = l.id AND {fill}"
        return f"ifnull({table}.loss_doubt, ({by_peers}))"
    plain = f'{table}."{column.name}"'
    if table == "l" and column.kind in ("list", "map"):  # What is unknown is kept as the JSON text null.
        plain = f"nullif({plain}, 'null')" if column.name == "last_test" else f"nullif(ifnull({plain}, '{_EMPTY[column.kind]}'), 'null')"
    return plain


def _due(answer: Answer, source: str, wanted: Container[str]) -> str:
    """The SQL of the table `due`: verdicts that call for something, those that are ok, and those by peers, which stand first. `wanted`: the columns
    that are worked out."""
    names = " ".join(f"WHEN {n} THEN {_text(name)}" for n, (name, _) in enumerate(answer.rules))
    stored = ("verdict", "since", "well_past", "reasons", "decided", "changes_on")
    loud = ", ".join(f"{f'd.{name}' if name in wanted else 'NULL'} AS {name}" for name in stored)
    quiet = ", ".join("'ok'" if name == "verdict" else COLUMNS[name] if name in wanted else "NULL" for name in stored)
    head = ", ".join(f"{column if name in wanted else 'NULL'} AS {name}" for name, column in (("cask", "a.cask"), ("type", "l.type"), ("berth", "l.berth")))
    # Where a cask was judged as a whole with its peers, that stands in the place of what it was by itself.
    alone = f"NOT EXISTS (SELECT 1 FROM main.peer_words w WHERE w.answer = {answer.number} AND w.life = l.id AND w.whole)"
    rows = (
        f"SELECT {head}, d.rule AS number, {loud} FROM {source} JOIN main.due d ON d.life = l.id AND {alone}"
        f" UNION ALL SELECT {head}, {COLUMNS['rule']}, {quiet} FROM {source} JOIN main.quiet q ON q.life = l.id AND {alone}, json_each(q.data) j WHERE {THERE}"
        f" UNION ALL SELECT {head}, d.rule, {loud} FROM {source} JOIN main.peer_due d ON d.answer = {answer.number} AND d.life = l.id"
    )
    shown = ", ".join(f"CASE r.number {names} END AS rule" if column.name == "rule" else f"r.{column.name}" for column in DUE)
    return f"SELECT {shown} FROM ({rows}) r"
