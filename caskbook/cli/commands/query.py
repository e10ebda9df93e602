"""`query`: read-only SQL over the tables cask, event, fill and due, typed or saved under a name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from caskbook.cli.commands.query_saved import LIST_COLUMNS, list_rows, question_named
from caskbook.cli.common import say, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import index_and_answer
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks
from caskbook.core.finding import CaskbookError
from caskbook.model.query_columns import describe
from caskbook.model.questions import is_question_name
from caskbook.words.plural import number_of

_TEXT_ROWS = 10_000


def run(
    asked: str | None, records: str | None, as_of: str | None, at: str | None, form: str, *, tables: bool, listed: bool, limit: int | None, timeout: int
) -> int:
    """Print the rows of SQL or of a saved question; `tables` prints what can be asked for, the fields of `data` job by job too, `listed` the saved questions."""
    check_form(form)
    sql = question_of(asked, timeout, tables=tables, listed=listed)
    if tables or listed:
        print_tables(form, describe()) if tables else print_questions(form, list_rows(records, at))
        return 0
    saved = question_named(sql, records, at) if is_question_name(sql) else None
    return _ask(saved.sql if saved else sql, records, as_of, at, form, limit, timeout, title=saved.title if saved else None)


def question_of(asked: str | None, timeout: int, *, tables: bool, listed: bool) -> str:
    """The SQL or the name of a saved question that was asked, "" where a list is wanted. CaskbookError for a question beside a list, which would go unanswered, for both
    lists, and where nothing is asked."""
    if tables or listed:
        if asked:
            raise CaskbookError(f"{'--tables' if tables else '--list'} with a question: expected one of them")
        if tables and listed:
            raise CaskbookError("--tables with --list: expected one of them")
        return ""
    if not asked or not asked.strip():
        raise CaskbookError(
            'no SQL given: caskbook query "SELECT state, count(*) FROM cask GROUP BY state"; --tables lists the columns, --list the saved questions'
        )
    if not 1 <= timeout <= 3600:
        raise CaskbookError(f"--timeout {timeout}: expected 1 to 3600 seconds")
    return asked


def _ask(sql: str, records: str | None, as_of: str | None, at: str | None, form: str, limit: int | None, timeout: int, *, title: str | None) -> int:
    """Print the rows of one SELECT, in text under its title where it has one. Always 0."""
    index, answer = index_and_answer(records, as_of, at, sql=sql)
    most = most_rows(form, limit)
    with index, index.select(sql, most, timeout) as found:
        refuse_names_twice(form, found.columns)
        say_left_out(index.root, at, answer.overlooked, answer.linked, answer.strays)
        say_no_casks(index.root, at)
        left_out(answer)
        print_found(form, found.columns, found.rows, title)
        more = found.more
    if more:
        say_more(most)
    return 0


def most_rows(form: str, limit: int | None) -> int | None:
    """How many rows are read at most; None where there is no end."""
    return limit if limit is not None else _TEXT_ROWS if form == "text" else None


def say_more(most: int | None) -> None:
    """Say that there were more rows than these."""
    say(f"only the first {number_of(most or 0, 'row')}; --limit takes another number")


def print_found(form: str, columns: Sequence[str], rows: Iterator[list[Any]], title: str | None = None) -> None:
    """Print the rows of a SELECT; as JSON lines while they come."""
    from caskbook.render import table

    if form == "jsonl":
        while chunk := list(islice(rows, 1000)):
            write_data(table.table_jsonl(columns, chunk))
    else:
        print_rows(form, columns, list(rows), title)


def refuse_names_twice(form: str, columns: Sequence[str]) -> None:
    """CaskbookError where two columns have one name: an object of JSON would keep the last of them."""
    twice = next((name for n, name in enumerate(columns) if name in columns[:n]), None)
    if twice is not None and form in ("json", "jsonl"):
        shown = "".join(sign if sign.isprintable() else "?" for sign in twice[:40])
        raise CaskbookError(f"two columns are called {shown}: give one another name with AS, for JSON has each name once; csv and text take both")


def print_questions(form: str, rows: Sequence[Sequence[Any]]) -> None:
    """The saved questions; in text each title in full, below where it comes from."""
    if form != "text":
        print_rows(form, LIST_COLUMNS, rows)
        return
    from caskbook.render.console import USUAL_WIDTH
    from caskbook.render.tables_text import tables_text

    out = screen()
    write_text(tables_text([[f"of {of}", name, "", "", title] for name, title, of in rows], out.width or USUAL_WIDTH), out)


def print_tables(form: str, columns: Sequence[Sequence[str]]) -> None:
    """The columns of the tables, and what the column `data` of `event` holds of each job: there the table is called `data of JOB`."""
    from caskbook.entry.data_fields import data_fields

    rows: list[list[str]] = [[*row] for row in columns]
    rows += [[f"data of {one.job or 'any job'}", one.field, one.kind, one.unit, one.meaning] for one in data_fields()]
    if form == "text":
        from caskbook.render.tables_text import tables_text

        out = screen()
        write_text(tables_text(rows, out.width), out)
        return
    print_rows(form, ["table", "column", "kind", "unit", "meaning"], rows)


def print_rows(form: str, columns: Sequence[str], rows: Sequence[Sequence[object]], title: str | None = None) -> None:
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
