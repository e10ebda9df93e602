"""A Parquet file made of one that is there: the rows of some casks in the place of those they had, and columns that are reckoned to the day anew.

It is read and written a row group at a time: no more of the table is held at once, however large it is.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from caskbook.core.extra import library
from caskbook.export.columns import Table
from caskbook.export.rows import Row
from caskbook.export.writers import BATCH, arrow_schema, arrow_table, parquet_writer

Daily = Mapping[str, Sequence[Any]]
"""Column → its values for all rows, in their order."""


def splice(path: Path, base: Path, of: Table, others: Mapping[str, Sequence[Row]], daily: Daily) -> int:
    """Write a table as `write_parquet` would from all of its rows, which are by cask; how many it has. `others`: cask → its rows now, of casks that have others
    than in `base` or none there."""
    pa, pq = library("pyarrow", "lake", "Parquet"), library("pyarrow.parquet", "lake", "Parquet")
    schema, count = arrow_schema(pa, of), 0
    with pq.ParquetFile(base) as file, parquet_writer(path, of) as writer:
        groups = (pa.Table.from_arrays(file.read_row_group(n, use_threads=False).columns, schema=schema) for n in range(file.num_row_groups))
        for now in _in_batches(pa, _exchanged(pa, groups, of, others) if others else groups):
            rows = now.num_rows
            for name, values in daily.items():
                at = schema.get_field_index(name)
                now = now.set_column(at, schema.field(at), pa.array(values[count : count + rows], schema.field(at).type))
            writer.write_table(now, row_group_size=BATCH)
            count += rows
    return count


def _in_batches(pa: Any, pieces: Iterable[Any]) -> Iterator[Any]:
    """The rows of the pieces in tables of BATCH rows each, the last one of what is left: as `write_parquet` parts them."""
    held: list[Any] = []
    for piece in pieces:
        held.append(piece)
        while sum(one.num_rows for one in held) >= BATCH:
            whole = pa.concat_tables(held)
            yield whole.slice(0, BATCH).combine_chunks()
            held = [whole.slice(BATCH)]
    rest = pa.concat_tables(held) if held else None
    if rest is not None and rest.num_rows:
        yield rest.combine_chunks()


def _exchanged(pa: Any, groups: Iterable[Any], of: Table, others: Mapping[str, Sequence[Row]]) -> Iterator[Any]:
    """The rows with those of these casks exchanged: slices of what was there, group by group, and between them what is there now."""
    compute = library("pyarrow.compute", "lake", "Parquet")
    left, done = sorted(others), ""
    for before in groups:
        runs = compute.run_end_encode(before.column("cask").combine_chunks())
        casks, ends = runs.values.to_pylist(), runs.run_ends.to_pylist()
        begun, taken = ends[0] if casks[0] == done else 0, 0  # The rows of a cask may go on from one group to the next.
        mine, left = left[: (many := bisect_right(left, casks[-1]))], left[many:]
        fresh = arrow_table(pa, of, [row for cask in mine for row in others[cask]])
        for done in mine:
            at = bisect_left(casks, done)
            first = ends[at - 1] if at else 0
            yield from (before.slice(begun, first - begun), fresh.slice(taken, len(others[done])))
            begun = ends[at] if casks[at] == done else first
            taken += len(others[done])
        yield before.slice(begun)
    yield arrow_table(pa, of, [row for cask in left for row in others[cask]])
