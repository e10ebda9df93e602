"""The slips of hand behind a figure that is out of range: a lost point, a doubled figure, the wrong unit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from math import isfinite

from caskbook.gauging.units.parse import plain_number
from caskbook.gauging.units.tables import KINDS, kept_of

# Each kind has the units mistaken for the kept one, likeliest first, as they are looked up and as they are shown.
_MISTAKEN: dict[str, tuple[tuple[str, str], ...]] = {
    "litres": (("ml", "ml"), ("cl", "cl"), ("usgal", "US gal"), ("ukgal", "UK gal")),
    "ml": (("l", "L"), ("cl", "cl")),
    "abv": (("usproof", "US proof"), ("ukproof", "UK proof")),
    "temp_c": (("f", "°F"),),
    "psi": (("bar", "bar"), ("kpa", "kPa"), ("mbar", "mbar")),
    "mm": (("cm", "cm"), ("in", "in")),
    "kg": (("g", "g"), ("lb", "lb")),
    "grams": (("kg", "kg"),),
    "seconds": (("min", "min"),),
    "minutes": (("s", "s"), ("h", "h")),
    "hours": (("min", "min"),),
    "fraction": (("%", "%"),),
}
# In these kinds the point is slipped in practice; a time or a weight in whole figures seldom is.
_POINTED = ("litres", "abv", "temp_c", "psi", "mm", "ml", "kg")
# In these kinds another unit in use is likelier than a lost point.
_UNITS_FIRST = ("temp_c", "psi", "mm", "ml", "kg")
_BIGGEST = 1e9

Reading = tuple[Decimal, str]
Reader = Callable[[str, Decimal], Iterator[Reading]]


def _unit_readings(kind: str, value: Decimal) -> Iterator[Reading]:
    chosen = KINDS[kind]
    for key, shown in _MISTAKEN.get(kind, ()):
        kept = kept_of(kind, key, value)
        if kept is None:
            continue
        unit = f" {chosen.unit}" if chosen.unit else ""
        yield kept, f"{plain_number(value)} {shown} is {plain_number(kept)}{unit}: did you mean {shown}?"


def _point_readings(kind: str, value: Decimal) -> Iterator[Reading]:
    if kind not in _POINTED:
        return
    unit = KINDS[kind].unit.replace("% vol", "%")
    for moved in (value / 10, value * 10):
        yield moved, f"did you mean {plain_number(moved)} {unit}?"


def _sign_readings(kind: str, value: Decimal) -> Iterator[Reading]:
    if kind == "temp_c":
        yield -value, f"did you mean {plain_number(-value)} °C?"


def likely_slip(kind: str, value: float, low: float, high: float) -> str | None:
    """What an out-of-range figure was probably meant to be, for a value in the kept unit of `kind` and its plausible range.

    None when the value lies in the range, or when no common slip brings it there. Of several, the likeliest is named."""
    if kind not in KINDS or not isfinite(value) or abs(value) > _BIGGEST or low <= value <= high:
        return None
    first, second = (_unit_readings, _point_readings) if kind in _UNITS_FIRST else (_point_readings, _unit_readings)
    readers: tuple[Reader, ...] = (first, second, _sign_readings)
    exact = Decimal(repr(value))
    likely = (said for reader in readers for meant, said in reader(kind, exact) if low <= float(meant) <= high)
    return next(likely, None)
