"""A number with its noun, as it is said: 1 cask, 2 casks; 1 entry, 3 entries."""

from __future__ import annotations


def number_of(count: int, noun: str) -> str:
    """`count` and `noun`, in the plural unless there is exactly one."""
    return f"{count} {noun if count == 1 else plural(noun)}"


def plural(noun: str) -> str:
    """The plural of a noun of the trade or of the book; all of them are regular."""
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + ("es" if noun.endswith(("s", "x", "ch", "sh")) else "s")
