"""What a cask held before the book, out of a register's columns: `prior` of its head. What is not told stays unknown."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from caskbook.exchange.contents import Contents
from caskbook.exchange.liquors import VIRGIN

if TYPE_CHECKING:
    from caskbook.exchange.opening import Opening


def prior_of(known: dict[str, Any], contents: Contents | None, found: Opening) -> None:
    """Put `prior` into the head where the row tells anything of it; a fault where what it tells contradicts itself."""
    if "prior" in known:
        found.head["prior"] = known["prior"]
        return
    word, fills = known.get("prior_contents"), _fills(known, contents, found)
    if word is None and fills is None:
        if "prior_emptied" in known:
            found.head["prior"] = [_stretch(known, "unknown", None)]
        return
    if word == VIRGIN or (word is None and fills == 0):
        if fills:
            found.refuse("prior_fills", "fills-contradict", f"virgin, and filled {fills} times before", "put one of them right")
        elif "prior_emptied" in known:
            found.refuse("prior_emptied", "fills-contradict", f"never filled, and emptied {known['prior_emptied']}", "put one of them right")
        else:
            found.head["prior"] = []
        return
    if fills == 0:
        found.refuse("prior_contents", "fills-contradict", f"held {word}, and never filled before", "put one of them right")
        return
    found.head["prior"] = [_stretch(known, word or "unknown", fills)]


def _stretch(known: dict[str, Any], word: str, fills: int | None) -> dict[str, Any]:
    stretch: dict[str, Any] = {"contents": word, "fills": "unknown" if fills is None else fills}
    if "prior_emptied" in known:
        stretch["emptied"] = known["prior_emptied"]
    if "prior_evidence" in known:
        stretch["evidence"] = known["prior_evidence"]
    return stretch


def _fills(known: dict[str, Any], contents: Contents | None, found: Opening) -> int | None:
    """Fills before the present one; None where nobody knows."""
    if "prior_fills" in known:
        return int(known["prior_fills"])
    whole = known.get("fills_in_all")
    if whole is None or contents is None:
        return None
    if contents.word is None:
        return int(whole)
    if not whole:
        found.refuse("fills_in_all", "fills-contradict", "full now, and never filled", "put one of them right; the present filling counts")
        return None
    return int(whole) - 1
