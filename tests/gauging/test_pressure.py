"""Air under test: units, thrust and stored energy against first principles."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.domain import DomainError
from caskbook.gauging.pressure import ATMOSPHERE_PA, converted, energy_kj, thrust_n, tonnes_force


def test_units_of_pressure() -> None:
    """1 psi = 6894.757 Pa and 1 bar = 14.5038 psi: NIST SP 811, Appendix B (from memory)."""
    assert converted(1, "psi", "kPa") == pytest.approx(6.894757, abs=5e-7)
    assert converted(1, "bar", "psi") == pytest.approx(14.5038, abs=5e-5)
    assert converted(100, "kPa", "bar") == 1.0


@given(st.floats(0.0, 1000.0), st.sampled_from(["psi", "bar", "kPa"]), st.sampled_from(["psi", "bar", "kPa"]))
def test_there_and_back(value: float, one: str, other: str) -> None:
    there = converted(value, one, other)  # type: ignore[arg-type]
    assert converted(there, other, one) == pytest.approx(value)  # type: ignore[arg-type]


def test_the_caution_in_figures() -> None:
    """12 psi: nearly two tonnes on a head of 0.53 m, 32 kN on one of 0.70 m (own)."""
    assert tonnes_force(thrust_n(12, 530)) == pytest.approx(1.86, abs=0.005)
    assert thrust_n(12, 700) / 1000 == pytest.approx(31.84, abs=0.005)


def test_no_pressure_no_thrust_no_energy() -> None:
    assert thrust_n(0, 530) == 0.0
    assert energy_kj(0, 200) == 0.0
    assert energy_kj(12, 0) == 0.0


@given(st.floats(0.1, 100.0), st.floats(1.0, 700.0))
def test_energy_is_the_work_of_letting_the_air_out(psi: float, litres: float) -> None:
    """The internal energy air gives up from Pat to Pa without loss of heat, k = 1.4, 1/(k-1) = 2.5, (k-1)/k = 0.2857,
    which the code of practice rounds to 0.286: within 0.2 %."""
    absolute = converted(psi, "psi", "kPa") * 1000 + ATMOSPHERE_PA
    ideal = absolute * litres / 1000 / 0.4 * (1 - (ATMOSPHERE_PA / absolute) ** (0.4 / 1.4)) / 1000
    assert energy_kj(psi, litres) == pytest.approx(ideal, rel=2e-3)


@pytest.mark.parametrize("psi", [-1.0, 1001.0, math.nan, math.inf])
def test_impossible_pressures_are_refused(psi: float) -> None:
    with pytest.raises(DomainError, match="pressure"):
        thrust_n(psi, 530)


def test_unknown_unit_is_refused() -> None:
    with pytest.raises(DomainError, match="pressure unit 'atm' is none of psi, bar, kPa"):
        converted(1, "atm", "psi")  # type: ignore[arg-type]
