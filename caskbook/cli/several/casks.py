"""Casks named on a command line, looked up in each of several ledgers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from caskbook.cli.common import Book, open_book, say
from caskbook.cli.numbers import in_the_book, known_by_mark
from caskbook.cli.several.sites import Site, in_ledgers, speaking_of
from caskbook.core.finding import CaskbookError, NotInBook
from caskbook.entry.casks import in_full, not_lasting, read_casks
from caskbook.ledger.files import file_of


def casks_in(sites: Sequence[Site], words: Sequence[str], as_of: str | None) -> dict[str, list[str]]:
    """Ledger → the casks named that it has, each under the number by which it goes on. CaskbookError for one that no ledger has, and for a list that
    would name other casks in each ledger."""
    books = {site: _opened(site, as_of) for site in sites}
    if in_full(words):
        return _by_number(books, read_casks(words))
    odd = not_lasting(words) or next((word for word in words if word.casefold() == "except" or ".." in (word, word[:2], word[-2:])), None)
    if odd:
        raise CaskbookError(f"{odd} {in_ledgers(len(sites))}: name the casks by their whole numbers, or one by one")
    found: dict[str, list[str]] = {site.name: [] for site in sites}
    for word in words:
        for name, casks in _by_word(books, word).items():
            found[name] += [cask for cask in casks if cask not in found[name]]
    return found


def _opened(site: Site, as_of: str | None) -> Book:
    with speaking_of(site):
        return open_book(site.records, as_of, joins=True)


def _by_number(books: Mapping[Site, Book], casks: Sequence[str]) -> dict[str, list[str]]:
    """Casks by their whole numbers; one that no ledger has may be an old mark in any of them."""
    found = {site: [cask for cask in casks if _has(book, cask)] for site, book in books.items()}
    absent = [cask for cask in casks if not any(cask in there for there in found.values())]
    for site, book in books.items() if absent else ():
        with speaking_of(site):
            borne = known_by_mark(book, absent, None, absent)
        pairs = [(cask, bearer) for cask, bearer in zip(absent, borne, strict=True) if cask != bearer]
        found[site] += [bearer for _, bearer in pairs if bearer not in found[site]]
        absent = [cask for cask in absent if cask not in {mark for mark, _ in pairs}]
    if absent:
        raise CaskbookError(f"{absent[0]} is in none of the {len(books)} ledgers: {', '.join(site.name for site in books)}")
    return {site.name: _going_on(books[site], there) for site, there in found.items()}


def _has(book: Book, cask: str) -> bool:
    return book.ledger.file_store.read(file_of(cask)) is not None


def _going_on(book: Book, casks: Sequence[str]) -> list[str]:
    joins = book.ledger.joins() if casks else {}
    return list(dict.fromkeys(joins.get(cask, cask) for cask in casks))


def _by_word(books: Mapping[Site, Book], word: str) -> dict[str, list[str]]:
    """The casks that one word means in each ledger; a ledger in which it means none says why, unless it means none anywhere."""
    found, wrong = {}, []
    for site, book in books.items():
        try:
            with speaking_of(site):
                found[site.name] = in_the_book(book, [word])
        except NotInBook as error:
            wrong.append(str(error))
    if not found:
        raise NotInBook("; ".join(wrong))
    for line in wrong:
        say(line)
    return found
