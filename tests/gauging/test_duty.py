"""Litres of pure alcohol and proof gallons: decimal throughout, the rules one by one, and no binary surprises."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.domain import DomainError
from caskbook.gauging.duty import (
    ROUNDINGS,
    as_decimal,
    counted_strength,
    litres_pure_alcohol,
    measured_lpa,
    uk_proof_gallons,
    us_proof_gallons,
    us_proof_gallons_at_20,
)
from caskbook.gauging.proof import uk_proof_spirit_abv

LITRES = st.decimals("0", "700", places=3)
ABV = st.decimals("0", "100", places=2)


@given(LITRES, ABV)
def test_unrounded_it_is_the_exact_product(litres: Decimal, abv: Decimal) -> None:
    assert Fraction(litres_pure_alcohol(litres, abv)) == Fraction(litres) * Fraction(abv) / 100


@given(LITRES, ABV)
def test_rounding_down_never_adds_and_never_takes_a_whole_step(litres: Decimal, abv: Decimal) -> None:
    exact = litres_pure_alcohol(litres, abv)
    cut = litres_pure_alcohol(litres, abv, ["lpa-down-0.01"])
    assert 0 <= exact - cut < Decimal("0.01")
    assert cut == cut.quantize(Decimal("0.01"))
    assert 0 <= abv - counted_strength(abv, ["strength-down-0.1"]) < Decimal("0.1")


def test_both_rules_together_cut_the_strength_first() -> None:
    """201.37 L at 63.57 %: 63.5 % counts, 127.86995 L, of which 127.86."""
    assert litres_pure_alcohol("201.37", "63.57", ["lpa-down-0.01", "strength-down-0.1"]) == Decimal("127.86")
    assert litres_pure_alcohol("201.37", "63.57", ["strength-down-0.1"]) == Decimal("127.86995")


def test_none_is_a_rule_that_does_nothing() -> None:
    assert litres_pure_alcohol(200, "63.57", ["none"]) == Decimal("127.14")


@pytest.mark.parametrize(
    ("litres", "abv", "lpa"),
    [(0.29, 100, "0.29"), (100, 0.29, "0.29"), (1.1, 1.1, "0.0121"), (4.35, 100, "4.35")],
)
def test_floats_are_taken_as_typed(litres: float, abv: float, lpa: str) -> None:
    assert litres_pure_alcohol(litres, abv) == Decimal(lpa)
    assert litres_pure_alcohol(litres, abv, ["lpa-down-0.01"]) == Decimal(lpa).quantize(Decimal("0.01"), "ROUND_DOWN")


def test_noise_below_a_nanolitre_does_not_lose_a_hundredth() -> None:
    assert litres_pure_alcohol(335.99999999999994, 100, ["lpa-down-0.01"]) == Decimal("336.00")
    assert counted_strength(60.000000000000001, ["strength-down-0.1"]) == Decimal("60.0")
    assert counted_strength(59.99999999999999, ["strength-down-0.1"]) == Decimal("60.0")


def test_a_typed_decimal_is_never_touched() -> None:
    assert counted_strength(Decimal("59.9999999999999"), ["strength-down-0.1"]) == Decimal("59.9")


@given(st.lists(st.tuples(LITRES, ABV), min_size=1, max_size=30))
def test_a_sum_of_shown_figures_is_the_shown_sum(casks: list[tuple[Decimal, Decimal]]) -> None:
    shown = [litres_pure_alcohol(litres, abv, ["lpa-down-0.01"]) for litres, abv in casks]
    assert str(sum(shown)) == str(sum(Decimal(str(lpa)) for lpa in shown))
    assert sum(int(lpa * 100) for lpa in shown) == int(sum(shown) * 100)


def test_us_tenth_rounds_the_proof_first_then_the_gallons() -> None:
    """27 CFR 30.31: the proof to the nearest tenth is the proof used; 100 gal at 189.972 count as 190.0."""
    assert us_proof_gallons(100, "189.972", ["us-tenth"]) == Decimal("190.0")
    assert us_proof_gallons(100, "189.95", ["us-tenth"]) == Decimal("190.0")
    assert us_proof_gallons(100, "189.949", ["us-tenth"]) == Decimal("189.9")


def test_measured_volume_is_brought_to_20_first() -> None:
    """Own: 200 L of 63.5 % at 12 °C hold 127.906 L of pure alcohol (a regression value); at 20 °C 127."""
    assert measured_lpa(200, 63.5, None) == Decimal("127")
    assert float(measured_lpa(200, 63.5, 12)) == pytest.approx(127.906, abs=0.001)


def test_proof_gallons_from_litres_go_by_way_of_60f() -> None:
    """Alcohol shrinks from 20 °C to 60 °F by 0.48 %, and so do its proof gallons against the short cut of twice the % vol."""
    short_cut = 200 * 0.264172 * 2 * 0.635
    assert float(us_proof_gallons_at_20(200, 63.5)) == pytest.approx(short_cut * (1 - 0.00478), rel=1e-4)


def test_uk_proof_gallons_of_proof_spirit_are_its_gallons() -> None:
    assert uk_proof_gallons(4.54609, uk_proof_spirit_abv()) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("litres", "abv", "said"),
    [
        (-1, 40, "volume -1 L is outside 0 to"),
        (1, 101, "strength 101 % vol is outside 0 to 100 % vol"),
        ("x", 40, "'x' is not a number"),
        (float("nan"), 40, "not a finite number"),
        ("Infinity", 40, "not a finite number"),
        ("1e400", 40, "outside -10\\^15 to 10\\^15"),
    ],
)
def test_impossible_amounts_are_refused(litres: object, abv: object, said: str) -> None:
    with pytest.raises(DomainError, match=said):
        litres_pure_alcohol(litres, abv)  # type: ignore[arg-type]


def test_an_unknown_rule_is_refused_with_the_known_ones() -> None:
    with pytest.raises(DomainError, match="rounding 'up' is none of none, strength-down-0.1, lpa-down-0.01, us-tenth"):
        counted_strength(40, ["up"])  # type: ignore[list-item]
    assert len(ROUNDINGS) == 4


def test_as_decimal_keeps_what_was_typed() -> None:
    assert str(as_decimal(0.1)) == "0.1"
    assert str(as_decimal("63.50")) == "63.50"
    assert as_decimal(7) == 7
