"""The pages of the offline book that are lists: its first page with the search, each thousand, what is due, what is in stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from caskbook.cli.choosing import conditions
from caskbook.cli.index_answer import index_and_answer
from caskbook.words.plural import number_of

_MOST_DUE = 2000
_COLUMNS = ("cask", "type", "state", "berth", "spirit", "parcel", "supplier", "old_marks", "joined")
Paper = Mapping[str, str]


def search_rows(records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any]) -> list[dict[str, Any]]:
    """What the search knows of each cask that passes the filters, in order of number; `due` is still to come."""
    from caskbook.model.query_columns import CASK, read_value

    known = {column.name: column for column in CASK}
    where = " AND ".join(conditions(filters)) or "1"
    index, _ = index_and_answer(records, as_of, at)
    with index, index.select(f"SELECT {', '.join(_COLUMNS)} FROM cask WHERE {where} ORDER BY cask") as found:
        rows = [{name: read_value(known[name], value) for name, value in zip(_COLUMNS, row, strict=True)} for row in found.rows]
    return [{**row, "marks": row.pop("old_marks") or []} for row in rows]


def listed(
    records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any], rows: Sequence[dict[str, Any]], paper: Paper
) -> dict[str, bytes]:
    """Path → bytes of all pages and files that are not a cask's."""
    from caskbook.pages.site import AS_THEY_ARE, as_it_is, page, search_data

    due, head = _due_page(records, as_of, at, filters, rows, paper)
    folders = [(name, f"casks/{name}/index.html", list(members)) for name, members in groupby(rows, lambda row: str(row["cask"])[:-3])]
    pages = {
        "due.html": due,
        "stock.html": _stock_page(records, as_of, at, filters, paper),
        "index.html": page("index.html", "index.html", title=paper["house"], head=head, folders=[(n, p, len(m)) for n, p, m in folders], **paper),
        "casks.js": search_data(rows),
    }
    pages.update({path: page("folder.html", path, title=f"{name} · {paper['house']}", name=name, casks=members, **paper) for name, path, members in folders})
    return {**pages, **{name: as_it_is(name) for name in AS_THEY_ARE}}


def _due_page(
    records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any], rows: Sequence[dict[str, Any]], paper: Paper
) -> tuple[bytes, str]:
    """(the page of what is due, its first line); what is due on each cask is put into its row."""
    from caskbook.cli.commands.due import due_header, due_list
    from caskbook.cli.commands.due_wanted import Wanted
    from caskbook.pages.site import page
    from caskbook.render.due import word_of
    from caskbook.words.verdicts import chosen_verdicts

    wanted = Wanted("text", (), filters, chosen_verdicts(), None, (), by_cask=False)
    due = due_list(records, as_of, at, wanted)
    words: dict[str, list[str]] = {}
    told: list[dict[str, str]] = []
    for one in due.shown:
        words.setdefault(one.cask, []).append(word_of(one, show_verdict=False))
        if len(told) < _MOST_DUE:
            why = "; ".join([*one.reasons, *([str(one.decided)] if one.decided else [])])
            since = str(one.since) if one.since and one.verdict == "due" else ""
            told.append(
                {"cask": one.cask, "type": one.type or "?", "berth": one.berth or "", "what": word_of(one, show_verdict=False), "since": since, "why": why}
            )
    for row in rows:
        row["due"] = ", ".join(words.get(row["cask"], ()))
    head = due_header(due, wanted)
    left = sum(map(len, words.values())) - len(told)
    return page("due.html", "due.html", title=f"due · {paper['house']}", head=head, rows=told, left=left, **paper), head


def _stock_page(records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any], paper: Paper) -> bytes:
    """The page of the stock, with all columns of each of its tables."""
    from caskbook.cli.commands.report_stock import stock_report
    from caskbook.pages.site import page
    from caskbook.render.stock import stock_cells, stock_head, stock_legend
    from caskbook.stats.stock import FIRST_SCREEN

    report = stock_report(records, as_of, at, FIRST_SCREEN, filters)
    tables = []
    for table in report.stock.tables if report.stock.casks else ():
        columns, cells = stock_cells(table, report)
        tables.append({"title": f"{number_of(table.whole.casks, 'cask')} by {table.by} and fills since char", "columns": columns, "rows": cells})
    legend = stock_legend(report) if tables else []
    return page("stock.html", "stock.html", title=f"stock · {paper['house']}", head=stock_head(report), tables=tables, legend=legend, **paper)
