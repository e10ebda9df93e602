"""What spirit counts for: litres of pure alcohol and proof gallons in decimal arithmetic, rounded as the house is told."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal, InvalidOperation
from functools import lru_cache
from typing import Literal, get_args

from caskbook.gauging.domain import DomainError
from caskbook.gauging.proof import uk_proof_of_abv, us_proof_of_abv
from caskbook.gauging.units.constants import LITRES_PER_UK_GALLON
from caskbook.gauging.volume20 import litres_at_20, us_gallons_at_60f

Rounding = Literal["none", "strength-down-0.1", "lpa-down-0.01", "us-tenth"]
"""none · % vol cut to a tenth (HMRC Alcoholic products technical guide, section 11) · litres of pure alcohol cut to a
hundredth · US proof and proof gallons to the nearest tenth, half up (27 CFR 30.23, 30.51). A house may name several."""
ROUNDINGS: tuple[Rounding, ...] = get_args(Rounding)

Number = Decimal | int | float | str
TTB_GALLONS_PER_LITRE = Decimal("0.264172")
"""US gallons in a litre as the TTB conversion tables take it, for cased goods."""
_TENTH, _HUNDREDTH, _NANO = Decimal("0.1"), Decimal("0.01"), Decimal("1e-9")
_EXACT = Context(prec=80, rounding=ROUND_HALF_EVEN)


def as_decimal(value: Number) -> Decimal:
    """The number as it was typed. A float is taken at its shortest decimal form, cut to nine decimals: what is below that
    is binary noise, and would turn 336 into 335.99 when cut."""
    return _of_float(repr(value)) if isinstance(value, float) else _read(value)


# A ledger's litres and strengths are the same few thousand figures over and over.
@lru_cache(maxsize=16_384)
def _of_float(text: str) -> Decimal:
    return _read(text, was_float=True)


def _read(value: Number, *, was_float: bool = False) -> Decimal:
    try:
        exact = Decimal(value)
    except InvalidOperation:
        raise DomainError(f"{value if was_float else repr(value)} is not a number") from None
    if not exact.is_finite():
        raise DomainError(f"{exact} is not a finite number")
    if abs(exact) >= Decimal(10) ** 15:
        raise DomainError(f"{exact:.3e} is outside -10^15 to 10^15")
    noisy = was_float and exact.as_tuple().exponent < -9  # type: ignore[operator]
    return exact.quantize(_NANO, ROUND_HALF_EVEN, _EXACT) if noisy else exact


def counted_strength(abv: Number, rules: Iterable[Rounding] = ()) -> Decimal:
    """The % vol that counts: as it is, or cut down to a tenth under "strength-down-0.1"."""
    strength = _between(as_decimal(abv), 100, "strength", "% vol")
    return strength.quantize(_TENTH, ROUND_DOWN, _EXACT) if "strength-down-0.1" in _named(rules) else strength


def litres_pure_alcohol(litres_20: Number, abv: Number, rules: Iterable[Rounding] = ()) -> Decimal:
    """Litres of pure alcohol, at 20 °C, in `litres_20` litres of `abv` % vol, both at 20 °C.

    With no rule the product is exact. "strength-down-0.1" cuts the strength first; "lpa-down-0.01" cuts the result.
    """
    chosen = _named(rules)
    litres = _between(as_decimal(litres_20), 10**9, "volume", "L")
    lpa = _EXACT.multiply(litres, counted_strength(abv, chosen)).scaleb(-2, _EXACT)
    return lpa.quantize(_HUNDREDTH, ROUND_DOWN, _EXACT) if "lpa-down-0.01" in chosen else lpa


def measured_lpa(litres: float, abv: float, temp_c: float | None, rules: Iterable[Rounding] = ()) -> Decimal:
    """Litres of pure alcohol in `litres` measured at `temp_c`; None where the litres are already at 20 °C."""
    at_20 = litres if temp_c is None else litres_at_20(litres, abv, temp_c)
    return litres_pure_alcohol(at_20, abv, rules)


def us_proof_gallons(wine_gallons: Number, proof: Number, rules: Iterable[Rounding] = ()) -> Decimal:
    """Proof gallons in `wine_gallons` at 60 °F of spirit of `proof` US proof: gallons × proof / 100 (27 CFR 30.51).

    Under "us-tenth" the proof is first taken to the nearest tenth, and the result too, half up.
    """
    tenths = "us-tenth" in _named(rules)
    strength = _between(as_decimal(proof), 200, "strength", "US proof")
    if tenths:
        strength = strength.quantize(_TENTH, ROUND_HALF_UP, _EXACT)
    gallons = _between(as_decimal(wine_gallons), 10**9, "volume", "US gal")
    product = _EXACT.multiply(gallons, strength).scaleb(-2, _EXACT)
    return product.quantize(_TENTH, ROUND_HALF_UP, _EXACT) if tenths else product


def us_proof_gallons_at_20(litres_20: float, abv: float, rules: Iterable[Rounding] = ()) -> Decimal:
    """Proof gallons in `litres_20` litres of `abv` % vol, both at 20 °C, by way of the volume and the proof at 60 °F."""
    return us_proof_gallons(us_gallons_at_60f(litres_20, abv), us_proof_of_abv(abv), rules)


def us_gallons_as_labelled(litres: Number) -> Decimal:
    """US gallons of cased goods from their labelled litres, exactly by the factor 0.264172 (TTB conversion tables)."""
    return _EXACT.multiply(_between(as_decimal(litres), 10**9, "volume", "L"), TTB_GALLONS_PER_LITRE)


def uk_proof_gallons(litres_20: float, abv: float) -> float:
    """Imperial gallons of UK proof spirit that hold the alcohol in `litres_20` litres of `abv` % vol."""
    return litres_20 / LITRES_PER_UK_GALLON * uk_proof_of_abv(abv) / 100.0


def _named(rules: Iterable[Rounding]) -> frozenset[Rounding]:
    chosen = frozenset(rules)
    if unknown := chosen.difference(ROUNDINGS):
        raise DomainError(f"rounding {min(unknown)!r} is none of {', '.join(ROUNDINGS)}")
    return chosen


def _between(value: Decimal, high: int, what: str, unit: str) -> Decimal:
    if not 0 <= value <= high:
        raise DomainError(f"{what} {value} {unit} is outside 0 to {high} {unit}")
    return value
