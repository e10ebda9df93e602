"""The kinds of figures a record keeps, the units each may be typed in, and the published factors between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

Convert = Callable[[Decimal], Decimal]
"""To the kept unit, unrounded; a ValueError of one line where there is no such amount (a strength above pure alcohol)."""

# These are exact: 1 lb = 0.453 592 37 kg and 1 in = 25.4 mm, international yard and pound agreement, 1959 (from memory).
KG_PER_LB = Decimal("0.45359237")
MM_PER_INCH = Decimal("25.4")
# A gallon is 231 cubic inches of 25.4 mm, exact: NIST Handbook 44, Appendix C (from memory).
LITRES_PER_US_GALLON = Decimal("3.785411784")
# The source is the Weights and Measures Act 1985, Schedule 1 (from memory).
LITRES_PER_UK_GALLON = Decimal("4.54609")
# 1 psi = 6.894 757 kPa: NIST SP 811, Appendix B (from memory); 1 bar = 100 kPa.
PSI_PER_BAR = Decimal("14.503774")


@dataclass(frozen=True, slots=True)
class Kind:
    """What is measured, the unit it is kept in, the units it takes as a message says them, the step a conversion is
    rounded to, and unit as compared → conversion."""

    label: str
    unit: str
    takes: str
    step: Decimal
    units: Mapping[str, Convert]


def _times(factor: str | int | Decimal) -> Convert:
    exact = Decimal(factor)
    return lambda value: value * exact


def _over(divisor: int) -> Convert:
    return lambda value: value / divisor


def _from_fahrenheit(value: Decimal) -> Decimal:
    return (value - 32) * 5 / 9


def _from_us_proof(value: Decimal) -> Decimal:
    """Twice the % vol at 60 °F (27 CFR 30.11), brought to % vol at 20 °C by the densities of OIML R 22."""
    from caskbook.gauging.proof import abv_of_us_proof  # Few figures need this formula.

    return Decimal(repr(abv_of_us_proof(float(value))))


def _from_uk_proof(value: Decimal) -> Decimal:
    """Parts of proof spirit in a hundred, as the Alcoholic Liquor Duties Act 1979, s. 2, fixes proof spirit by weight."""
    from caskbook.gauging.proof import abv_of_uk_proof

    return Decimal(repr(abv_of_uk_proof(float(value))))


def _names(convert: Convert, *names: str) -> dict[str, Convert]:
    return dict.fromkeys(names, convert)


AS_TYPED = _times(1)
_US_GALLON, _UK_GALLON = _times(LITRES_PER_US_GALLON), _times(LITRES_PER_UK_GALLON)
_LITRE = ("l", "ltr", "litre", "litres", "liter", "liters")
_ML = ("ml", "millilitre", "millilitres", "milliliter", "milliliters")
_CL = ("cl", "centilitre", "centilitres", "centiliter", "centiliters")
_MM = ("mm", "millimetre", "millimetres", "millimeter", "millimeters")
_CM = ("cm", "centimetre", "centimetres", "centimeter", "centimeters")
_INCH = ("in", "inch", "inches", '"', "″", "''")
_KG = ("kg", "kilo", "kilos", "kilogram", "kilograms")
_LB = ("lb", "lbs", "pound", "pounds")
_GRAM = ("g", "gram", "grams", "gramme", "grammes")
_SECOND = ("s", "sec", "secs", "second", "seconds")
_MINUTE = ("min", "mins", "minute", "minutes")
_HOUR = ("h", "hr", "hrs", "hour", "hours")

KINDS: Mapping[str, Kind] = {
    "litres": Kind(
        "volume",
        "L",
        "L, ml, cl, USgal or UKgal",
        Decimal("0.01"),
        _names(AS_TYPED, *_LITRE)
        | _names(_over(1000), *_ML)
        | _names(_over(100), *_CL)
        | _names(_US_GALLON, "usgal", "usgallon", "usgallons")
        | _names(
            _UK_GALLON,
            "ukgal",
            "ukgallon",
            "ukgallons",
            "impgal",
            "imperialgal",
            "imperialgallon",
            "imperialgallons",
        ),
    ),
    "ml": Kind(
        "sample volume",
        "ml",
        "ml, cl or L",
        Decimal("0.1"),
        _names(AS_TYPED, *_ML) | _names(_times(10), *_CL) | _names(_times(1000), *_LITRE),
    ),
    "abv": Kind(
        "strength",
        "% vol",
        "%, USproof or UKproof",
        Decimal("0.01"),
        _names(AS_TYPED, "%", "%vol", "%abv", "abv", "vol%") | _names(_from_us_proof, "usproof") | _names(_from_uk_proof, "ukproof"),
    ),
    "temp_c": Kind(
        "temperature",
        "°C",
        "°C or °F",
        Decimal("0.01"),
        _names(AS_TYPED, "°c", "c", "degc", "celsius") | _names(_from_fahrenheit, "°f", "f", "degf", "fahrenheit"),
    ),
    "psi": Kind(
        "pressure",
        "psi",
        "psi, bar, mbar or kPa",
        Decimal("0.01"),  # A tenth would take 0.76 bar for 11 psi, and let it pass under that limit.
        _names(AS_TYPED, "psi", "psig")
        | _names(_times(PSI_PER_BAR), "bar", "barg")
        | _names(_times(PSI_PER_BAR / 1000), "mbar")
        | _names(_times(PSI_PER_BAR / 100), "kpa"),
    ),
    "mm": Kind(
        "length",
        "mm",
        "mm, cm or in",
        Decimal("0.01"),
        _names(AS_TYPED, *_MM) | _names(_times(10), *_CM) | _names(_times(MM_PER_INCH), *_INCH),
    ),
    "kg": Kind(
        "weight",
        "kg",
        "kg, g or lb",
        Decimal("0.1"),
        _names(AS_TYPED, *_KG) | _names(_over(1000), *_GRAM) | _names(_times(KG_PER_LB), *_LB),
    ),
    "grams": Kind("amount", "g", "g or kg", Decimal("0.1"), _names(AS_TYPED, *_GRAM) | _names(_times(1000), *_KG)),
    "seconds": Kind(
        "time",
        "s",
        "s, min or h",
        Decimal("0.1"),
        _names(AS_TYPED, *_SECOND) | _names(_times(60), *_MINUTE) | _names(_times(3600), *_HOUR),
    ),
    "minutes": Kind(
        "time",
        "min",
        "min, s or h",
        Decimal("0.01"),
        _names(AS_TYPED, *_MINUTE) | _names(_over(60), *_SECOND) | _names(_times(60), *_HOUR),
    ),
    "hours": Kind(
        "time",
        "h",
        "h, min or days",
        Decimal("0.01"),
        _names(AS_TYPED, *_HOUR) | _names(_over(60), *_MINUTE) | _names(_times(24), "d", "day", "days"),
    ),
    "fraction": Kind("fraction", "", "a part of one, or %", Decimal("0.001"), _names(_over(100), "%", "percent")),
}


def kept_of(kind: str, unit: str, value: Decimal) -> Decimal | None:
    """A figure in another unit as it would be kept, rounded to the step of its kind; None where there is no such amount."""
    chosen = KINDS[kind]
    try:
        return chosen.units[unit](value).quantize(chosen.step, rounding=ROUND_HALF_UP)
    except ValueError:
        return None
