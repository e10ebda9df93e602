"""Casks chosen by number or by where they are, each with a few facts, out of the index."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from caskbook.cli.common import Book, index_of
from caskbook.core.finding import CaskbookError
from caskbook.entry.berths import walking_order as walking_order


def rows_of(book: Book, sql: str) -> list[tuple[Any, ...]]:
    """The rows of one SELECT over the tables of `query`, as of the book's day."""
    from caskbook.cli.progress import progress
    from caskbook.cli.remarks import left_out

    index = index_of(book, memory=True)
    index.start()
    with progress("casks") as advance:
        answer = index.answer(book.day.isoformat(), advance)
    if answer is None:
        raise CaskbookError("the ledger changes faster than it can be read; try again")
    with index, index.select(sql) as found:
        left_out(answer)
        return [tuple(row) for row in found.rows]


def among(column: str, words: Sequence[str]) -> str:
    """That a column is one of these words, as SQL."""
    from caskbook.cli.choosing import quoted

    return f"{column} IN ({', '.join(map(quoted, words))})"
