"""What was done on some days, as JSON or CSV."""

from __future__ import annotations

from typing import Any

from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.stats.days import Row, Table
from caskbook.stats.days_report import DaysReport, explained

_FIGURES = ("entries", "casks", "passed", "failed", "no_result", "litres_in", "litres_out", "no_litres", "late", "broken")


def days_json(report: DaysReport, form: str = "json") -> str:
    """An object: from, to, days, as_of, filter, entries and casks; tables of rows; late; what stands apart; with --explain what each figure
    means. JSON lines have its rows one a line, each with `by`."""
    whole, late, apart = report.tables[0].whole, report.late, report.apart
    found: dict[str, Any] = {
        "from": report.first.isoformat(), "to": report.last.isoformat(), "days": report.days, "as_of": report.until.isoformat(),
        "filter": {name: list(words) for name, words in report.filters.items()}, "entries": whole.entries, "casks": whole.casks,
        "tables": [{"by": table.by, "rows": [_data(table, row) for row in table.rows], "total": _figures(table.whole)} for table in report.tables],
        "late": {
            "from_days": report.late_days, "entries": late.entries, "least_days": late.least if late.entries else None,
            "most_days": late.most if late.entries else None, "not_told": late.not_told,
        },
        "apart": {
            "out_of_force": dict(apart.out_of_force), "putting_right": dict(apart.putting_right), "no_job": apart.no_job, "no_day": apart.no_day,
            "casks_in_part": apart.in_part,
        },
    }  # fmt: skip
    if report.explain:
        found["explain"] = [told._asdict() for told in explained(report)]
    return data_json(found, form, ({"by": table["by"], **row} for table in found["tables"] for row in table["rows"]))


def _figures(row: Row) -> dict[str, Any]:
    return {name: getattr(row, name) for name in _FIGURES}


def _data(table: Table, row: Row) -> dict[str, Any]:
    """A row; of a person the name of the crew beside the initials, and whether such a one is known (null where the house lists nobody)."""
    who = row.person
    person = {} if who is None else {"person": who.said if who.known and who.said and not who.is_shop else None, "known": who.known}
    return {"name": row.name, **person, **_figures(row)}


def days_csv(report: DaysReport) -> str:
    """RFC 4180: a row for each row of each table, `by` saying which table; `person` is the name behind the initials."""
    columns = ("by", "name", "person", "known", *_FIGURES)
    return table_csv(columns, (_csv_row(table, row) for table in report.tables for row in table.rows))


def _csv_row(table: Table, row: Row) -> list[Any]:
    data = _data(table, row)
    return [table.by, row.name, data.get("person"), data.get("known"), *(getattr(row, name) for name in _FIGURES)]
