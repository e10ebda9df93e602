"""A type of cask as it is typed with a filter."""

from __future__ import annotations

from caskbook.core.finding import CaskbookError


def type_word(word: str) -> str:
    """A type of cask as it is stored, from what was typed; CaskbookError for what is none."""
    from caskbook.words import AmbiguousWord, UnknownWord, canonical

    try:
        return canonical("type", word)
    except (UnknownWord, AmbiguousWord) as error:
        raise CaskbookError(f"--type: {error}") from None
