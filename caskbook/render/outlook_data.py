"""An outlook as JSON, JSON lines and CSV: a row for each count of each month, year and the whole."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.stats.outlook_counts import SERIES
from caskbook.stats.outlook_report import HOURS, OutlookReport, meant

_COLUMNS = ("kind", "name", "part", "count", "middle", "low", "high", "band", "seed", "remark")


def outlook_json(report: OutlookReport, form: str) -> str:
    """json: an object with as_of, filter, band, seed, months, casks, full, empty (or seasoning), told_in_part, open_leaks, retirement_proposed, curves, limits and `rows`, with
    --explain what each figure means; jsonl: the rows alone."""
    found, book = report.outlook, report.outlook.book
    rows = [dict(zip(_COLUMNS, row, strict=True)) for row in _rows(report)]
    whole: dict[str, Any] = {
        "as_of": report.day.isoformat(), "filter": {name: list(words) for name, words in report.filters.items()}, "band": report.band,
        "seed": found.terms.seed, "months": found.terms.months, "casks": book.casks, "full": sum(one.many for one in book.full),
        "empty": sum(one.many for one in book.empty), "told_in_part": report.silent, "open_leaks": found.open_leaks,
        "retirement_proposed": {"now": report.proposed[0], "once_emptied": report.proposed[1]},
        "curves": [
            {"of": name, "ends": ends, "for": [{"type": kind.type, "spirit": kind.spirit} for kind in kinds]} for name, (ends, kinds) in found.used.items()
        ],
        "limits": {kind: None if limit is None else limit._asdict() for kind, limit in report.limits.items()},
        "tips_of_unknown_fills": round(found.unknown, 6), "tips_not_charred": round(found.not_charred, 6), "rows": rows,
    }  # fmt: skip
    if report.explain:
        whole["explain"] = [one._asdict() for one in meant(report)]
    return data_json(whole, form, rows)


def outlook_csv(report: OutlookReport) -> str:
    """RFC 4180: the rows; of a count without a range the remark says why."""
    return table_csv(_COLUMNS, _rows(report))


def _rows(report: OutlookReport) -> Iterator[list[Any]]:
    seed, names = report.outlook.terms.seed, (*SERIES, *([HOURS] if report.hours.known else []))
    for line in report.lines():
        for name in names:
            band = line.bands[name]
            cells = [None] * 3 if band is None else [band.middle, band.low, band.high]
            yield [line.kind, line.name, round(line.part, 6), name, *cells, report.band, seed, report.without.get(name)]
