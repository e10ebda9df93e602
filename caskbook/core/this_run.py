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


def values_of(option: str) -> tuple[str, ...]:
    """What was typed for an option that takes a word, as `--records`, each time that it was typed; a word that stands there twice once."""
    found = []
    for at, word in enumerate(_words):
        if word == option:
            found += _words[at + 1 : at + 2]
        elif word.startswith(f"{option}="):
            found.append(word.partition("=")[2])
    return tuple(dict.fromkeys(found))
