"""What a cask held before the book, out of a register's columns: `prior` of its head. What is not told stays unknown."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from caskbook.exchange.contents import Contents, Refuse
from caskbook.exchange.liquors import VIRGIN


def prior_of(known: Mapping[str, Any], contents: Contents | None, refuse: Refuse) -> list[dict[str, Any]] | None:
    """`prior` as a head has it, [] for a virgin cask; None where nothing is told, and with a fault where what is told contradicts itself."""
    if "prior" in known:
        told: list[dict[str, Any]] = known["prior"]
        return told
    word, fills = known.get("prior_contents"), _fills(known, contents, refuse)
    if word is None and fills is None:
        return [_stretch(known, "unknown", None)] if "prior_emptied" in known else None
    if word == VIRGIN or (word is None and fills == 0):
        if fills:
            refuse("prior_fills", "fills-contradict", f"virgin, and filled {fills} times before", "put one of them right")
        elif "prior_emptied" in known:
            refuse("prior_emptied", "fills-contradict", f"never filled, and emptied {known['prior_emptied']}", "put one of them right")
        return []
    if fills == 0:
        refuse("prior_contents", "fills-contradict", f"held {word}, and never filled before", "put one of them right")
        return None
    return [_stretch(known, word or "unknown", fills)]


def _stretch(known: Mapping[str, Any], word: str, fills: int | None) -> dict[str, Any]:
    stretch: dict[str, Any] = {"contents": word, "fills": "unknown" if fills is None else fills}
    if "prior_emptied" in known:
        stretch["emptied"] = known["prior_emptied"]
    if "prior_evidence" in known:
        stretch["evidence"] = known["prior_evidence"]
    return stretch


def _fills(known: Mapping[str, Any], contents: Contents | None, refuse: Refuse) -> int | None:
    """Fills before the present one; None where nobody knows."""
    if "prior_fills" in known:
        return int(known["prior_fills"])
    whole = known.get("fills_in_all")
    if whole is None or contents is None:
        return None
    if contents.word is None:
        return int(whole)
    if not whole:
        refuse("fills_in_all", "fills-contradict", "full now, and never filled", "put one of them right; the present filling counts")
        return None
    return int(whole) - 1
