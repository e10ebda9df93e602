"""The stock of casks as text, JSON or CSV."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from rich.cells import cell_len

from caskbook.core.typed_word import typed_word
from caskbook.render.console import USUAL_WIDTH, flow, safe
from caskbook.render.loss import table_lines
from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.stats.stock import UNKNOWN, Differing, Limit, Row, Table
from caskbook.stats.stock_report import StockReport, Terms, explained, known_of, limit_words
from caskbook.words.plural import number_of

_MOST_LINES = 9
_MOST_IN_LINE = 12
_CLASS, _AGE = "class-fills", "age"
_BEHIND = ("never", "?", "total", "limit", "at limit")


def stock_text(report: StockReport, *, width: int | None) -> str:
    """A header with what is counted, the first table, each other one in a line, the limits, and what figures mean where that is
    asked for. Without a width, as in a pipe, lines have 80 columns too."""
    wide, stock = width or USUAL_WIDTH, report.stock
    first, *others = stock.tables
    lines = [line for parts in _header(report) for line in flow(parts, wide, most_lines=_MOST_LINES)]
    if stock.casks:
        lines += ["", *_table(first, report, wide), *flow(stock_legend(report), wide, between="; ", most_lines=_MOST_LINES)]
        lines += [""] * bool(others) + [line for table in others for line in _line(table, report, wide)]
    if report.explain:
        lines += ["", *(line for told in _explained(report) for line in _hanging(told, wide))]
    return "\n".join(lines)


def stock_head(report: StockReport) -> list[str]:
    """What is told of which casks, a line each."""
    return [" · ".join(parts) for parts in _header(report)]


def stock_cells(table: Table, report: StockReport) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of a table with all its columns."""
    columns, rows = _cells(table, report, 1, _BEHIND)
    return [name.lstrip(">") for name in columns], rows


def _header(report: StockReport) -> Iterator[list[str]]:
    """What is told, of which casks; then how many they are, as `list` has them, and how many of these are in stock."""
    stock = report.stock
    yield [f"stock on {report.days or report.day}, by {stock.tables[0].by} and fills since char", *report.only]
    if not stock.listed:
        yield ["no casks" if report.only else "no casks: none is in the book on that day"]
        return
    here, away, missing, gone = (stock.whereabouts[word] for word in ("here", "away", "missing", "gone"))
    counted = f"in {number_of(len(report.of), 'ledger')}" if report.of else f"as `{_list(report)}` counts"
    yield [f"{number_of(stock.listed, 'cask')}{' ' if report.of else ', '}{counted}: {stock.casks} in stock + {gone} gone"]
    yield [f"in stock: {here} here, {away} away, {missing} missing; gone: in no table; joined: counted once"]


def _list(report: StockReport) -> str:
    """The command that has the same casks."""
    options = [(name, word) for name, words in report.filters.items() for word in words] + list(report.times.items())
    return " ".join(["caskbook list", *(f"--{name} {typed_word(word)}" for name, word in options)])


def stock_legend(report: StockReport) -> list[str]:
    """What the columns are; which types have no limit, a table of types tells by itself."""
    limits, at_all = limit_words(report), any(report.stock.limits.values())
    if report.stock.tables[0].by == "type":
        limits = _limits_alone(report) if any(isinstance(one, Differing) for one in report.stock.limits.values()) else _without_none(limits)
    said = f"limit: due.rechar.due_at {limits}" if at_all else "limit: due.rechar has none for these"
    return [
        "never: never charred",
        "?: last char or fills since not known",
        said,
        *_differing(report),
        "see due rechar, --explain" if at_all else "see --explain",
    ]


def _limits_alone(report: StockReport) -> str:
    """The limits of each house, without the types that have none."""
    return report.said(lambda one: _without_none(limit_words(one)) or "none")


def _without_none(limits: str) -> str:
    return limits.partition("none for ")[0].removesuffix("; ")


def _differing(report: StockReport) -> Iterator[str]:
    """The other settings by which casks are counted, where houses have other ones."""
    for n, name in enumerate(Terms._fields):
        told = {ledger: _setting(one.terms[n]) for ledger, one in report.of.items()}
        if len(set(told.values())) > 1:
            yield f"{name}: {', '.join(f'{ledger} {value}' for ledger, value in told.items())}"


def _setting(value: Any) -> str:
    return "/".join(value) if isinstance(value, tuple) else str(value).lower()


def _table(table: Table, report: StockReport, width: int) -> list[str]:
    """The table, with as many columns as there is room for: first the gaps close, then the lower fills are put together, and at last
    the limits are left to the legend."""
    merges = range(1, max(report.stock.top, 2))
    for merged, behind in [*((n, _BEHIND) for n in merges), (merges[-1], tuple(name for name in _BEHIND if name != "limit"))]:
        columns, rows = _cells(table, report, merged, behind)
        need = _width(columns, rows, width)
        if need <= width or need - len(columns) + 1 <= width:
            break
    return table_lines(columns, rows, width, gap=2 if need <= width else 1)


def _cells(table: Table, report: StockReport, merged: int, behind: Sequence[str]) -> tuple[list[str], list[list[str]]]:
    """Headings and rows, the columns from 1 fill to `merged` being one; `behind`: what follows them. Only a type has a limit of its own."""
    heads = list(report.stock.heads)
    if merged > 1:
        heads[1 : merged + 1] = [f"1-{merged}"]
    kept = [name for name in behind if name != "limit" or table.by == "type"]
    rows = []
    for row in (*table.rows, table.whole):
        since = [row.since[0], sum(row.since[1 : merged + 1]), *row.since[merged + 1 :]]
        limit = "" if row is table.whole else _limit_cell(row.limit)
        figures = {"never": str(row.never), "?": str(row.unknown), "total": str(row.casks), "limit": limit, "at limit": str(row.at_limit)}
        rows.append([row.name, *map(str, since), *(figures[name] for name in kept)])
    return [_title(table), *(f">{name}" for name in [*heads, *kept])], rows


def _limit_cell(limit: Limit | Differing | None) -> str:
    return "differs" if isinstance(limit, Differing) else str(limit.due_at) if limit else "none"


def _width(columns: Sequence[str], rows: Sequence[Sequence[str]], room: int) -> int:
    """The cells that the table takes with gaps of two; a name longer than the third of the room has a line of its own."""
    cells = [[name.lstrip(">") for name in columns], *rows]
    wide = [max(cell_len(safe(row[n])) for row in cells) for n in range(len(columns))]
    return min(wide[0], max(room // 3, cell_len(cells[0][0]))) + sum(wide[1:]) + 2 * (len(wide) - 1)


def _title(table: Table) -> str:
    return {"class-fills": "fills of class", "age": "age, years"}.get(table.by, table.by)


def _line(table: Table, report: StockReport, width: int) -> list[str]:
    """A table in a line: how many casks each name has; of very many the largest, and what is not known, the others in one figure."""
    by_size = sorted(table.rows, key=lambda row: (row.name != UNKNOWN, -row.casks))
    rows, left = [row for row in table.rows if row in by_size[:_MOST_IN_LINE]], by_size[_MOST_IN_LINE:]
    names = [_name(table, row) for row in rows]
    between = ": " if any(name[-1:].isdecimal() for name in names) else " "
    told = [f"{name}{between}{row.casks}" for name, row in zip(names, rows, strict=True)]
    if left:
        told.append(f"{len(left)} others {sum(row.casks for row in left)} (--by {table.by})")
    return _hanging([_line_title(table, report), *told], width)


def _line_title(table: Table, report: StockReport) -> str:
    """What the line divides by, and for how many that is known where it may not be."""
    same = len({one.terms.class_of_spirit for one in report.of.values()}) < 2
    fills = f"fills of {'/'.join(report.terms.class_of_spirit) or 'no spirit'}" if same else "fills of the class of each house"
    return f"{fills if table.by == _CLASS else table.by}, {known_of(table)}" if table.by in (_CLASS, _AGE) else table.by


def _name(table: Table, row: Row) -> str:
    """A name that can stand before a number."""
    if not row.name[:1].isdecimal():
        return row.name
    return number_of(int(row.name), "fill") if table.by == _CLASS else f"{row.name} years" if table.by == _AGE else row.name


def _explained(report: StockReport) -> Iterator[list[str]]:
    yield ["filter", ", ".join(report.only) or "none: the whole book"]
    for told in explained(report):
        yield [told.figure, told.counts, told.of, *([f"setting: {told.setting}"] if told.setting else [])]


def _hanging(parts: Sequence[str], width: int) -> list[str]:
    """A title with its parts, further lines set in."""
    first, *more = flow([f"{parts[0]}: {parts[1]}" if len(parts) > 1 else parts[0], *parts[2:]], width - 2, most_lines=_MOST_LINES)
    return [first, *(f"  {line}" for line in more)]


def stock_json(report: StockReport, form: str = "json") -> str:
    """An object, or the rows of its tables one a line, each with `by`: as_of, filter, casks (in stock), listed, whereabouts, limits (type → due_at and after_rechar_due_at, or null), settings and
    tables; of several ledgers `ledgers` too, and limits and settings of each; with --explain what each figure means. A row has since_char (fills → casks), never_charred, unknown, casks and at_limit."""
    stock = report.stock
    ledgers = {"ledgers": {name: {"casks": one.stock.casks, "listed": one.stock.listed} for name, one in report.of.items()}} if report.of else {}
    found: dict[str, Any] = {
        "as_of": report.day.isoformat(), "filter": {name: list(words) for name, words in report.filters.items()},
        "casks": stock.casks, "listed": stock.listed, "whereabouts": dict(stock.whereabouts), **ledgers,
        "limits": {name: _limits_data(one) for name, one in report.of.items()} or _limits_data(report),
        "settings": {name: _terms_data(one) for name, one in report.of.items()} or _terms_data(report),
        "tables": [
            {"by": table.by, "rows": [_data(row, stock.heads) for row in table.rows], "total": _data(table.whole, stock.heads)} for table in stock.tables
        ],
    }  # fmt: skip
    if report.explain:
        found["explain"] = [told._asdict() for told in explained(report)]
    return data_json(found, form, ({"by": table["by"], **row} for table in found["tables"] for row in table["rows"]))


def _limits_data(report: StockReport) -> dict[str, Any]:
    """Type → its limits, null where it has none; of one ledger."""
    kinds = ((kind, limit) for limit, kinds in report.kinds_by_limit.items() for kind in kinds)
    found = {kind: None if limit is None else {"due_at": limit.due_at, "after_rechar_due_at": limit.after_rechar} for kind, limit in kinds}
    return {kind: found[kind] for kind in report.stock.limits}


def _terms_data(report: StockReport) -> dict[str, Any]:
    terms = report.terms
    return {"class_of_spirit": list(terms.class_of_spirit), "count_prior": terms.count_prior, "short_fill_days": terms.short_fill_days}


def _data(row: Row, heads: Sequence[str]) -> dict[str, Any]:
    since = dict(zip(heads, row.since, strict=True))
    return {
        "name": row.name,
        "since_char": since,
        "never_charred": row.never,
        "unknown": row.unknown,
        "casks": row.casks,
        "at_limit": row.at_limit,
        "with_limit": row.limited,
    }


def stock_csv(report: StockReport) -> str:
    """RFC 4180: a row for each row of each table, `by` saying which table; the limit is that of a type, empty where it is not charred."""
    columns = ("by", "name", *report.stock.heads, "never_charred", "unknown", "casks", "limit", "at_limit")
    return table_csv(columns, (_csv_row(table, row) for table in report.stock.tables for row in table.rows))


def _csv_row(table: Table, row: Row) -> list[Any]:
    return [table.by, row.name, *row.since, row.never, row.unknown, row.casks, _limit_data(row.limit), row.at_limit]


def _limit_data(limit: Limit | Differing | None) -> int | str | None:
    return limit.words if isinstance(limit, Differing) else limit.due_at if limit else None
