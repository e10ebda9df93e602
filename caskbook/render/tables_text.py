"""The tables that can be asked for, one below the other: each column with its kind and unit, and what it means in as many lines as that takes."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby

from rich.cells import cell_len

from caskbook.render.console import pad, safe

_GAP = "  "
_LEAST_ROOM = 30
"""A meaning with less room than this beside its column stands below it."""


def tables_text(rows: Sequence[Sequence[str]], width: int | None) -> str:
    """Rows of table, column, kind, unit and meaning, in order of the tables. `width` None: a line a column, however long, as a pipe wants it."""
    blocks = [
        "\n".join((safe(table), *_columns([[safe(cell) for cell in row[1:]] for row in found], width))) for table, found in groupby(rows, lambda row: row[0])
    ]
    return "\n\n".join(blocks)


def _columns(rows: Sequence[Sequence[str]], width: int | None) -> Iterator[str]:
    """A line for each column of a table, its meaning behind it as far as the width goes, or below it where that leaves little room."""
    kinds = [", ".join(part for part in row[1:3] if part) for row in rows]
    names, sorts = (max(map(cell_len, column)) for column in ([row[0] for row in rows], kinds))
    before = len(_GAP) * (3 if sorts else 2) + names + sorts
    for (name, *_, meaning), kind in zip(rows, kinds, strict=True):
        first = f"{_GAP}{pad(name, names)}{_GAP}" + (f"{pad(kind, sorts)}{_GAP}" if sorts else "")
        if width is None:
            yield f"{first}{meaning}".rstrip()
        elif width - before >= _LEAST_ROOM:
            lines = textwrap.wrap(meaning, width - before, break_on_hyphens=False) or [""]
            yield f"{first}{lines[0]}".rstrip()
            yield from (" " * before + line for line in lines[1:])
        else:
            yield f"{_GAP}{name}{_GAP}{kind}".rstrip()
            yield from (f"{_GAP * 3}{line}" for line in textwrap.wrap(meaning, width - len(_GAP) * 3, break_on_hyphens=False))
