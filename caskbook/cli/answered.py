"""The index of an open book, brought up to the book's day, for commands that need the files beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskbook.cli.common import Book, index_of
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index


def answered(book: Book, at: str | None = None) -> tuple[Index, Answer]:
    """The index, open, and its answer about all casks. CaskbookError where the files change all the while."""
    from caskbook.cli.progress import progress

    index = index_of(book, at, memory=True)
    index.start()  # git is at work while the rest is imported
    with progress("casks") as advance:
        answer = index.answer(book.day.isoformat(), advance)
    if answer is None:
        raise CaskbookError("the ledger changes faster than it can be read; try again")
    return index, answer
