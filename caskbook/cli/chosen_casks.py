"""Casks chosen by number or by where they are, each with a few facts, out of the index."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from caskbook.cli.common import Book, say
from caskbook.cli.index_answer import answered
from caskbook.entry.berths import walking_order as walking_order


def rows_of(book: Book, sql: str, *, told: bool = True) -> list[tuple[Any, ...]]:
    """The rows of one SELECT over the tables of `query`, as of the book's day. `told`: which casks are left out, or told in part, is said; it has been where False."""
    from caskbook.cli.remarks import left_out

    index, answer = answered(book)
    with index, index.select(sql) as found:
        if told:
            left_out(answer)
        return [tuple(row) for row in found.rows]


def say_none_fit(book: Book, filters: Mapping[str, Sequence[str]]) -> None:
    """Say that no cask of the book fits these filters (option without its dashes → words), with what was likely meant."""
    from caskbook.cli.nearest_filter import near_in
    from caskbook.cli.remarks import say_nothing_fits

    index, _ = answered(book)
    with index:
        near = near_in(index, filters)
    say_nothing_fits(filters, near)


def going_on(book: Book, casks: Sequence[str]) -> list[str]:
    """These casks once each, in the place of a number that was joined to another the one that goes on, which is said."""
    if not casks:
        return []
    index, answer = answered(book)
    with index:
        joined = answer.joined
    for cask in dict.fromkeys(casks):
        if cask in joined:
            say(f"{cask} is the same cask as {joined[cask]}: the card is for that one")
    return list(dict.fromkeys(joined.get(cask, cask) for cask in casks))


def among(column: str, words: Sequence[str]) -> str:
    """That a column is one of these words, as SQL."""
    from caskbook.cli.choosing import quoted

    return f"{column} IN ({', '.join(map(quoted, words))})"
