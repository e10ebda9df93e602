"""What a filter that no cask fits was likely meant to say: the nearest word of those that the book has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from caskbook.index.index import Index

_HINTED = ("store", "parcel", "supplier", "spirit")
"""Filters whose words only the book knows."""
Near = Sequence[tuple[str, str]]
"""(option without its dashes, the word that was likely meant)."""


def near_in(index: Index, filters: Mapping[str, Any]) -> Near:
    """What words of these filters likely mean, out of the answer that the index holds; nothing of a word that the book has."""
    names = [name for name in _HINTED if filters.get(name)]
    groups = [facts for facts, _ in index.counted(names, ())] if names else []
    return near_among({name: {facts[name] for facts in groups} for name in names}, filters)


def near_among(known: Mapping[str, set[Any]], filters: Mapping[str, Any]) -> Near:
    """The same, out of the words that are known: option without its dashes → words."""
    from caskbook.words.spelling import fold, nearest_word

    found = []
    for name, words in known.items():
        spellings = {fold(word): word for word in sorted(words - {None})}
        for word in filters.get(name) or ():
            near = nearest_word(word, spellings) if word not in words else None
            found += [(name, near)] if near else []
    return found
