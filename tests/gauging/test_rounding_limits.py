"""Halves are rounded as the law of each house says: up in the United States, cut in the United Kingdom."""

from __future__ import annotations

from decimal import Decimal

import pytest

from caskbook.gauging.duty import counted_strength, litres_pure_alcohol, us_proof_gallons


@pytest.mark.parametrize(
    ("gallons", "proof", "shown"), [("10.5", "10", "1.1"), ("11.5", "10", "1.2"), ("10.49", "10", "1.0"), ("100", "10.05", "10.1"), ("100", "10.15", "10.2")]
)
def test_us_tenths_are_rounded_half_up(gallons: str, proof: str, shown: str) -> None:
    # 27 CFR 30.23, 30.51
    assert us_proof_gallons(gallons, proof, ["us-tenth"]) == Decimal(shown)


def test_strength_and_alcohol_are_cut() -> None:
    # HMRC Alcoholic products technical guide, section 11: 7.59 counts as 7.5
    assert counted_strength("7.59", ["strength-down-0.1"]) == Decimal("7.5")
    assert litres_pure_alcohol("99.99", "9.99", ["lpa-down-0.01"]) == Decimal("9.98")
