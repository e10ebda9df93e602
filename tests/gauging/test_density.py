"""Density of ethanol-water mixtures: its inverse over the whole domain, its limits, and independent equations of state."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.density import ETHANOL_20, density, mass_fraction_at
from caskbook.gauging.domain import DomainError
from gauging.others import ETHANOL_C, MIXTURES, WATER_C, kept

FRACTIONS = st.floats(0.0, 1.0)
TEMPS = st.floats(-20.0, 40.0)


@given(FRACTIONS, TEMPS)
def test_round_trip_over_the_whole_domain(mass_fraction: float, temp_c: float) -> None:
    assert mass_fraction_at(density(mass_fraction, temp_c), temp_c) == pytest.approx(mass_fraction, abs=1e-9)


def test_density_falls_strictly_with_alcohol_at_every_temperature() -> None:
    """Without this the inverse would not be a function; the gentlest slope is about 6 kg/m³ for the whole fraction."""
    for temp_c in range(-20, 41):
        column = [density(k / 400, temp_c) for k in range(401)]
        assert all(later < earlier for earlier, later in zip(column, column[1:], strict=False))


@pytest.mark.parametrize(
    ("mass_fraction", "temp_c", "said"),
    [
        (0.5, 40.01, r"temperature 40.01 °C is outside -20 to 40 °C \(OIML R 22\)"),
        (0.5, 145, r"temperature 145 °C is outside -20 to 40 °C \(OIML R 22\)"),
        (0.5, -21, "temperature -21 °C is outside -20 to 40 °C"),
        (0.5, math.nan, "temperature not a number is outside -20 to 40 °C"),
        (0.5, -math.inf, "temperature -infinity is outside"),
        (1.001, 20, r"mass fraction of alcohol 1.001 is outside 0 to 1 \(OIML R 22\)"),
        (-0.001, 20, "mass fraction of alcohol -0.001 is outside 0 to 1"),
    ],
)
def test_outside_the_domain_the_limit_is_named(mass_fraction: float, temp_c: float, said: str) -> None:
    with pytest.raises(DomainError, match=said):
        density(mass_fraction, temp_c)


@pytest.mark.parametrize("rho", [789.0, 998.3, 0.93014, math.nan, 1e300])
def test_a_density_no_mixture_has_is_refused_with_both_limits(rho: float) -> None:
    with pytest.raises(DomainError, match=r"is outside 789.24 \(alcohol\) to 998.20 \(water\) at 20 °C") as caught:
        mass_fraction_at(rho, 20.0)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 110


def test_the_ends_of_the_scale_are_exact() -> None:
    assert mass_fraction_at(ETHANOL_20, 20.0) == 1.0
    assert mass_fraction_at(density(0.0, 20.0), 20.0) == 0.0


def test_water_against_the_international_equation_of_state() -> None:
    """IAPWS-95, 1 to 40 °C: within 0.01 kg/m³."""
    for t, other in zip(WATER_C, kept("water"), strict=True):
        assert density(0.0, t) == pytest.approx(other, abs=0.01)


def test_ethanol_against_its_equation_of_state() -> None:
    """An equation of state for pure ethanol, -20 to 40 °C: within 0.3 kg/m³, its own uncertainty being about 0.2 %."""
    for t, other in zip(ETHANOL_C, kept("ethanol"), strict=True):
        assert density(1.0, t) == pytest.approx(other, abs=0.3)


def test_mixtures_against_data_of_another_hand() -> None:
    """Melinder's ethanol-water data, 5 to 60 % mass, 0 to 40 °C: within 0.5 kg/m³, so no cross coefficient of the
    formula can be off by much."""
    for (share, t), other in zip(MIXTURES, kept("mixtures"), strict=True):
        assert density(share, t) == pytest.approx(other, abs=0.5)
