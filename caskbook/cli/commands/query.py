"""`query`: read-only SQL over the tables cask, event, fill and due."""

from __future__ import annotations

from itertools import islice

from caskbook.cli.common import index_answer, one_of, say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

_TEXT_ROWS = 10_000


def run(sql: str | None, records: str | None, as_of: str | None, at: str | None, form: str, *, tables: bool, limit: int | None, timeout: int) -> int:
    """Print the rows; `tables` prints what can be asked for."""
    one_of("--format", form, ("text", "json", "jsonl", "csv"))
    if tables:
        _tables(form)
        return 0
    if not sql or not sql.strip():
        raise CaskbookError('no SQL given: caskbook query "SELECT state, count(*) FROM cask GROUP BY state"; --tables lists the columns')
    if not 1 <= timeout <= 3600:
        raise CaskbookError(f"--timeout {timeout}: expected 1 to 3600 seconds")
    from caskbook.render import table

    opened = index_answer(records, as_of, at, memory=True)
    if opened is None:
        raise CaskbookError("the ledger changes faster than it can be read; try again")
    index, answer = opened
    most = limit if limit is not None else _TEXT_ROWS if form == "text" else None
    with index, index.select(sql, most, timeout) as found:
        if form in ("json", "jsonl"):
            _refuse_names_twice(found.columns)
        say_left_out(index.root, at, answer.overlooked, answer.linked)
        say_no_casks(index.root, at)
        left_out(answer)
        if form == "jsonl":
            while chunk := list(islice(found.rows, 1000)):
                write_data(table.table_jsonl(found.columns, chunk))
        else:
            _print(form, found.columns, list(found.rows))
        more = found.more
    if more:
        say(f"only the first {number_of(most or 0, 'row')}; --limit takes another number")
    return 0


def _refuse_names_twice(columns: list[str]) -> None:
    """CaskbookError where two columns have one name: an object of JSON would keep the last of them."""
    twice = next((name for n, name in enumerate(columns) if name in columns[:n]), None)
    if twice is not None:
        shown = "".join(sign if sign.isprintable() else "?" for sign in twice[:40])
        raise CaskbookError(f"two columns are called {shown}: give one another name with AS, for JSON has each name once; csv and text take both")


def _tables(form: str) -> None:
    from caskbook.index.columns import describe

    _print(form, ["table", "column", "kind", "unit", "meaning"], [list(row) for row in describe()])


def _print(form: str, columns: list[str], rows: list[list[object]]) -> None:
    """The rows go out as JSON, JSON lines, CSV or a table."""
    from caskbook.render import table

    if form == "json":
        write_data(table.table_json(columns, rows))
    elif form == "jsonl":
        write_data(table.table_jsonl(columns, rows))
    elif form == "csv":
        write_data(table.table_csv(columns, rows))
    else:
        out = screen()
        write_text(table.table_text(columns, rows, out.width), out)
