"""Proof: both scales there and back, the glass hydrometer, and what each refuses."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.density import density, mass_fraction_at
from caskbook.gauging.domain import DomainError
from caskbook.gauging.proof import (
    abv_of_uk_proof,
    abv_of_us_proof,
    hydrometer_proof,
    hydrometer_proof_by_table,
    uk_proof_of_abv,
    us_proof_of_abv,
)
from caskbook.gauging.strength import mass_fraction_of_abv


@given(st.floats(0.0, 200.0))
def test_us_proof_there_and_back(proof: float) -> None:
    assert us_proof_of_abv(abv_of_us_proof(proof)) == pytest.approx(proof, abs=1e-6)


@given(st.floats(0.0, 100.0))
def test_us_proof_is_twice_the_strength_but_for_the_temperature(abv: float) -> None:
    assert us_proof_of_abv(abv) == pytest.approx(2.0 * abv, abs=0.15)


@given(st.floats(0.0, 100.0))
def test_uk_proof_there_and_back(abv: float) -> None:
    assert abv_of_uk_proof(uk_proof_of_abv(abv)) == pytest.approx(abv, abs=1e-9)


def test_uk_proof_spirit_weighs_twelve_thirteenths_of_water() -> None:
    cold = (51 - 32) / 1.8
    assert density(mass_fraction_of_abv(abv_of_uk_proof(100)), cold) * 13 == pytest.approx(12 * density(0, cold), abs=1e-8)


def test_uk_proof_of_pure_alcohol() -> None:
    """Pure alcohol is 175 degrees proof, 75 over proof (common practice, as usually rounded)."""
    assert round(uk_proof_of_abv(100)) == 175
    assert uk_proof_of_abv(40) == pytest.approx(70.0, abs=0.05)


@given(st.floats(0.0, 200.0))
def test_at_60f_the_hydrometer_reads_true(proof: float) -> None:
    assert hydrometer_proof(proof, 60.0) == pytest.approx(proof, abs=1e-6)


@given(st.integers(20, 180), st.integers(20, 99))
def test_the_table_rule_stays_within_its_tenths(reading: int, temp_f: int) -> None:
    """Cells are rounded to 0.05 each; between them the rule may be off by three such roundings and the curve's bend."""
    by_table = hydrometer_proof_by_table(Decimal(reading) + Decimal("0.5"), Decimal(temp_f) + Decimal("0.5"))
    assert float(by_table) == pytest.approx(hydrometer_proof(reading + 0.5, temp_f + 0.5), abs=0.16)


def test_glass_matters_at_a_tenth() -> None:
    """Without the glass term 80 at 68 °F would be 76.27, which the printed 76.4 rules out."""
    assert hydrometer_proof(80, 68, glass_per_c=0.0) == pytest.approx(76.272, abs=0.001)


@pytest.mark.parametrize(
    ("reading", "temp_f", "said"),
    [
        (200, 0, r"reading 200 proof is outside 6.8 \(water\) to 187.1 \(alcohol\) at 0 °F"),
        (100, 101, r"temperature 101 °F is outside 0 to 100 °F \(27 CFR 30.61\)"),
        (201, 60, "strength 201 US proof is outside 0 to 200 US proof"),
    ],
)
def test_a_reading_off_the_scale_is_refused(reading: float, temp_f: float, said: str) -> None:
    with pytest.raises(DomainError, match=said):
        hydrometer_proof(reading, temp_f)


def test_the_ends_named_in_a_refusal_are_accepted() -> None:
    assert hydrometer_proof(187.1, 0) == pytest.approx(200.0, abs=0.1)
    assert hydrometer_proof(6.8, 0) == pytest.approx(0.0, abs=0.1)


def test_uk_proof_beyond_pure_alcohol_is_refused() -> None:
    with pytest.raises(DomainError, match="strength 176 UK proof is outside 0 to 174.99"):
        abv_of_uk_proof(176)


def test_mass_fraction_of_the_density_in_the_gauging_rule() -> None:
    """27 CFR 30.11 defines proof spirit by alcohol of specific gravity 0.7939 at 60/60 °F (from memory): ours is 0.7938."""
    sixty = 28 / 1.8
    assert density(1.0, sixty) / density(0.0, sixty) == pytest.approx(0.7939, abs=1e-4)
    assert mass_fraction_at(density(0.5, sixty), sixty) == pytest.approx(0.5, abs=1e-9)
