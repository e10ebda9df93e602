"""Volume to 20 °C and weight: mass is conserved, the two directions undo each other, air is accounted for."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.domain import DomainError
from caskbook.gauging.strength import abv_of_mass_fraction, density_of_abv
from caskbook.gauging.volume20 import (
    kg_of_litres,
    litres_20_of_kg,
    litres_at,
    litres_at_20,
    mass_of_weight_in_air,
    us_gallons_at_60f,
    volume_factor,
)
from gauging.others import MIXTURES, kept

ABV = st.floats(0.0, 100.0)
TEMPS = st.floats(-20.0, 40.0)
LITRES = st.floats(0.0, 700.0)


@given(LITRES, ABV, TEMPS)
def test_to_20_and_back(litres: float, abv: float, temp_c: float) -> None:
    assert litres_at(litres_at_20(litres, abv, temp_c), abv, temp_c) == pytest.approx(litres, abs=1e-9, rel=1e-12)


@given(LITRES, ABV, TEMPS)
def test_mass_does_not_change_with_temperature(litres: float, abv: float, temp_c: float) -> None:
    warm = kg_of_litres(litres, abv, temp_c)
    assert kg_of_litres(litres_at_20(litres, abv, temp_c), abv) == pytest.approx(warm, abs=1e-9, rel=1e-9)


@given(st.floats(0.0, 600.0), ABV, st.booleans())
def test_weight_to_litres_and_back(kg: float, abv: float, in_air: bool) -> None:
    assert kg_of_litres(litres_20_of_kg(kg, abv, in_air), abv, 20.0, in_air) == pytest.approx(kg, abs=1e-9, rel=1e-12)


def test_a_scale_in_air_shows_about_a_tenth_of_a_per_cent_less() -> None:
    """Buoyancy: 160 kg shown by a scale is 160.19 kg of 60 % spirit (own: 1.2 / 909 less 1.2 / 8000)."""
    assert mass_of_weight_in_air(160, density_of_abv(60)) == pytest.approx(160 * (1 + 1.2 / 909.1 - 1.2 / 8000), abs=1e-3)
    assert litres_20_of_kg(160, 60, in_air=True) > litres_20_of_kg(160, 60)


def test_weighing_cold_spirit_moves_the_answer_by_next_to_nothing() -> None:
    assert litres_20_of_kg(160, 60, in_air=True, temp_c=0) == pytest.approx(litres_20_of_kg(160, 60, in_air=True), rel=5e-5)


def test_cold_spirit_fills_out_at_20() -> None:
    """200 L of 63.5 % at 12 °C: own, a regression value."""
    assert litres_at_20(200, 63.5, 12) == pytest.approx(201.4266, abs=0.0001)
    assert us_gallons_at_60f(200, 63.5) == pytest.approx(52.6247, abs=0.0001)


def test_the_swelling_agrees_with_data_of_another_hand() -> None:
    """Melinder's ethanol-water data give the same factor from 10 to 20 °C to 2 in 10 000."""
    data = dict(zip(MIXTURES, kept("mixtures"), strict=True))
    for share in (0.25, 0.4, 0.5, 0.55):
        abv = abv_of_mass_fraction(share)
        assert volume_factor(abv, 10, 20) == pytest.approx(data[share, 10] / data[share, 20], abs=2e-4)


@pytest.mark.parametrize("litres", [-1.0, math.nan, math.inf, 1e12])
def test_an_impossible_volume_is_refused(litres: float) -> None:
    with pytest.raises(DomainError, match="volume"):
        litres_at_20(litres, 60, 12)
