"""The index and its answer about all casks, for commands that work out of it: asked once, and what it leaves out said beside."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from caskbook.cli.common import Book, index_answer, index_of, open_book
from caskbook.cli.remarks import left_out, say_left_out
from caskbook.core.finding import CaskbookError
from caskbook.model.questions import tells_fills

if TYPE_CHECKING:
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index

Found = TypeVar("Found")
_CHANGES = "the ledger changes faster than it can be read; try again"


def answer_of(index: Index, as_of: str | None) -> Answer:
    """What the index answers about a day. CaskbookError where the files change all the while."""
    from caskbook.cli.progress import progress

    with progress("casks") as advance:
        answer = index.answer(as_of, advance)
    if answer is None:
        raise CaskbookError(_CHANGES)
    return answer


def answered(book: Book, at: str | None = None, *, beside: bool = False) -> tuple[Index, Answer]:
    """The index of an open book, brought up to the book's day, and its answer. CaskbookError where the files change all the while. `beside` as
    `read_answer` takes it."""
    index = index_of(book, at, memory=True)
    index.beside = beside
    index.start()  # git is at work while the rest is imported
    return index, answer_of(index, book.day.isoformat())


def index_and_answer(records: str | None, as_of: str | None, at: str | None, *, sql: str = "") -> tuple[Index, Answer]:
    """The same of a book that nobody opened; `sql`: what it will be asked. CaskbookError where there can be no index."""
    opened = index_answer(records, as_of, at, memory=True, beside=tells_fills(sql))
    if opened is None:
        raise CaskbookError(_CHANGES)
    return opened


def read_answer(
    records: str | None,
    as_of: str | None,
    at: str | None,
    read: Callable[[Index, Answer], Found],
    without_casks: Callable[[Book], Found],
    *,
    beside: bool = False,
    told: bool = False,
) -> Found:
    """What `read` finds in the answer about all casks, and what that leaves out said, unless it was `told` already; an index that turns out to be damaged is
    made anew, and asked again.

    A revision without a cask has no answer: `without_casks` then says what there is to tell. CaskbookError where there are casks, and no answer all the same.
    `beside`: whether what reports alone tell is wanted.
    """
    for _ in range(2):
        opened = index_answer(records, as_of, at, memory=True, beside=beside)
        if opened is None:
            book = open_book(records, as_of, at)
            if book.ledger.names():
                raise CaskbookError(_CHANGES)
            if not told:
                say_left_out(book.root, at)
            return without_casks(book)
        index, answer = opened
        with index.reading():
            found = read(index, answer)
            if not told:
                left_out(answer)
                say_left_out(index.root, at, answer.overlooked, answer.linked, answer.strays)
            return found
    raise CaskbookError("the index was damaged, and is made anew; ask again")
