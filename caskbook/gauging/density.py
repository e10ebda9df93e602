"""Density of ethanol-water mixtures: the general formula of OIML R 22 (1975), which is also that of the Annex to Council
Directive 76/766/EEC, and its inverse."""

from __future__ import annotations

from functools import lru_cache

from caskbook.gauging.domain import DomainError, inward, plain, within
from caskbook.gauging.roots import root

COLDEST_C = -20.0
HOTTEST_C = 40.0
SOURCE = "OIML R 22"
SLACK = 1e-9
"""Binary noise, in kg/m³, forgiven at either end of the scale."""

_A = (
    998.2012300, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042, -613838.1234,
    747017.2998, -547846.1354, 223446.0334, -39032.85426,
)  # fmt: skip
_B = (-0.20618513, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11)
_C = (
    (
        0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792, 3924.090430035045,
        -12101.64659068747, 22486.46550400788, -26055.62982188164, 18523.73922069467, -7420.201433430137,
        1285.617841998974,
    ),
    (
        -0.01193013005057010, 0.2517399633803461, -2.170575700536993, 13.53034988843029, -50.29988758547014,
        109.6355666577570, -142.2753946421155, 108.0435942856230, -44.14153236817392, 7.442971530188783,
    ),
    (
        -6.802995733503803e-4, 1.876837790289664e-2, -0.2002561813734156, 1.022992966719220, -2.895696483903638,
        4.810060584300675, -4.672147440794683, 2.458043105903461, -0.5411227621436812,
    ),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)  # fmt: skip


def _polynomial(coefficients: tuple[float, ...], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


@lru_cache(maxsize=1024)
def _collected(temp_c: float) -> tuple[float, ...]:
    """The formula at one temperature as coefficients of rising powers of the mass fraction."""
    t = temp_c - 20.0
    by_power = list(_A)
    by_power[0] += t * _polynomial(_B, t)
    for degree, row in enumerate(_C, start=1):
        for power, coefficient in enumerate(row, start=1):
            by_power[power] += coefficient * t**degree
    return tuple(by_power)


def checked_temp(temp_c: float) -> float:
    """The temperature in °C, refused outside -20 to 40 °C."""
    return within(temp_c, COLDEST_C, HOTTEST_C, "temperature", "°C", SOURCE)


def density(mass_fraction: float, temp_c: float) -> float:
    """Density in kg/m³, in vacuo, of a mixture with mass fraction 0 to 1 of ethanol at -20 to 40 °C (OIML R 22)."""
    within(mass_fraction, 0.0, 1.0, "mass fraction of alcohol", source=SOURCE)
    return _polynomial(_collected(checked_temp(temp_c)), mass_fraction)


def mass_fraction_at(density_kg_m3: float, temp_c: float) -> float:
    """Mass fraction, 0 to 1, of the mixture that has this density (kg/m³, in vacuo) at this temperature.

    The density falls strictly with the mass fraction at every temperature of the domain, so there is one answer; a
    density below that of pure alcohol or above that of water is refused with both limits named.
    """
    curve = _collected(checked_temp(temp_c))
    lightest, heaviest = _polynomial(curve, 1.0), _polynomial(curve, 0.0)
    if not lightest - SLACK <= density_kg_m3 <= heaviest + SLACK:
        ends = inward(lightest, heaviest, ("alcohol", "water"), 2)
        raise DomainError(f"density {plain(density_kg_m3)} kg/m³ is outside {ends} at {plain(temp_c)} °C")
    inside = min(max(density_kg_m3, lightest), heaviest)
    return root(lambda p: _polynomial(curve, p) - inside, 0.0, 1.0)


WATER_20 = density(0.0, 20.0)
ETHANOL_20 = density(1.0, 20.0)
"""789.24 kg/m³ as R 22 rounds it; the formula's own value is kept so that 100 % vol is 100 % mass exactly."""
