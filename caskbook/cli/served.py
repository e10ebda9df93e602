"""The spans of service of one ledger, out of the index."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from caskbook.cli.choosing import conditions, quoted
from caskbook.cli.index_answer import read_answer
from caskbook.stats.service import FACTS, Row

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index


class Gathered(NamedTuple):
    """The spans of service of the casks of a day, of how many, and how many more are told in part; `ledgers`: of several ledgers the same two of each."""

    root: Path
    day: date
    rows: list[Row]
    casks: int
    in_part: int
    ledgers: Mapping[str, tuple[int, int]] = {}


def gathered(records: str | None, as_of: str | None, at: str | None, filters: Mapping[str, Any], what: str | None, by: str | None) -> Gathered:
    """The spans out of the index, which keeps them, of what is named, those of casks alike by `by` together."""
    facts = [by] if by in FACTS else []
    where = conditions(filters)

    def read(index: Index, answer: Answer) -> Gathered:
        rows: list[Row] = list(index.services(facts, where, what))
        parts = f"cask IN ({', '.join(map(quoted, answer.in_part))})"
        listed, in_part = (sum(count for _, count in index.counted(("type",), narrowed)) for narrowed in (where, [*where, parts]))
        return Gathered(index.root, answer.day, rows, listed - in_part, in_part)

    return read_answer(records, as_of, at, read, lambda book: Gathered(book.root, book.day, [], 0, 0), beside=True)
