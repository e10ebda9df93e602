"""What the book knows of what a cask held, against a spirit that it is wanted for."""

from __future__ import annotations

from typing import Literal, get_args

from caskbook.life import Life
from caskbook.words import is_wine
from caskbook.words.lookup import is_never_filled

Held = tuple[str, ...]
Word = Literal["same", "class", "other", "wine", "?", "never"]
WORDS: tuple[Word, ...] = get_args(Word)
_UNKNOWN = "unknown"


def held_by(life: Life, spirit: str) -> Held:
    """In the order of `WORDS`: the spirit itself, another of the house's class, another spirit, wine; "?" where not all is known; "never" where it
    held nothing. What it took over from the casks that it was made of counts, as far as that is told."""
    st, settings, prior = life.state, life.state.settings, life.cask.head.prior
    found: set[str] = set()
    for word in [*(one.contents for one in prior or []), *(filling.spirit or "?" for filling in st.fillings)]:
        if word in (_UNKNOWN, "?"):
            found.add("?")
        elif settings.same_spirit(word, spirit):
            found.add("same")
        elif is_wine(word, settings.wine_words):
            found.add("wine")
        elif not is_never_filled(word):
            found.add("class" if settings.is_of_class(word) else "other")
    if st.wine_held and "same" not in found:
        found.add("wine")
    inherited = st.past.held if life.last("made-from") is not None else None
    if inherited == "spirit":
        found.add("other" if st.past.fills_of_class == 0 else "?")
    if (prior is None and inherited is None) or inherited == _UNKNOWN or st.wine_held is None:
        found.add("?")
    return tuple(word for word in WORDS if word in found) or ("never",)
