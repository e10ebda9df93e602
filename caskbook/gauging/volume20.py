"""The volume of spirit: from the temperature it was measured at to 20 °C, and to and from its weight, in vacuo or as the
scale shows it in air."""

from __future__ import annotations

import math

from caskbook.gauging.density import density
from caskbook.gauging.domain import within
from caskbook.gauging.strength import mass_fraction_of_abv
from caskbook.gauging.units.constants import LITRES_PER_US_GALLON, SIXTY_F

AIR_KG_M3 = 1.2
WEIGHTS_KG_M3 = 8000.0
"""Conventional densities of air and of weights (OIML D 28): what a scale is adjusted to."""
MOST = 1e9


def volume_factor(abv: float, from_c: float, to_c: float) -> float:
    """What a volume of spirit of `abv` % vol at `from_c` is multiplied by to give its volume at `to_c`."""
    mass_fraction = mass_fraction_of_abv(abv)
    return density(mass_fraction, from_c) / density(mass_fraction, to_c)


def litres_at_20(litres: float, abv: float, temp_c: float) -> float:
    """Litres at 20 °C of spirit of `abv` % vol that measures `litres` at `temp_c`: V rho(p, t) / rho(p, 20)."""
    return _amount(litres, "volume", "L") * volume_factor(abv, temp_c, 20.0)


def litres_at(litres_20: float, abv: float, temp_c: float) -> float:
    """Litres at `temp_c` of spirit of `abv` % vol that measures `litres_20` at 20 °C."""
    return _amount(litres_20, "volume", "L") * volume_factor(abv, 20.0, temp_c)


def us_gallons_at_60f(litres_20: float, abv: float) -> float:
    """Wine gallons at 60 °F, the reference of United States gauging, of `litres_20` litres at 20 °C."""
    return litres_at(litres_20, abv, SIXTY_F) / LITRES_PER_US_GALLON


def kg_of_litres(litres: float, abv: float, temp_c: float = 20.0, in_air: bool = False) -> float:
    """Kilograms of `litres` of spirit of `abv` % vol at `temp_c`: the mass, or with `in_air` what a scale shows."""
    rho = density(mass_fraction_of_abv(abv), temp_c)
    kg = _amount(litres, "volume", "L") * rho / 1000.0
    return kg * _shown_share(rho) if in_air else kg


def litres_20_of_kg(kg: float, abv: float, in_air: bool = False, temp_c: float = 20.0) -> float:
    """Litres at 20 °C of `kg` kilograms of spirit of `abv` % vol; with `in_air`, kg as a scale shows it.

    `temp_c`, the spirit's temperature when weighed, only enters through the buoyancy of air.
    """
    mass_fraction = mass_fraction_of_abv(abv)
    mass = _amount(kg, "weight", "kg")
    if in_air:
        mass /= _shown_share(density(mass_fraction, temp_c))
    return mass * 1000.0 / density(mass_fraction, 20.0)


def mass_of_weight_in_air(kg_shown: float, density_kg_m3: float) -> float:
    """The mass in kg of a liquid of this density of which a scale in air shows `kg_shown`."""
    return _amount(kg_shown, "weight", "kg") / _shown_share(density_kg_m3)


def _shown_share(density_kg_m3: float) -> float:
    """What a scale adjusted with weights in air shows of a mass of 1: air bears the liquid more than the weights."""
    return (1.0 - AIR_KG_M3 / density_kg_m3) / (1.0 - AIR_KG_M3 / WEIGHTS_KG_M3)


def _amount(value: float, what: str, unit: str) -> float:
    return within(value, 0.0, MOST, what, unit) if math.isfinite(value) else within(value, 0.0, MOST, what)
