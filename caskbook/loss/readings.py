"""Other readings of a figure: what may have been meant where a point, a unit, a sign or two digits slipped."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from caskbook.gauging.units import KINDS, kept_of, plain_number

FIELDS = {"litres": "litres", "wet_mm": "mm", "dry_mm": "mm", "gross_kg": "kg", "abv": "abv", "temp_c": "temp_c"}
"""Figures of a gauge, and the kind each is of."""
_UNITS = {
    "litres": (("usgal", "US gal"), ("ukgal", "UK gal")),
    "abv": (("usproof", "US proof"), ("ukproof", "UK proof")),
    "temp_c": (("f", "°F"),),
    "mm": (("cm", "cm"), ("in", "in")),
    "kg": (("lb", "lb"),),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure that may have been meant, in the kept unit, the question that asks for it, and whether another unit was meant."""

    value: float
    words: str
    unit: bool = False


def readings(kind: str, value: float) -> Iterator[Reading]:
    """Other readings, likeliest first: another unit, the point elsewhere, two digits swapped, the sign lost."""
    exact = Decimal(repr(float(value)))
    kept = KINDS[kind]
    unit = kept.unit.replace("% vol", "%")
    for key, shown in _UNITS[kind]:
        meant = kept_of(kind, key, exact)
        if meant is not None:
            yield Reading(float(meant), f"{plain_number(exact)} {shown} is {plain_number(meant)} {unit}: did you mean {shown}?", True)
    others = [exact / 10, exact * 10, *_swapped(exact), *([-exact] if kind == "temp_c" else [])]
    for other in others:
        yield Reading(float(other), f"did you mean {plain_number(other)} {unit}?")


def _swapped(exact: Decimal) -> Iterator[Decimal]:
    """Two neighbouring digits the other way round, the point staying where it is."""
    text = format(exact.normalize(), "f")
    places = [n for n, sign in enumerate(text) if sign.isdigit()]
    for one, other in zip(places, places[1:], strict=False):
        if text[one] != text[other]:
            signs = list(text)
            signs[one], signs[other] = signs[other], signs[one]
            yield Decimal("".join(signs))
