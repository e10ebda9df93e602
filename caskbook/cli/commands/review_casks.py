"""The words of `review`: a range of commits, and behind it, or alone, casks as they are named everywhere."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.cli.common import Book
from caskbook.cli.numbers import named
from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.entry.casks import looks_like_casks
from caskbook.git import Git
from caskbook.ledger.files import file_of


def range_and_casks(git: Git, book: Book, words: Sequence[str]) -> tuple[str | None, list[str]]:
    """(the range or revision that the first word is, None where it is none; the casks that the others name).

    A first word that git knows as a revision, and the book as a cask, is refused: which of them is meant has to be said.
    """
    if not words:
        return None, []
    first, rest = words[0], words[1:]
    if first != ".." and looks_like_casks(first):
        if not _is_revision(git, first):
            return None, named(book, words, with_gone=True)
        _refuse_cask(book, first)
    return first, named(book, rest, with_gone=True) if rest else []


def _is_revision(git: Git, text: str) -> bool:
    """Whether git knows both ends of this text as commits."""
    dots = "..." if "..." in text else ".."
    return all(git.works("rev-parse", "--verify", "--quiet", f"{end or 'HEAD'}^{{commit}}") for end in (text.split(dots, 1) if dots in text else [text]))


def _refuse_cask(book: Book, word: str) -> None:
    """CaskbookError where a revision bears the name of casks that the book has."""
    try:
        casks = [cask for cask in named(book, [word], with_gone=True) if book.ledger.file_store.read(file_of(cask)) is not None]
    except CaskbookError:
        return
    if casks:
        way = f"write refs/heads/{word} for the revision; for the cask name a range before it, as HEAD {word}"
        raise CaskbookError(f"{typed_word(word)} is a revision, and a cask of the book ({casks[0]}): {way}")
