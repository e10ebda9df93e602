"""`query` of several ledgers: SQL over the rows of all, or a saved question asked of each."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import islice

from caskbook.cli.commands.query import most_rows, print_found, print_rows, print_tables, question_of, refuse_names_twice, say_more
from caskbook.cli.commands.query_saved import LIST_COLUMNS, Saved, list_rows, question_named
from caskbook.cli.common import say
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import index_and_answer
from caskbook.cli.remarks import left_out, say_left_out
from caskbook.cli.several.list import put_together, say_gone
from caskbook.cli.several.sites import Site, sites_of, speaking_of
from caskbook.core.finding import CaskbookError
from caskbook.model.query_columns import LEDGER, describe
from caskbook.model.questions import is_question_name
from caskbook.words.plural import number_of

_TABLE = re.compile(r"\b(?:from|join)\s+\W?cask\b|,\s*cask\b(?=\s+(?:as\s+)?\w+\s*(?:,|where|$))", re.IGNORECASE)


def run(
    asked: str | None, records: Sequence[str], as_of: str | None, at: str | None, form: str, *, tables: bool, listed: bool, limit: int | None, timeout: int
) -> int:
    """Print the rows of SQL over all ledgers, each table with the column `ledger`, or of a saved question asked of each; `tables` and `listed` as of one. Always 0."""
    check_form(form)
    sql = question_of(asked, timeout, tables=tables, listed=listed)
    sites = sites_of(records, as_of, at)
    if tables:
        print_tables(form, describe((LEDGER,)))
    elif listed:
        print_rows(form, [LEDGER.name, *LIST_COLUMNS], _questions(sites))
    elif is_question_name(sql):
        _ask_each(sites, sql, as_of, form, limit, timeout)
    else:
        _ask_all(sites, sql, as_of, form, limit, timeout)
    return 0


def _questions(sites: Sequence[Site]) -> list[list[object]]:
    """The saved questions: without a ledger where all have the same, else those of each."""
    of: dict[tuple[object, ...], list[str]] = {}
    for site in sites:
        with speaking_of(site):
            for row in list_rows(site.records, None):
                of.setdefault(tuple(row), []).append(site.name)
    return [[None if len(names) == len(sites) else name, *row] for row, names in of.items() for name in (names[:1] if len(names) == len(sites) else names)]


def _ask_all(sites: Sequence[Site], sql: str, as_of: str | None, form: str, limit: int | None, timeout: int) -> None:
    """Print the rows of one SELECT over all ledgers."""
    most = most_rows(form, limit)
    with put_together(sites, as_of, sql) as rows:
        say_gone(sites)
        twice = rows.twice() if _takes_numbers_alone(sql) else 0
        with rows.select(most, timeout) as found:
            refuse_names_twice(form, found.columns)
            print_found(form, found.columns, found.rows)
            more = found.more
    if twice:
        say(
            f"{number_of(twice, 'number')} of casks stand{'s' * (twice == 1)} in several ledgers, for other casks: join, group and tell them by {LEDGER.name} and cask"
        )
    if more:
        say_more(most)


def _takes_numbers_alone(sql: str) -> bool:
    """Whether numbers of casks are looked at, and the ledger is not."""
    return not re.search(rf"\b{LEDGER.name}\b", sql, re.IGNORECASE) and re.search(r"\bcask\b", _TABLE.sub(" ", sql), re.IGNORECASE) is not None


def _ask_each(sites: Sequence[Site], name: str, as_of: str | None, form: str, limit: int | None, timeout: int) -> None:
    """Print the rows of a saved question of each ledger under each other, for its SQL knows of one alone: what it joins, counts or ranks is of that ledger."""
    most, more = most_rows(form, limit), False
    rows, columns, titles = list[Sequence[object]](), list[str](), list[str]()
    for site in sites:
        with speaking_of(site):
            saved = question_named(name, site.records, None)
            found, behind = _of_site(site, saved, as_of, most, timeout, columns)
        rows += found
        more = more or behind
        titles += [saved.title] if saved.title not in titles else []
    say_gone(sites)
    refuse_names_twice(form, [LEDGER.name, *columns])
    print_rows(form, [LEDGER.name, *columns], rows[:most], f"{'; '.join(titles)} (asked of each ledger)")
    if more or (most is not None and len(rows) > most):
        say_more(most)


def _of_site(site: Site, saved: Saved, as_of: str | None, most: int | None, timeout: int, columns: list[str]) -> tuple[list[Sequence[object]], bool]:
    """(the rows of a question of one ledger, whether there are more); `columns` are those of the ledgers before, and are filled in where they are empty."""
    index, answer = index_and_answer(site.records, as_of, None, sql=saved.sql)
    with index, index.select(saved.sql, most, timeout) as found:
        left_out(answer)
        if columns and found.columns != columns:
            raise CaskbookError(f"the question asks for other columns here ({', '.join(found.columns)}) than in the ledgers before ({', '.join(columns)})")
        columns[:] = found.columns
        rows: list[Sequence[object]] = [[site.name, *row] for row in islice(found.rows, most)]
        behind = found.more
    say_left_out(index.root, None, answer.overlooked, answer.linked, answer.strays)
    return rows, behind
