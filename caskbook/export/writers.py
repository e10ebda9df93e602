"""One file of a table as Parquet, CSV or JSON lines, written as the rows come: no more of them than a batch is held at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

from caskbook.core.extra import library
from caskbook.export.columns import DECIMALS, Field, Table
from caskbook.export.rows import Row
from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv

BATCH = 20_000
Write = Callable[[Path, Table, Iterable[Row]], int]
"""Writes a file of a table; how many rows it has."""


def batches(rows: Iterable[Row]) -> Iterator[list[Row]]:
    """The rows in lists of BATCH."""
    left = iter(rows)
    while found := list(islice(left, BATCH)):
        yield found


def write_csv(path: Path, of: Table, rows: Iterable[Row]) -> int:
    """As `query --format csv` has it: RFC 4180, unknown empty, yes and no as words, nothing a spreadsheet takes for a formula."""
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write(table_csv(of.names, ()))
        for batch in batches(rows):
            file.write(table_csv(of.names, batch).partition("\r\n")[2])
            count += len(batch)
    return count


def write_jsonl(path: Path, of: Table, rows: Iterable[Row]) -> int:
    """An object a line, days as ISO text, figures as numbers, unknown null."""
    decimals = [n for n, field in enumerate(of.fields) if field.type == "decimal"]
    count = 0
    with path.open("w", encoding="utf-8", newline="\n") as file:
        for batch in batches(rows):
            made = map(_numbered(decimals), batch) if decimals else batch
            file.write(data_json((dict(zip(of.names, row, strict=True)) for row in made), "jsonl"))
            count += len(batch)
    return count


def _numbered(places: Sequence[int]) -> Callable[[Row], Sequence[Any]]:
    def row(values: Row) -> Sequence[Any]:
        made = list(values)
        for place in places:
            made[place] = None if made[place] is None else float(made[place])
        return made

    return row


def write_parquet(path: Path, of: Table, rows: Iterable[Row]) -> int:
    """Typed columns, a batch a row group: DATE, DECIMAL, DOUBLE, BIGINT, BOOLEAN and text, repeated text by dictionary; ZSTD."""
    pa = library("pyarrow", "lake", "Parquet")
    count = 0
    with parquet_writer(path, of) as writer:
        for batch in batches(rows):
            writer.write_table(arrow_table(pa, of, batch), row_group_size=BATCH)
            count += len(batch)
    return count


def parquet_writer(path: Path, of: Table) -> Any:
    """Writes a table batch by batch; a context manager. What Arrow let go of goes back to the system, so that a large book takes no more of it at once than a small one."""
    pa, pq = library("pyarrow", "lake", "Parquet"), library("pyarrow.parquet", "lake", "Parquet")
    pa.set_memory_pool(pa.system_memory_pool())
    return pq.ParquetWriter(path, arrow_schema(pa, of), compression="zstd", version="2.6")


@cache
def arrow_schema(pa: Any, of: Table) -> Any:
    """The columns of a table as Arrow has them, with what each means."""
    return pa.schema([pa.field(field.name, _arrow_type(pa, field), nullable=field.nullable, metadata=_said(field)) for field in of.fields])


def arrow_table(pa: Any, of: Table, rows: Sequence[Row]) -> Any:
    """Rows as Arrow has them."""
    columns = zip(*rows, strict=True) if rows else ((),) * len(of.fields)
    return pa.Table.from_arrays([_array(pa, field, values) for field, values in zip(of.fields, columns, strict=True)], schema=arrow_schema(pa, of))


def _said(field: Field) -> dict[str, str]:
    return {"meaning": field.meaning, **({"unit": field.unit} if field.unit else {})}


def _arrow_type(pa: Any, field: Field) -> Any:
    types = {
        "text": pa.string(), "integer": pa.int64(), "double": pa.float64(), "decimal": pa.decimal128(14, DECIMALS), "boolean": pa.bool_(), "date": pa.date32(),
    }  # fmt: skip
    return types[field.type]


def _array(pa: Any, field: Field, values: Sequence[Any]) -> Any:
    """One column of a batch. Days come as text, which Arrow reads many times as quickly as Python makes days of it."""
    if field.type == "date":
        return pa.array(values, pa.string()).cast(pa.date32())
    if field.type == "decimal":
        return pa.array([None if value is None else Decimal(value) for value in values], _arrow_type(pa, field))
    return pa.array(values, _arrow_type(pa, field))


WRITERS: Mapping[str, Write] = {"parquet": write_parquet, "csv": write_csv, "jsonl": write_jsonl}
FORMATS = (*WRITERS, "sqlite")
