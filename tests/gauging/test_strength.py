"""Strength: conversions there and back over the whole scale, and the glass alcoholometer with its limits."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from caskbook.gauging.density import density, mass_fraction_at
from caskbook.gauging.domain import DomainError
from caskbook.gauging.strength import (
    GLASS_PER_C,
    abv_of_density,
    abv_of_mass_percent,
    alcoholometer_abv,
    density_of_abv,
    mass_fraction_of_abv,
    mass_percent_of_abv,
    scale_ends,
    volume_percent,
)
from caskbook.gauging.units.constants import SIXTY_F

PERCENT = st.floats(0.0, 100.0)
TEMPS = st.floats(-20.0, 40.0)


@given(PERCENT)
def test_volume_to_mass_and_back(abv: float) -> None:
    assert abv_of_mass_percent(mass_percent_of_abv(abv)) == pytest.approx(abv, abs=1e-6)


@given(PERCENT)
def test_mass_to_volume_and_back(mass_percent: float) -> None:
    assert mass_percent_of_abv(abv_of_mass_percent(mass_percent)) == pytest.approx(mass_percent, abs=1e-6)


@given(PERCENT, TEMPS)
def test_strength_to_density_and_back(abv: float, temp_c: float) -> None:
    assert abv_of_density(density_of_abv(abv, temp_c), temp_c) == pytest.approx(abv, abs=1e-6)


def test_pure_water_and_pure_alcohol_are_exact() -> None:
    assert mass_percent_of_abv(0) == 0.0
    assert mass_percent_of_abv(100) == 100.0
    assert abv_of_mass_percent(100) == 100.0


@given(st.floats(0.0, 1.0), TEMPS, st.sampled_from([20.0, SIXTY_F]))
def test_alcoholometer_undoes_what_the_spirit_would_show(mass_fraction: float, temp_c: float, marked_at: float) -> None:
    """Make the reading from the physics, read it back: the density shown by the glass is that of the spirit."""
    shown = density(mass_fraction, temp_c) / (1.0 - GLASS_PER_C * (temp_c - marked_at))
    assume(density(1.0, marked_at) <= shown <= density(0.0, marked_at))
    reading = volume_percent(mass_fraction_at(shown, marked_at), marked_at)
    true = alcoholometer_abv(reading, temp_c, marked_at)
    assert mass_fraction_of_abv(true) == pytest.approx(mass_fraction, abs=1e-8)


@given(PERCENT)
def test_at_the_marked_temperature_the_reading_is_the_strength(indicated: float) -> None:
    assert alcoholometer_abv(indicated, 20.0) == pytest.approx(indicated, abs=1e-6)


def test_cold_spirit_reads_weak_and_warm_spirit_reads_strong() -> None:
    assert alcoholometer_abv(50, 10) == pytest.approx(53.669, abs=0.001)  # own: a regression value
    assert alcoholometer_abv(40, 25) == pytest.approx(37.993, abs=0.001)  # own: a regression value


def test_an_instrument_for_60f_reads_volume_at_60f() -> None:
    """At 60 °F it shows % vol at 60 °F, a little under % vol at 20 °C: 50 there is 50.06 here (own)."""
    assert alcoholometer_abv(50, SIXTY_F, marked_at_c=SIXTY_F) == pytest.approx(50.06, abs=0.015)


@pytest.mark.parametrize(
    ("reading", "temp_c", "said"),
    [
        (100, -20, r"reading 100 % vol is outside 3.89 \(water\) to 92.02 \(alcohol\) at -20 °C"),
        (0, 40, r"reading 0 % vol is outside 3.79 \(water\) to 100.00 \(alcohol\) at 40 °C"),
        (101, 20, "strength 101 % vol is outside 0 to 100 % vol"),
        (50, 145, "temperature 145 °C is outside -20 to 40 °C"),
    ],
)
def test_a_reading_nothing_gives_is_refused(reading: float, temp_c: float, said: str) -> None:
    with pytest.raises(DomainError, match=said):
        alcoholometer_abv(reading, temp_c)


@given(TEMPS)
def test_the_ends_of_the_scale_are_readable(temp_c: float) -> None:
    water, alcohol = scale_ends(temp_c, 20.0, GLASS_PER_C)
    assert 0.0 <= water < 8.0
    assert 90.0 < alcohol <= 100.0
    assert 0.0 <= alcoholometer_abv(water, temp_c) < 20.0
    assert 80.0 < alcoholometer_abv(alcohol, temp_c) <= 100.0
