"""Words for how a cask of a register stands: in stock, with or without something in it, or gone, and in which way.

Words of other registers, common practice, no source. A word that may mean two things is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from caskbook.exchange.liquors import UnknownLiquorError, liquor
from caskbook.words import AmbiguousWord, UnknownWord
from caskbook.words.lookup import nearest_liquor
from caskbook.words.spelling import fold

IN_STOCK = "in-stock"
GONE = ("broken-up", "kept-by-shop", "lost", "returned", "scrapped", "sold", "stolen")
STILL_OURS = ("missing", "retired", "sent-away")
WAYS = (*GONE, *STILL_OURS)
_SAME = {
    IN_STOCK: ("stock", "here", "in house", "on site", "present", "on hand", "active", "live", "current"),
    "sold": ("sold on", "sold off", "sale"), "stolen": ("theft",),
    "scrapped": ("scrap", "scrapped out", "burnt", "burned", "firewood", "destroyed", "cut for planters", "planter", "junked"),
    "returned": ("return", "sent back", "given back", "returned to owner", "returned to supplier", "back to supplier", "back to owner"),
    "kept-by-shop": ("kept by the shop", "kept by cooperage", "kept by the cooperage"),
    "broken-up": ("broken down", "break up", "dismantled", "taken apart", "parted out", "for staves", "used for staves"),
    "retired": ("withdrawn", "taken out of use", "out of use"),
    "sent-away": ("away", "sent", "sent out", "on loan", "loaned", "out for repair", "sent for repair", "away for repair", "at the cooper", "at cooperage", "at the shop"),
    "missing": ("not found", "cannot be found", "not seen"),
}  # fmt: skip
_HOW = ("sold", "scrapped", "returned", "broken-up", "sent-away")
_ASKED: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "how did it go?": (("gone", "left", "out", "disposed", "disposed of", "written off", "dead", "not in stock", "removed", "departed"), _HOW),
    "done, and still here?": (("finished", "spent", "condemned", "end of life", "exhausted"), ("retired", "scrapped", "broken-up")),
    "emptied, or thrown away?": (("dumped", "tipped"), ("empty", "scrapped")),
    "nothing in it, or no such cask?": (("none", "nil", "nothing", "void"), ("empty",)),
    "an entry of that names the casks made of it: leave the row out, and enter convert": (("converted", "rebuilt", "remade", "cut down", "re-coopered"), ()),
    "flat staves: leave the row out, and enter receive with --form shook": (("shook", "knocked down", "in shook"), ()),
}  # fmt: skip


def state_word(text: str, own: Iterable[str], wines: Iterable[str]) -> str:
    """One of WAYS, IN_STOCK, or what is in it as `liquor` has it. UnknownWord, with the nearest word, and AmbiguousWord otherwise."""
    return _state_word(text, tuple(own), tuple(wines))


@lru_cache(maxsize=4096)
def _state_word(text: str, own: tuple[str, ...], wines: tuple[str, ...]) -> str:
    """As `state_word`, remembered: a register has few words, often."""
    folded = fold(text)
    spellings = {fold(one): word for word, others in _SAME.items() for one in (word, *others)} | {fold(word): word for word in WAYS}
    if folded in spellings:
        return spellings[folded]
    for question, (words, choices) in _ASKED.items():
        if folded in map(fold, words):
            raise AmbiguousWord(text, question, choices)
    try:
        return liquor(text, own, wines)
    except UnknownLiquorError:
        near = nearest_liquor(text, own, spellings)
        raise UnknownWord("state of a cask, nor spirit or wine", text, near) from None


def way_of(known: Mapping[str, Any]) -> str | None:
    """The way it left, of WAYS; None where the row does not say that it did."""
    state = known.get("state")
    return str(state) if state in WAYS else None


def told_contents(known: Mapping[str, Any]) -> Any:
    """What the state says of what is in it; None where it says nothing of that."""
    state = known.get("state")
    return None if state in (*WAYS, IN_STOCK) else state


def is_state(text: str) -> bool:
    """Whether the text is a word for how a cask stands."""
    try:
        state_word(text, (), ())
    except (UnknownWord, AmbiguousWord):
        return False
    return True


def is_way(text: str) -> bool:
    """Whether the text says that a cask left."""
    return is_state(text) and state_word(text, (), ()) in WAYS
