"""A Parquet file made of one that is there: the rows of some casks in the place of those they had, and columns that are reckoned to the day anew."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from caskbook.core.extra import library
from caskbook.export.columns import Table
from caskbook.export.rows import Row
from caskbook.export.writers import BATCH, arrow_schema, arrow_table

Daily = Mapping[str, Sequence[Any]]
"""Column → its values for all rows, in their order."""


def splice(path: Path, base: Path, of: Table, others: Mapping[str, Sequence[Row]], daily: Daily) -> int:
    """Write a table as `write_parquet` would from all of its rows, which are by cask; how many it has. `others`: cask → its rows now, of casks that have others
    than in `base` or none there."""
    pa, pq = library("pyarrow", "lake", "Parquet"), library("pyarrow.parquet", "lake", "Parquet")
    schema = arrow_schema(pa, of)
    with pq.ParquetFile(base) as file:
        before = pa.Table.from_arrays(file.read().columns, schema=schema)
    now = _exchanged(pa, before, of, others) if others else before
    for name, values in daily.items():
        at = schema.get_field_index(name)
        now = now.set_column(at, schema.field(at), pa.array(values, schema.field(at).type))
    now = now.combine_chunks()
    with pq.ParquetWriter(path, schema, compression="zstd", version="2.6") as writer:
        for at in range(0, now.num_rows, BATCH):
            writer.write_table(now.slice(at, BATCH), row_group_size=BATCH)
    return int(now.num_rows)


def _exchanged(pa: Any, before: Any, of: Table, others: Mapping[str, Sequence[Row]]) -> Any:
    """The table with the rows of these casks exchanged: slices of what was there, and between them what is there now."""
    compute = library("pyarrow.compute", "lake", "Parquet")
    runs = compute.run_end_encode(before.column("cask").combine_chunks())
    casks, ends = runs.values.to_pylist(), runs.run_ends.to_pylist()
    fresh = arrow_table(pa, of, [row for cask in sorted(others) for row in others[cask]])
    pieces, begun, taken = [], 0, 0
    for cask in sorted(others):
        at = bisect_left(casks, cask)
        first = ends[at - 1] if at else 0
        pieces += [before.slice(begun, first - begun), fresh.slice(taken, len(others[cask]))]
        begun = ends[at] if at < len(casks) and casks[at] == cask else first
        taken += len(others[cask])
    return pa.concat_tables([*pieces, before.slice(begun)])
