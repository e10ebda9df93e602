"""Proof: the United States scale, referred to 60 °F, with its glass hydrometer; and the former United Kingdom scale,
whose 100 is fixed by weight at 51 °F."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from caskbook.gauging.density import density
from caskbook.gauging.domain import DomainError, inward, plain, within
from caskbook.gauging.roots import root
from caskbook.gauging.strength import (
    GLASS_PER_C,
    abv_of_mass_fraction,
    instrument_mass_fraction,
    mass_fraction_of_abv,
    mass_fraction_of_volume_percent,
    scale_ends,
    volume_percent,
)
from caskbook.gauging.units.constants import SIXTY_F, celsius

TENTH = Decimal("0.1")
COLDEST_F, HOTTEST_F = 0.0, 100.0
FIFTY_ONE_F = celsius(51.0)


def us_proof_of_abv(abv: float) -> float:
    """US proof, twice the % vol at 60 °F (27 CFR 30.11), of spirit of `abv` % vol at 20 °C."""
    return us_proof_of_mass_fraction(mass_fraction_of_abv(abv))


def abv_of_us_proof(proof: float) -> float:
    """% vol at 20 °C of spirit of `proof` (0 to 200) at 60 °F."""
    return abv_of_mass_fraction(mass_fraction_of_us_proof(proof))


def us_proof_of_mass_fraction(mass_fraction: float) -> float:
    """US proof of a mixture with mass fraction 0 to 1 of ethanol."""
    return 2.0 * volume_percent(mass_fraction, SIXTY_F)


def mass_fraction_of_us_proof(proof: float) -> float:
    """Mass fraction of spirit of `proof` (0 to 200) at 60 °F."""
    return mass_fraction_of_volume_percent(within(proof, 0.0, 200.0, "strength", "US proof") / 2.0, SIXTY_F)


def hydrometer_proof(indicated: float, temp_f: float, glass_per_c: float = GLASS_PER_C) -> float:
    """True US proof from a glass proof hydrometer that reads `indicated` (0 to 200) in spirit of 0 to 100 °F.

    What Table 1 of 27 CFR 30.61 tabulates, computed from the densities of OIML R 22 and the expansion of the glass.
    """
    within(temp_f, COLDEST_F, HOTTEST_F, "temperature", "°F", "27 CFR 30.61")
    marked, temp_c = mass_fraction_of_us_proof(indicated), celsius(temp_f)
    try:
        return us_proof_of_mass_fraction(instrument_mass_fraction(marked, temp_c, SIXTY_F, glass_per_c))
    except DomainError:
        water, alcohol = (2.0 * end for end in scale_ends(temp_c, SIXTY_F, glass_per_c))
        ends = inward(water, alcohol, ("water", "alcohol"), 1)
        raise DomainError(f"reading {plain(indicated)} proof is outside {ends} at {plain(temp_f)} °F") from None


def hydrometer_proof_by_table(indicated: Decimal, temp_f: Decimal) -> Decimal:
    """True US proof by the interpolation of 27 CFR 30.23, unrounded: whole degrees and whole °F to a tenth, then the
    fractions of both in proportion. The cells are those of `hydrometer_proof`, rounded as the printed table is."""
    whole, warm = math.floor(indicated), math.floor(temp_f)
    corner = _cell(whole, warm)
    proof = corner
    if indicated != whole:
        proof += (_cell(whole + 1, warm) - corner) * (indicated - whole)
    if temp_f != warm:
        proof += (_cell(whole, warm + 1) - corner) * (temp_f - warm)
    return proof


def _cell(indicated: int, temp_f: int) -> Decimal:
    return Decimal(repr(hydrometer_proof(indicated, temp_f))).quantize(TENTH, ROUND_HALF_UP)


@cache
def uk_proof_spirit_abv() -> float:
    """% vol at 20 °C of UK proof spirit: 12/13 of the weight of an equal volume of water, both at 51 °F (Alcoholic
    Liquor Duties Act 1979, section 2 as enacted)."""
    target = density(0.0, FIFTY_ONE_F) * 12.0 / 13.0
    return abv_of_mass_fraction(root(lambda p: density(p, FIFTY_ONE_F) - target, 0.0, 1.0))


def uk_proof_of_abv(abv: float) -> float:
    """Degrees of UK proof, proof spirit being 100: the alcohol in 100 volumes measured in volumes of proof spirit.
    Less 100 it is degrees over proof, and negative under proof."""
    return 100.0 * within(abv, 0.0, 100.0, "strength", "% vol") / uk_proof_spirit_abv()


def abv_of_uk_proof(proof: float) -> float:
    """% vol at 20 °C of spirit of `proof` degrees UK proof, 0 to about 175 (pure alcohol)."""
    return within(proof, 0.0, uk_proof_of_abv(100.0), "strength", "UK proof") * uk_proof_spirit_abv() / 100.0
