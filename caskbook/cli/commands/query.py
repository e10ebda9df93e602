"""`query`: read-only SQL over the tables cask, event, fill and due, typed or saved under a name."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from caskbook.cli.answered import index_and_answer
from caskbook.cli.commands.query_saved import LIST_COLUMNS, list_rows, question_named
from caskbook.cli.common import say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.forms import check_form
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks
from caskbook.core.finding import CaskbookError
from caskbook.model.questions import is_question_name
from caskbook.words.plural import number_of

_TEXT_ROWS = 10_000


def run(
    asked: str | None, records: str | None, as_of: str | None, at: str | None, form: str, *, tables: bool, listed: bool, limit: int | None, timeout: int
) -> int:
    """Print the rows of SQL or of a saved question; `tables` prints what can be asked for, the fields of `data` job by job too, `listed` the saved questions."""
    check_form(form)
    if tables or listed:
        _refuse_both(asked, tables=tables, listed=listed)
        _tables(form) if tables else _print(form, LIST_COLUMNS, list_rows(records, at))
        return 0
    if not asked or not asked.strip():
        raise CaskbookError(
            'no SQL given: caskbook query "SELECT state, count(*) FROM cask GROUP BY state"; --tables lists the columns, --list the saved questions'
        )
    if not 1 <= timeout <= 3600:
        raise CaskbookError(f"--timeout {timeout}: expected 1 to 3600 seconds")
    saved = question_named(asked, records, at) if is_question_name(asked) else None
    return _ask(saved.sql if saved else asked, records, as_of, at, form, limit, timeout, title=saved.title if saved else None)


def _refuse_both(asked: str | None, *, tables: bool, listed: bool) -> None:
    """CaskbookError for a question beside a list, which would go unanswered, and for both lists."""
    one = "--tables" if tables else "--list"
    if asked:
        raise CaskbookError(f"{one} with a question: expected one of them")
    if tables and listed:
        raise CaskbookError("--tables with --list: expected one of them")


def _ask(sql: str, records: str | None, as_of: str | None, at: str | None, form: str, limit: int | None, timeout: int, *, title: str | None) -> int:
    """Print the rows of one SELECT, in text under its title where it has one. Always 0."""
    from caskbook.render import table

    index, answer = index_and_answer(records, as_of, at)
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
            _print(form, found.columns, list(found.rows), title)
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
    """The columns of the tables, and what the column `data` of `event` holds of each job: there the table is called `data of JOB`."""
    from caskbook.entry.data_fields import data_fields
    from caskbook.model.query_columns import describe

    rows: list[list[str]] = [[*row] for row in describe()]
    rows += [[f"data of {one.job or 'any job'}", one.field, one.kind, one.unit, one.meaning] for one in data_fields()]
    if form == "text":
        from caskbook.render.tables_text import tables_text

        out = screen()
        write_text(tables_text(rows, out.width), out)
        return
    _print(form, ["table", "column", "kind", "unit", "meaning"], rows)


def _print(form: str, columns: list[str], rows: Sequence[Sequence[object]], title: str | None = None) -> None:
    """The rows go out as JSON, JSON lines, CSV or a table, that under its title."""
    from caskbook.render import table
    from caskbook.render.console import safe

    if form == "json":
        write_data(table.table_json(columns, rows))
    elif form == "jsonl":
        write_data(table.table_jsonl(columns, rows))
    elif form == "csv":
        write_data(table.table_csv(columns, rows))
    else:
        out = screen()
        head = f"{safe(title)}\n\n" if title else ""
        write_text(head + table.table_text(columns, rows, out.width), out)
