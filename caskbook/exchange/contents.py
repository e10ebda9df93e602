"""Whether a cask of a register is empty or full, and of what: told by its columns, refused where they contradict each other or say nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from caskbook.exchange.liquors import EMPTY, FULL
from caskbook.exchange.states import GONE, told_contents, way_of
from caskbook.words import is_wine

Refuse = Callable[[str, str, str, str], None]
NOT_TOLD = "not told"
NOT_FILLED = "not-filled"
"""Key of what an empty cell of the day of filling means, beside what other columns say."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What is in it: the `word` for the spirit or wine, None where it is empty. `kind`: `empty`, `spirit`, or the word itself of a wine; of a
    cask that is gone `not told` too."""

    word: str | None
    kind: str


def contents_of(known: Mapping[str, Any], refuse: Refuse) -> Contents | None:
    """The contents that a row tells; None, and a fault, where it does not or tells two things."""
    told, says, spirit = known.get("contents"), told_contents(known), known.get("spirit")
    if not _agree(told, says):
        refuse("state", "contents-contradict", f"{says}, and by its contents {told}", "put one of them right")
        return None
    empty = next((key for key, word in _sayings(known) if word == EMPTY), None)
    full = next(((key, word) for key, word in _sayings(known) if word not in (None, EMPTY)), None)
    if empty is not None and full is not None:
        of = "" if full[1] in (FULL, "spirit") else f" of {full[1]}"
        refuse(full[0], "contents-contradict", f"full{of}, and empty by `{empty}`", "put one of them right; or leave the column out, or make it a note")
        return None
    told = says if told in (None, FULL, "spirit") and says is not None and says != FULL else told or says
    words = [word for word in (told, spirit) if word not in (None, EMPTY, FULL)]
    litres = known.get("litres")
    if empty is not None:
        return _empty(known, refuse)
    if told == FULL and spirit is None or not words and (litres or "filled" in known):
        refuse(
            "contents", "contents-not-known", "it is full, and of what is not told", "say it in a column that is `spirit`, or `words: {full: malt}` of this one"
        )
        return None
    if not words and way_of(known) in (*GONE, "retired"):
        return Contents(None, NOT_TOLD)
    if not words:
        refuse(
            "contents", "contents-not-known", "nothing tells whether it is full or empty", "say it; `blank: empty` of a column says that an empty cell means so"
        )
        return None
    if len(set(words)) > 1 and words[0] != "spirit":
        refuse("spirit", "contents-contradict", f"{words[0]} is in it, and {words[1]}", "leave one of them out")
        return None
    if litres == 0:
        refuse("litres", "contents-contradict", f"0 litres, and full of {words[-1]}", "put one of them right")
        return None
    word = str(words[-1])
    return Contents(word, word if is_wine(word) else "spirit")


def _agree(told: Any, says: Any) -> bool:
    """Whether two columns say the same of what is in it, one of them more closely maybe."""
    if told is None or says is None or told == says:
        return True
    return EMPTY not in (told, says) and bool({told, says} & {FULL, "spirit"})


def _sayings(known: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """What each column that tells of it says is in it, what its empty cell means too; None where it says nothing."""
    return [("spirit", known.get("spirit")), ("contents", known.get("contents")), ("state", told_contents(known)), ("filled", known.get(NOT_FILLED))]


def _empty(known: Mapping[str, Any], refuse: Refuse) -> Contents | None:
    """An empty cask, unless the row tells of litres in it, or of a filling."""
    against = [(key, f"{known[key]:g} litres") for key in ("litres", "filled_litres") if known.get(key)]
    against += [("filled", f"filled {known['filled']}")] if "filled" in known else []
    if against:
        refuse(against[0][0], "contents-contradict", f"empty, and {against[0][1]}", "put one of them right; or leave the column out, or make it a note")
        return None
    return Contents(None, EMPTY)
