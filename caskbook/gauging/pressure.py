"""Air under test: what it presses on a head with and the energy it stores, so that the caution can say so in figures for
the cask in hand. Nothing here is advice on a pressure."""

from __future__ import annotations

import math
from typing import Literal, get_args

from caskbook.gauging.domain import DomainError, within
from caskbook.gauging.units.constants import KG_PER_POUND, MM_PER_INCH, STANDARD_GRAVITY

PressureUnit = Literal["psi", "bar", "kPa"]
PRESSURE_UNITS: tuple[PressureUnit, ...] = get_args(PressureUnit)
_PASCALS: dict[str, float] = {
    "psi": KG_PER_POUND * STANDARD_GRAVITY / math.pow(MM_PER_INCH / 1000.0, 2),
    "bar": 1e5,
    "kPa": 1e3,
}
ATMOSPHERE_PA = 101_000.0
"""The atmosphere as ASME PCC-2 takes it."""
MOST_PSI = 1000.0


def converted(value: float, from_unit: PressureUnit, to_unit: PressureUnit) -> float:
    """A pressure in another unit: psi, bar or kPa (1 psi = 6894.757 Pa)."""
    for unit in (from_unit, to_unit):
        if unit not in _PASCALS:
            raise DomainError(f"pressure unit {unit!r} is none of {', '.join(PRESSURE_UNITS)}")
    return value * _PASCALS[from_unit] / _PASCALS[to_unit]


def gauge_pascals(psi: float) -> float:
    """Pascals above the atmosphere for a gauge reading of 0 to 1000 psi."""
    return within(psi, 0.0, MOST_PSI, "pressure", "psi") * _PASCALS["psi"]


def thrust_n(psi: float, head_mm: float) -> float:
    """Newtons on a head of this diameter at this gauge pressure: F = p pi d² / 4."""
    diameter_m = within(head_mm, 10.0, 5000.0, "head diameter", "mm") / 1000.0
    return gauge_pascals(psi) * math.pi * diameter_m * diameter_m / 4.0


def tonnes_force(newtons: float) -> float:
    """Newtons as the weight of so many tonnes: 1 t = 9806.65 N."""
    return newtons / (1000.0 * STANDARD_GRAVITY)


def energy_kj(psi: float, litres: float) -> float:
    """Energy in kJ that air at this gauge pressure stores in a space of `litres`, as if let out without loss of heat:
    E = 2.5 Pat V (1 - (Pa / Pat)^0.286), Pat the absolute test pressure, Pa = 101 kPa (ASME PCC-2, Article 5.1,
    Mandatory Appendix II, equation II-2)."""
    volume_m3 = within(litres, 0.0, 100_000.0, "volume", "L") / 1000.0
    absolute = gauge_pascals(psi) + ATMOSPHERE_PA
    return 2.5 * absolute * volume_m3 * (1.0 - math.pow(ATMOSPHERE_PA / absolute, 0.286)) / 1000.0
