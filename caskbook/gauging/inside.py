"""Whether inside dimensions can be those of a cask of so many litres, and in which unit they were likely read."""

from __future__ import annotations

from collections.abc import Mapping

from caskbook.gauging.volume import Dimensions, capacity_l

_USUAL_L = 200.0
_USUAL_MM = {"bung": 660.0, "head": 560.0, "length": 840.0}
"""A barrel, about; other casks are of like shape, so their measures go with the cube root of the litres."""
MOST_TIMES = 1.5
"""How far the litres of three measures may lie from the cask's own, either way: common practice, no source."""
_MOST_TIMES_EACH = 1.7
UNITS = {"in": (25.4, "inches"), "cm": (10.0, "centimetres")}


def is_unlike(mm: Mapping[str, float], litres: float | None) -> bool:
    """Whether these measures (bung, head, length; some may lack), in mm, are hardly those of a cask of so many litres.

    Without litres, whether no cask of 1 to 2000 L has them.
    """
    if all(name in mm for name in _USUAL_MM):
        size = inside_l(mm)
        if size is None:
            return True
        return not (litres / MOST_TIMES <= size <= litres * MOST_TIMES if litres else 1.0 <= size <= 2000.0)
    low, high = (litres, litres) if litres else (1.0, 2000.0)
    return any(not usual * (low / _USUAL_L) ** (1 / 3) / _MOST_TIMES_EACH <= mm[name] <= most_mm(name, high) for name, usual in _USUAL_MM.items() if name in mm)


def most_mm(name: str, litres: float) -> float:
    """The most that a measure of this name (bung, head, length) can be, in mm, of a cask of so many litres."""
    return _USUAL_MM[name] * float((litres / _USUAL_L) ** (1 / 3)) * _MOST_TIMES_EACH


def inside_l(mm: Mapping[str, float]) -> float | None:
    """Litres of a cask of these three measures in mm; None where there is none such."""
    try:
        return capacity_l(Dimensions(mm["bung"], mm["head"], mm["length"]))
    except (KeyError, ValueError):
        return None


def likely_unit(mm: Mapping[str, float], litres: float | None) -> str | None:
    """`in` or `cm` where the figures, read so, fit the cask and in mm do not; None where neither fits."""
    for unit, (times, _) in UNITS.items():
        if not is_unlike({name: value * times for name, value in mm.items()}, litres):
            return unit
    return None
