"""Litres and strengths of a register that hardly can be: an old figure is not judged again once it is in the book, so it is asked about before."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from caskbook.exchange.contents import Contents, Refuse
from caskbook.gauging.units import likely_slip, plain_number
from caskbook.life.needs import WINE_ABV
from caskbook.words.cask import CASK_TYPES

# % vol of spirit, when it was filled and later, as the fields of the jobs have them; litres beyond what it holds nominally: common practice, no source.
_ABV = {"filled_abv": (40.0, 80.0), "abv": (20.0, 95.0)}
_OVER = 1.1
# Litres below which nobody calls a cask filled, as `fill` has it.
_FILLED = 1.0


def unusual_figures(known: Mapping[str, Any], contents: Contents | None, refuse: Refuse) -> None:
    """A fault for each strength outside of what is usual for what is in it, and for litres that the cask cannot hold."""
    wine = contents is not None and contents.word is not None and contents.kind != "spirit"
    for key, usual in _ABV.items():
        _outside(key, known, "abv", "%", WINE_ABV if wine else usual, refuse)
    room = known.get("capacity")
    kind = CASK_TYPES.get(str(known.get("type")))
    if room is None and kind is not None and kind.high is not None:
        room = kind.high
    for key in ("filled_litres", "litres"):
        litres = known.get(key)
        if key == "filled_litres" and litres is not None and litres < _FILLED:
            refuse(key, "hardly-possible", f"filled with {plain_number(litres)} L", "put the figure right, or leave the cell empty where nobody knows")
        elif room is not None and litres:
            _outside(key, known, "litres", "L", (0.0, room * _OVER), refuse, f"in a cask of {plain_number(room)} L")


def _outside(key: str, known: Mapping[str, Any], kind: str, unit: str, usual: tuple[float, float], refuse: Refuse, where: str = "") -> None:
    """Refuse a figure outside of its range, with the slip that may be behind it."""
    value = known.get(key)
    low, high = usual
    if value is None or low <= value <= high:
        return
    slip = likely_slip(kind, value, max(low, high * 0.2) if where else low, high)
    told = f"{plain_number(value)} {unit} {where}" if where else f"{plain_number(value)} {unit}: {low:g} to {high:g} is usual"
    refuse(key, "hardly-possible", f"{told}{f'; {slip}' if slip else ''}", "put the figure right, or the unit of the column")
