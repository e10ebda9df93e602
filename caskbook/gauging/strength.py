"""Alcoholic strength: % mass and % vol at 20 °C, density to strength, and the reading of a glass alcoholometer corrected
for temperature."""

from __future__ import annotations

from functools import lru_cache

from caskbook.gauging.density import ETHANOL_20, SOURCE, checked_temp, density, mass_fraction_at
from caskbook.gauging.domain import DomainError, inward, plain, within
from caskbook.gauging.roots import root

GLASS_PER_C = 25e-6
"""Cubic expansion of the soda-lime glass that OIML R 22 and R 44 assume for alcoholometers, per °C."""
MARKED_AT_C = 20.0


def volume_percent(mass_fraction: float, temp_c: float) -> float:
    """% vol at `temp_c`, both volumes taken at that temperature: 100 p rho(p, t) / rho(1, t)."""
    return min(100.0, 100.0 * mass_fraction * density(mass_fraction, temp_c) / density(1.0, temp_c))


def mass_fraction_of_volume_percent(percent: float, temp_c: float) -> float:
    """Mass fraction of a mixture of `percent` % vol (0 to 100) at `temp_c`, by inverting `volume_percent`."""
    within(percent, 0.0, 100.0, "strength", "% vol")
    pure = density(1.0, temp_c)
    return root(lambda p: 100.0 * p * density(p, temp_c) / pure - percent, 0.0, 1.0)


@lru_cache(maxsize=4096)
def mass_fraction_of_abv(abv: float) -> float:
    """Mass fraction, 0 to 1, of a mixture of `abv` % vol at 20 °C."""
    return mass_fraction_of_volume_percent(abv, 20.0)


def abv_of_mass_fraction(mass_fraction: float) -> float:
    """% vol at 20 °C: q = p rho(p, 20) / rho(1, 20) (OIML R 22)."""
    return min(100.0, 100.0 * mass_fraction * density(mass_fraction, 20.0) / ETHANOL_20)


def abv_of_mass_percent(mass_percent: float) -> float:
    """% mass (0 to 100) to % vol at 20 °C."""
    return abv_of_mass_fraction(within(mass_percent, 0.0, 100.0, "strength", "% mass") / 100.0)


def mass_percent_of_abv(abv: float) -> float:
    """% vol at 20 °C (0 to 100) to % mass."""
    return 100.0 * mass_fraction_of_abv(abv)


def density_of_abv(abv: float, temp_c: float = 20.0) -> float:
    """Density in kg/m³, in vacuo, at `temp_c` of spirit of `abv` % vol at 20 °C."""
    return density(mass_fraction_of_abv(abv), temp_c)


def abv_of_density(density_kg_m3: float, temp_c: float = 20.0) -> float:
    """% vol at 20 °C from the density in vacuo (kg/m³) measured at `temp_c`."""
    return abv_of_mass_fraction(mass_fraction_at(density_kg_m3, temp_c))


def alcoholometer_abv(indicated: float, temp_c: float, marked_at_c: float = MARKED_AT_C, glass_per_c: float = GLASS_PER_C) -> float:
    """% vol at 20 °C from a glass alcoholometer that reads `indicated` % vol in spirit of `temp_c`.

    `marked_at_c` is the temperature the instrument is marked for: 20 °C, or `units.SIXTY_F` for one that shows % vol at
    60 °F. Follows the definition behind the tables of OIML R 22 for instruments.
    """
    marked = mass_fraction_of_volume_percent(indicated, marked_at_c)
    try:
        return abv_of_mass_fraction(instrument_mass_fraction(marked, temp_c, marked_at_c, glass_per_c))
    except DomainError as error:
        raise _beyond_scale(indicated, temp_c, marked_at_c, glass_per_c) or error from None


def instrument_mass_fraction(marked: float, temp_c: float, marked_at_c: float, glass_per_c: float) -> float:
    """Mass fraction of the spirit at `temp_c` in which a glass instrument floats at the mark for mass fraction `marked`.

    Afloat, an instrument shows the density that its volume, swollen or shrunk with the glass, displaces:
    rho(p, t) = rho(marked, t0) (1 - gamma (t - t0)).
    """
    shown = density(marked, marked_at_c) * (1.0 - glass_per_c * (checked_temp(temp_c) - marked_at_c))
    return mass_fraction_at(shown, temp_c)


def scale_ends(temp_c: float, marked_at_c: float, glass_per_c: float) -> tuple[float, float]:
    """The readings, in % vol of the instrument's own scale, of water and of pure alcohol at `temp_c`; 0 and 100 where
    those float beyond the ends of the scale."""
    swollen = 1.0 - glass_per_c * (temp_c - marked_at_c)
    ends = []
    for mass_fraction in (0.0, 1.0):
        shown = density(mass_fraction, temp_c) / swollen
        shown = min(max(shown, density(1.0, marked_at_c)), density(0.0, marked_at_c))
        ends.append(volume_percent(mass_fraction_at(shown, marked_at_c), marked_at_c))
    return ends[0], ends[1]


def _beyond_scale(indicated: float, temp_c: float, marked_at_c: float, glass_per_c: float) -> DomainError | None:
    """The refusal of a reading that no mixture gives at this temperature; None where the reading is not the fault."""
    try:
        water, alcohol = scale_ends(checked_temp(temp_c), marked_at_c, glass_per_c)
    except DomainError:
        return None
    ends = inward(water, alcohol, ("water", "alcohol"), 2)
    return DomainError(f"reading {plain(indicated)} % vol is outside {ends} at {plain(temp_c)} °C ({SOURCE})")
