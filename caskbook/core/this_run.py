"""The command line of this run, as it was typed: what is saved says by what it was made."""

from __future__ import annotations

from collections.abc import Sequence

_words: list[str] = []


def begin(words: Sequence[str]) -> None:
    """Keep the words after `caskbook`; those of an earlier run in the same process are forgotten."""
    _words[:] = words


def words() -> tuple[str, ...]:
    """The words that were typed after `caskbook`."""
    return tuple(_words)


def value_of(option: str) -> str | None:
    """What was typed for an option that takes one word, as `--records`; None where it was not typed."""
    for at, word in enumerate(_words):
        if word == option:
            return next(iter(_words[at + 1 :]), None)
        if word.startswith(f"{option}="):
            return word.partition("=")[2]
    return None
