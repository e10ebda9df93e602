"""Words of lines that are told to be typed: what a book holds in names, berths and ids may be anything, and whoever copies the line must not run it."""

from __future__ import annotations


def typed_word(text: object) -> str:
    """A word as it is typed: as it is where that is plain, else in the quotes of a shell."""
    from shlex import quote

    return quote(str(text))
