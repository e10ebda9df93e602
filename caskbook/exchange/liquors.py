"""Words for what a cask holds or held, as a register writes them: an unknown one is asked about, for a slip would become a spirit of its own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from caskbook.words import AmbiguousWord, UnknownWord, canonical
from caskbook.words.faults import SPIRIT
from caskbook.words.lookup import is_never_filled, is_wine, nearest_liquor
from caskbook.words.spelling import Kind, fold, quoted

EMPTY, FULL, VIRGIN = "empty", "full", "virgin"
_EMPTY = ("empty", "mt", "nothing", "none", "nil", "void", "emptied")
_FULL = ("full", "filled", "in use")
_NOTHING = "nothing"
"""A register's column has it where a cask never held anything; typed, it may as well mean that nobody knows."""
_NONE = "none"


class UnknownLiquorError(ValueError):
    """A word that no list of liquors holds; one line, with the nearest word where one is close."""


def liquor(text: str, own: Iterable[str], wines: Iterable[str], *, before: bool = False) -> str:
    """The word kept for what is in it (`empty` and `full` too), or, with `before`, for what it held (`virgin` too).

    `own`: the house's spirits and those that the map adds; `wines`: the house's further words for wines. UnknownLiquorError otherwise.
    """
    return _liquor(text, tuple(own), tuple(wines), before)


@lru_cache(maxsize=4096)
def _liquor(text: str, own: tuple[str, ...], wines: tuple[str, ...], before: bool) -> str:
    """As `liquor`, remembered: a register has few words, often."""
    folded = fold(text)
    if before and (is_never_filled(text) or folded == fold(_NOTHING)):
        return VIRGIN
    if before and folded == fold(_NONE):
        raise UnknownLiquorError(f"{quoted(text)}: did it never hold anything, or is nothing known of it?")
    stated = () if before else ((EMPTY, _EMPTY), (FULL, _FULL))
    for word, others in stated:
        if folded in map(fold, others):
            return word
    spellings = _spirits(own).spellings()
    if folded in spellings:
        return spellings[folded]
    try:
        return canonical("wine", text, wines)
    except (UnknownWord, AmbiguousWord):
        pass
    words = "-".join(text.casefold().split())
    if is_wine(words, wines) and all(sign.isalnum() or sign in "-'" for sign in words) and len(words) <= 60:
        return words
    raise UnknownLiquorError(f"{quoted(text)} is no spirit or wine{_suggestion(text, own)}")


def _spirits(own: Iterable[str]) -> Kind:
    return Kind(SPIRIT.label, tuple(dict.fromkeys((*own, *SPIRIT.words))), SPIRIT.synonyms)


def _suggestion(text: str, own: Iterable[str]) -> str:
    near = nearest_liquor(text, tuple(own))
    return f": did you mean {near}?" if near else ""


def is_liquor(text: str, own: Sequence[str] = (), wines: Sequence[str] = ()) -> bool:
    """Whether the text is a word for what a cask holds or held."""
    for before in (False, True):
        try:
            liquor(text, own, wines, before=before)
            return True
        except UnknownLiquorError:
            continue
    return False
