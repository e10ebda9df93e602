"""What knows the short names of casks in an open book: made where one is typed, and not before."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, index_of, open_book, say
from caskbook.core.finding import CaskbookError, NotInBook
from caskbook.ledger.paths import is_utf8

if TYPE_CHECKING:
    from caskbook.ledger.numbers import Numbers

_MOST_BYTES = 1_000_000
STDIN = "-"


_lines_there = False


@contextmanager
def lines_on_stdin() -> Iterator[None]:
    """Inside, standard input holds lines that are read one by one: no list of numbers is read from it."""
    global _lines_there
    before, _lines_there = _lines_there, True
    try:
        yield
    finally:
        _lines_there = before


def numbers_of(book: Book, at: str | None = None, *, with_gone: bool = False) -> Callable[[], Numbers]:
    """Gives the short names of the book, always the same object. `with_gone`: a parcel is all its casks."""

    @cache
    def made() -> Numbers:
        from caskbook.ledger.numbers import Numbers

        def marked(text: str) -> Sequence[str] | None:
            return None if at else index_of(book).files_marked(text)

        return Numbers(book.ledger, book.day, marked, lambda parcel: _of_parcel(book, at, parcel), text_of, with_gone=with_gone)

    return made


def named(book: Book, words: Sequence[str], at: str | None = None, *, with_gone: bool = False, by_mark: bool = False) -> list[str]:
    """The casks of a command line, by their full numbers; what their short names stand for is said. `by_mark`: a number that the book
    has not may be an old mark of one that it has. CaskbookError as `read_casks`."""
    from caskbook.entry.casks import read_casks

    numbers = numbers_of(book, at, with_gone=with_gone)
    found = read_casks(words, numbers)
    found = _by_marks(book, found, numbers) if by_mark else found
    tell_names(numbers)
    return found


def known_by_mark(book: Book, casks: Sequence[str], at: str | None = None, absent: Sequence[str] | None = None) -> list[str]:
    """Casks by their full numbers; of those that the book has not, or of the `absent` given, the ones whose heads bear such a number
    from before, which is said."""
    numbers = numbers_of(book, at)
    found = _by_marks(book, casks, numbers, absent)
    tell_names(numbers)
    return found


def _by_marks(book: Book, casks: Sequence[str], numbers: Callable[[], Numbers], absent: Sequence[str] | None = None) -> list[str]:
    from caskbook.entry.naming import bearers_of
    from caskbook.ledger.files import file_of

    if absent is None:
        absent = [cask for cask in casks if book.ledger.file_store.read(file_of(cask)) is None]
    return bearers_of(casks, absent, numbers, wholly=True) if absent else list(casks)


def named_anywhere(records: str | None, words: Sequence[str]) -> list[str]:
    """The same where a ledger is wanted for short names alone."""
    from caskbook.entry.casks import in_full, read_casks

    return read_casks(words) if in_full(words) else named(open_book(records), words)


def in_the_book(book: Book, words: Sequence[str], at: str | None = None) -> list[str]:
    """The same, each under the number by which it goes on; CaskbookError for one that the book has not."""
    from caskbook.entry.casks import read_casks
    from caskbook.ledger.files import file_of

    numbers = numbers_of(book, at, with_gone=True)
    found, joins = _by_marks(book, read_casks(words, numbers), numbers), book.ledger.joins()
    tell_names(numbers)
    for cask in found:
        if book.ledger.file_store.read(file_of(cask)) is None:
            raise book.ledger.lacks(cask)
    return list(dict.fromkeys(joins.get(cask, cask) for cask in found))


def named_one(book: Book, word: str, at: str | None = None) -> str:
    """The one cask of a command line, which is in the book, by its number or an old mark."""
    from caskbook.entry.casks import read_cask

    numbers = numbers_of(book, at)
    (found,) = _by_marks(book, [read_cask(word, numbers)], numbers)
    tell_names(numbers)
    return found


def tell_names(numbers: Callable[[], Numbers]) -> None:
    """Say what short names were found to mean, once."""
    if getattr(numbers, "cache_info", None) is not None and not numbers.cache_info().currsize:  # type: ignore[attr-defined]
        return
    remarks = numbers().remarks
    for line in dict.fromkeys(remarks):
        say(line)
    remarks.clear()


def _of_parcel(book: Book, at: str | None, parcel: str) -> list[tuple[str, bool]]:
    """(cask, whether it is gone) of a parcel, as `list --parcel` has it. CaskbookError that names the nearest where there is none."""
    from caskbook.cli.index_answer import answer_of

    index = index_of(book, at)
    index.memory = True
    answer_of(index, None)
    with index:
        found, others = index.of_parcel(parcel)
    if found:
        return found
    import difflib

    near = difflib.get_close_matches(parcel, others, 3, 0.6)
    shown = "".join(sign if sign.isprintable() else "?" for sign in parcel[:40])
    raise NotInBook(f"no cask of a parcel {shown} in the book" + (f": did you mean {' or '.join(f'@{one}' for one in near)}?" if near else ""))


def text_of(path: str) -> str:
    """What a file of numbers holds, or standard input. CaskbookError for what cannot be read, or is no such list."""
    if path == STDIN and _lines_there:
        raise CaskbookError("- is standard input, and the lines themselves come from there: name the casks, or file:NUMBERS.txt")
    if path == STDIN:
        data = _standard_input()
    else:
        try:
            with Path(path).open("rb") as file:
                data = file.read(_MOST_BYTES + 1)
        except OSError as error:
            raise CaskbookError(f"{path}: {(error.strerror or str(error)).lower()}") from None
    if len(data) > _MOST_BYTES:
        raise CaskbookError(f"{'standard input' if path == STDIN else path}: more than a million bytes: no list of cask numbers")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise CaskbookError(f"{'standard input' if path == STDIN else path}: not UTF-8") from None


def check_utf8(line: str) -> None:
    """CaskbookError where bytes of a line of standard input are no UTF-8: nobody knows which letters were meant."""
    if not is_utf8(line):
        raise CaskbookError("not UTF-8: this line is not read")


def _standard_input() -> bytes:
    stream = getattr(sys.stdin, "buffer", None)
    return stream.read(_MOST_BYTES + 1) if stream is not None else sys.stdin.read(_MOST_BYTES + 1).encode(errors="surrogateescape")
