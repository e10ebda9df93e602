"""`list`: casks by fact."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from caskbook.cli.choosing import chosen, conditions, own_condition
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import index_and_answer
from caskbook.cli.judged_at import Revision, judged_at, put_out
from caskbook.cli.nearest_filter import near_in
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks, say_nothing_fits
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

USUAL = ("cask", "type", "state", "berth", "spirit", "fills", "fills_life", "fills_since_char", "years_since_char", "years_in_wood", "age_years")
STATES = (
    "gone", "missing", "away", "filled", "seasoning", "shook", "open", "emptied", "rejected", "retired", "held", "tainted", "sulphured",
    "unexamined", "repair", "failed", "untested", "ready",
)  # fmt: skip
FILTERS = ("state", "type", "store", "spirit", "contents", "whereabouts", "fitness", "parcel", "supplier", "owner", "wood")


def run(
    records: str | None, as_of: str | None, at: str | None, form: str, filters: Mapping[str, Any], where: str | None,
    columns: str | None, sort: str | None,
) -> int:  # fmt: skip
    """Print the casks. `filters`: column → words, any of which fits (`berth`: how it begins; `mark`: an old one, capitals aside); JSON and JSON lines have every fact unless
    `columns` names some."""
    from caskbook.model.query_columns import CASK, read_value

    check_form(form)
    filters = chosen(filters, records, as_of, at)
    for word in filters.get("state") or []:
        one_of("--state", word, STATES)
    known = {column.name: column for column in CASK}
    named = names_of(columns, known) if columns else list(known if form in ("json", "jsonl") else USUAL)
    sql = _sql(named, filters, where, sort, known)
    index, answer = index_and_answer(records, as_of, at)
    with index, index.select(sql) as found:
        left_out(answer)
        rows = [[read_value(known.get(name), value) for name, value in zip(named, row, strict=True)] for row in found.rows]
        near = near_in(index, filters) if not rows else ()
    say_left_out(index.root, at, answer.overlooked, answer.linked, answer.strays)
    if not rows and not say_no_casks(index.root, at) and near:
        say_nothing_fits(filters, near)
    _print(form, named, rows, judged_at(records, at), named=bool(columns))
    return 0


def names_of(columns: str, known: Mapping[str, object]) -> list[str]:
    """The columns that were named, all where that is `all`; CaskbookError for one that is none."""
    names = [name.strip() for name in columns.split(",") if name.strip()]
    if names == ["all"]:
        return list(known)
    for name in names:
        _check(name, known)
    return names


def _check(name: str, known: Mapping[str, object]) -> None:
    if name not in known:
        from caskbook.model.query_columns import no_such

        raise CaskbookError(no_such("column", name))


def _sql(names: Sequence[str], filters: Mapping[str, Any], where: str | None, sort: str | None, known: Mapping[str, object]) -> str:
    parts = conditions(filters)
    parts += own_condition(where)
    shown = ", ".join(f'"{name}"' for name in names)
    asked = f"SELECT {shown} FROM cask" + (f" WHERE {' AND '.join(parts)}" if parts else "")
    return f"{asked} ORDER BY {order_of(sort, known)}"


def order_of(sort: str | None, known: Mapping[str, object]) -> str:
    """`years_since_char` or `-years_since_char,cask`: a minus begins with the largest; unknown ones come last."""
    keys = []
    for key in (sort or "").split(","):
        name = key.strip().lstrip("-")
        if name:
            _check(name, known)
            keys.append(f'"{name}" IS NULL, "{name}"{" DESC" if key.strip().startswith("-") else ""}')
    return ", ".join([*keys, "cask"])


def filled_columns(names: Sequence[str], rows: list[list[Any]]) -> tuple[Sequence[str], list[list[Any]]]:
    """Without the columns in which no cask has anything: room is short, and nobody asked for them by name."""
    kept = [n for n in range(len(names)) if not rows or any(row[n] is not None for row in rows)]
    return [names[n] for n in kept], [[row[n] for n in kept] for row in rows]


def _print(form: str, names: Sequence[str], rows: list[list[Any]], judged: Revision | None, *, named: bool) -> None:
    """The rows go out as JSON, JSON lines, CSV or a table; a table on a terminal leaves out empty columns that nobody named."""
    from caskbook.render import table

    def text(width: int | None) -> str:
        shown = filled_columns(names, rows) if width is not None and not named else (names, rows)
        count = number_of(len(rows), "cask")
        return (table.table_text(*shown, width) + f"\n\n{count}") if rows else count

    data = {"json": table.table_json, "jsonl": table.table_jsonl, "csv": table.table_csv}
    put_out(form, text, lambda form: data[form](names, rows), judged)
