"""Published figures of spirit, casks and air: each row with its tolerance, its source and how that source was read.

Standing of a row: "print", read in the source or an official copy; "copy", read in a secondary copy; "memory", from
memory; "own", arithmetic from the formula itself, a regression value and no proof of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

import pytest

from caskbook.gauging.density import density
from caskbook.gauging.duty import (
    counted_strength,
    litres_pure_alcohol,
    us_gallons_as_labelled,
    us_proof_gallons,
)
from caskbook.gauging.pressure import energy_kj, thrust_n
from caskbook.gauging.proof import (
    hydrometer_proof,
    hydrometer_proof_by_table,
    mass_fraction_of_us_proof,
    uk_proof_spirit_abv,
)
from caskbook.gauging.strength import density_of_abv, mass_fraction_of_volume_percent
from caskbook.gauging.units.constants import (
    KG_PER_POUND,
    LITRES_PER_UK_GALLON,
    LITRES_PER_US_GALLON,
    SIXTY_F,
    celsius,
)
from caskbook.gauging.volume import Dimensions, at_dip, capacity_l, r138_class_b_l
from caskbook.gauging.volume20 import mass_of_weight_in_air

Standing = Literal["print", "copy", "memory", "own"]


@dataclass(frozen=True)
class Row:
    what: str
    computed: Callable[[], float | Decimal]
    published: float | Decimal
    tolerance: float | Decimal
    source: str
    standing: Standing


def kg_m3(percent_mass: float, temp_c: float) -> Callable[[], float]:
    return lambda: density(percent_mass / 100.0, temp_c)


def at_20(abv: float) -> Callable[[], float]:
    return lambda: density_of_abv(abv, 20.0)


def percent_mass_at_60f(percent_vol: float) -> Callable[[], float]:
    return lambda: 100.0 * mass_fraction_of_volume_percent(percent_vol, SIXTY_F)


def true_proof(indicated: float, temp_f: float) -> Callable[[], float]:
    return lambda: hydrometer_proof(indicated, temp_f)


def factor_to_60f(proof: float, temp_f: float) -> float:
    """What Table 7 tabulates."""
    mass_fraction = mass_fraction_of_us_proof(proof)
    return density(mass_fraction, celsius(temp_f)) / density(mass_fraction, SIXTY_F)


def gallons_per_pound(mass_fraction: float) -> float:
    """Wine gallons at 60 °F that weigh one pound on a scale in air."""
    rho = density(mass_fraction, SIXTY_F)
    return mass_of_weight_in_air(KG_PER_POUND, rho) / rho * 1000.0 / LITRES_PER_US_GALLON


def at_proof(proof: float) -> Callable[[], float]:
    return lambda: gallons_per_pound(mass_fraction_of_us_proof(proof))


R22, R22_TABLE = "OIML R 22 (1975), formula", "OIML R 22 (1975), tables"
PERRY = "Perry's Chemical Engineers' Handbook, 7th ed., densities of aqueous ethanol"
USP = "USP 29 alcoholometric table, after Bulletin of the Bureau of Standards 9, 424"
GAUGING = "27 CFR 30.61, Table 1"

SPIRIT = [
    Row("water at 20 °C, kg/m³", kg_m3(0, 20), 998.20, 0.005, R22, "copy"),
    Row("ethanol at 20 °C, kg/m³", kg_m3(100, 20), 789.24, 0.005, R22, "copy"),
    Row("ethanol at 40 °C, kg/m³", kg_m3(100, 40), 771.93, 0.005, R22, "copy"),
    Row("50 % mass at 20 °C, kg/m³", kg_m3(50, 20), 913.77, 0.005, R22_TABLE, "copy"),
    Row("ethanol at 0 °C, kg/m³", kg_m3(100, 0), 806.22, 0.005, R22_TABLE, "copy"),
    Row("water at 0 °C, kg/m³", kg_m3(0, 0), 999.84, 0.005, R22_TABLE, "copy"),
    *(
        Row(f"{abv} % vol at 20 °C, kg/m³", at_20(abv), published, 0.0051, R22_TABLE, "copy")
        for abv, published in (
            (10, 984.71), (20, 973.56), (30, 962.21), (40, 948.05), (50, 930.14), (60, 909.11), (70, 885.56),
            (80, 859.27), (90, 829.18), (95, 811.38), (96, 807.42), (100, 789.24),
        )
    ),
    *(
        Row(f"{p} % mass at 20 °C, g/mL", lambda p=p: density(p / 100, 20) / 1000, published, 6e-5, PERRY, "copy")
        for p, published in ((1, 0.99636), (5, 0.98938), (10, 0.98187), (12, 0.97910))
    ),
    *(
        Row(f"% mass of {v} % vol at 15.56 °C", percent_mass_at_60f(v), published, 0.006, USP, "copy")
        for v, published in ((5, 4.00), (10, 8.05), (20, 16.27), (30, 24.67))
    ),
    Row("hydrometer 80 at 68 °F", true_proof(80, 68), 76.4, 0.06, GAUGING, "print"),
    Row("hydrometer 81 at 68 °F", true_proof(81, 68), 77.4, 0.06, GAUGING, "print"),
    Row("hydrometer 80 at 69 °F", true_proof(80, 69), 76.0, 0.06, GAUGING, "print"),
    Row("hydrometer 193 at 75 °F", true_proof(193, 75), 189.5, 0.06, GAUGING, "print"),
    Row("hydrometer 193 at 72 °F", true_proof(193, 72), 190.2, 0.06, "27 CFR 30.23, cells of the example", "print"),
    Row("hydrometer 192 at 72 °F", true_proof(192, 72), 189.1, 0.06, "27 CFR 30.23, cells of the example", "print"),
    Row("hydrometer 192 at 73 °F", true_proof(192, 73), 188.9, 0.06, "27 CFR 30.23, cells of the example", "print"),
    Row("volume factor, 115 proof at 68 °F", lambda: factor_to_60f(115, 68), 0.996, 0.0005, "27 CFR 30.25", "print"),
    Row("volume factor, 86.8 proof at 72 °F", lambda: factor_to_60f(86.8, 72), 0.995, 0.0005, "27 CFR 30.51", "print"),
    Row(
        "proof gallons of 4308.48 wine gallons at 72 °F, 86.8 proof",
        lambda: float(us_proof_gallons(4308.48 * factor_to_60f(86.8, 72), "86.8")), 3721.1, 3721.1 * 0.0006,
        "27 CFR 30.51, worked example", "print",
    ),
    Row("wine gallons a pound, 190 proof", at_proof(190), 0.14718, 0.14718 * 2e-4, "27 CFR 30.64, Table 4", "print"),
    Row(
        "proof gallons a pound, 190 proof", lambda: 1.9 * at_proof(190)(), 0.27964, 0.27964 * 2e-4,
        "27 CFR 30.64, Table 4", "print",
    ),
    Row(
        "proof gallons a pound, 200 proof", lambda: 2.0 * at_proof(200)(), 0.30258, 0.30258 * 2e-4,
        "27 CFR 30.64, second example", "print",
    ),
    Row(
        "wine gallons a pound, water at 60 °F", lambda: gallons_per_pound(0.0), 0.120074, 0.120074 * 5e-5,
        "27 CFR 30.41(b)", "print",
    ),
    Row(
        "pounds a gallon in air, 192 proof", lambda: 1.0 / at_proof(192)(), 67.63 / 10, 0.003,
        "27 CFR 30.44, weight of 10 wine gallons (67.63 lb)", "print",
    ),
    Row("US gallons in 1 L", lambda: us_gallons_as_labelled(1), Decimal("0.264172"), 0, "TTB conversion tables", "print"),
    Row(
        "US gallons in a case of 9.00 L", lambda: us_gallons_as_labelled("9.00"), Decimal("2.377548"), 0,
        "TTB conversion tables", "print",
    ),
    Row(
        "7.59 % vol for duty", lambda: counted_strength("7.59", ["strength-down-0.1"]), Decimal("7.5"), 0,
        "HMRC Alcoholic products technical guide, section 11", "print",
    ),
    Row(
        "litres of alcohol in 100 cases of 12 × 0.70 L at 40 %",
        lambda: litres_pure_alcohol(100 * 12 * Decimal("0.70"), 40), Decimal(336), 0, "HMRC HMEXSH5030", "print",
    ),
    # The rule is that of the Alcoholic Liquor Duties Act 1979, section 2 as enacted (print): 12/13 of the weight of an
    # equal volume of water, both at 51 °F. The figure in % vol at 20 °C is our own arithmetic.
    Row("UK proof spirit, % vol at 20 °C", uk_proof_spirit_abv, 57.145, 0.01, "Act of 1979, s. 2; figure own", "own"),
]  # fmt: skip

INCH3_PER_L = 25.4**3 / 1e6
OLD_IMPERIAL_L = 277.274 * INCH3_PER_L
ALE_GALLON_L = 282.0 * INCH3_PER_L
BUILDER = "Builder-Mechanic, table of capacities of casks"
SCALE = 100.0


def unit_cask(ratio: float, shape: str) -> Callable[[], float]:
    """Gallons of 277.274 in³ in a cask of bung and length one inch: worked a hundred times as large, as 1 in is below
    the smallest cask taken."""
    side = SCALE * 25.4
    return lambda: capacity_l(Dimensions(side, ratio * side, side, shape)) / OLD_IMPERIAL_L / SCALE**3  # type: ignore[arg-type]


def inches(bung: float, head: float, length: float) -> Dimensions:
    return Dimensions(bung * 25.4, head * 25.4, length * 25.4)


DOCK = inches(31.3, 22.7, 49.7)
DOCK_SOURCE = "19th-century dock gauging manual, worked example"
EIGHTH, R138 = "Encyclopaedia Britannica, early edition, gauging rod", "OIML R 138:2007, 5.1.3"

CASKS = [
    *(
        Row(f"unit cask, d/D {ratio}, {shape}, gallons", unit_cask(ratio, shape), published, 6e-8, BUILDER, "print")
        for ratio, row in (
            (0.50, (0.0021244, 0.0020300, 0.0017704, 0.0016523)),
            (0.70, (0.0023510, 0.0023170, 0.0021103, 0.0020678)),
            (0.80, (0.0024927, 0.0024776, 0.0023227, 0.0023038)),
        )
        for shape, published in zip(("spheroid", "parabolic", "paraboloid", "cone"), row, strict=True)
    ),
    # The printed example multiplies three-figure readings off a scale, so it is met to its own working, 0.01 gallon.
    Row(
        "D 25, d 22, L 32.06 in, ale gallons", lambda: capacity_l(inches(25, 22, 32.06)) / ALE_GALLON_L, 51.604, 0.01,
        EIGHTH, "print",
    ),
    Row(
        "the same by the formula, unrounded", lambda: capacity_l(inches(25, 22, 32.06)) / ALE_GALLON_L, 51.610, 0.0005,
        "formula", "own",
    ),
    Row(
        "content, imperial gallons, truncated as printed", lambda: math.floor(capacity_l(DOCK) / OLD_IMPERIAL_L), 116, 0,
        DOCK_SOURCE, "print",
    ),
    Row(
        "wet 30 in lying, truncated as printed",
        lambda: math.floor(at_dip(DOCK, wet_mm=30 * 25.4).litres / OLD_IMPERIAL_L), 115, 0, DOCK_SOURCE, "print",
    ),
    Row("content unrounded", lambda: capacity_l(DOCK) / OLD_IMPERIAL_L, 116.13, 0.005, "formula", "own"),
    Row(
        "ullage unrounded", lambda: at_dip(DOCK, wet_mm=30 * 25.4).litres / OLD_IMPERIAL_L, 115.46, 0.005,
        "integral", "own",
    ),
    Row("± litres, nominal 200 L, wood", lambda: r138_class_b_l(200), 2.0, 1e-12, R138, "print"),
    Row("± litres, nominal 10 L, wood", lambda: r138_class_b_l(10), 0.15, 1e-12, R138, "print"),
    Row(
        "imperial gallon, L", lambda: LITRES_PER_UK_GALLON, 4.54609, 0, "Weights and Measures Act 1985 (line)",
        "memory",
    ),
]  # fmt: skip

PCC2 = "ASME PCC-2, Article 5.1, Mandatory Appendix II, eq. II-2 (formula and Pa = 101 kPa read); figure own"
AIR = [
    Row("energy, kJ, 200 L at 12 psi", lambda: energy_kj(12, 200), 14.45, 0.005, PCC2, "own"),
    Row("energy, kJ, 200 L at 10 psi", lambda: energy_kj(10, 200), 11.75, 0.005, PCC2, "own"),
    Row("thrust, N, 0.53 m at 12 psi", lambda: thrust_n(12, 530), 18253, 0.5, "F = p pi d²/4", "own"),
]


def rows(*tables: list[Row]) -> list[object]:
    return [pytest.param(row, id=f"{row.what} [{row.standing}]") for table in tables for row in table]


@pytest.mark.parametrize("row", rows(SPIRIT, CASKS, AIR))
def test_published_figure(row: Row) -> None:
    off = abs(row.computed() - row.published)  # type: ignore[operator]
    assert off <= row.tolerance, f"{row.what}: {row.computed()} against {row.published} ({row.source})"


def test_precision_hydrometer_example_by_the_printed_interpolation() -> None:
    """27 CFR 30.23 (print): reads 192.85 at 72.10 °F, corrections -0.03 and +0.05; 189.972, so 190.0 proof."""
    proof = hydrometer_proof_by_table(Decimal("192.85") - Decimal("0.03"), Decimal("72.10") + Decimal("0.05"))
    assert proof == Decimal("189.972")
    assert proof.quantize(Decimal("0.1"), ROUND_HALF_UP) == Decimal("190.0")


def test_precision_hydrometer_example_straight_from_densities() -> None:
    """The same example without the table: the formula itself gives 190.0 to the tenth."""
    assert round(hydrometer_proof(192.85 - 0.03, 72.10 + 0.05), 1) == 190.0


def test_interpolation_example_of_the_bureau() -> None:
    """TTB proofing page, interpolation table (print): 80.32 at 68.36 °F is 76.4 + 0.32 × 1.0 - 0.36 × 0.4 = 76.576."""
    assert hydrometer_proof_by_table(Decimal("80.32"), Decimal("68.36")) == Decimal("76.576")


def test_bulk_example_with_its_own_rounded_factor() -> None:
    """27 CFR 30.51 (print): 48.96 × 88 × 0.995 = 4286.94 (rounded there), × 0.868 = 3721.06392 = 3721.1."""
    assert us_proof_gallons("4286.94", "86.8") == Decimal("3721.06392")
    assert us_proof_gallons("4286.94", "86.8", ["us-tenth"]) == Decimal("3721.1")


def test_quarter_rule_agrees_only_in_the_middle() -> None:
    """Builder-Mechanic (print): 118.80 gal, bung 32; wet 15 and 17 by the quarter rule 54.759375 and 64.040625. The rule
    is a chord to the true curve: near half full it agrees with the integral for that book's cask (head 24, length 40)
    to 0.5 % of capacity, and at 0.95 wet it gives more than the cask holds, which the integral cannot."""

    def quarter_rule(share: float) -> float:
        return 118.80 * (share + (share - 0.5) / 4.0)

    assert quarter_rule(15 / 32) == pytest.approx(54.759375, abs=1e-9)
    assert quarter_rule(17 / 32) == pytest.approx(64.040625, abs=1e-9)
    book_cask = inches(32, 24, 40)
    for wet, printed in ((15, 54.759375), (17, 64.040625)):
        assert at_dip(book_cask, wet_mm=wet * 25.4, measured_l=118.80).litres == pytest.approx(printed, abs=0.005 * 118.8)
    assert quarter_rule(0.95) > 118.80
    assert at_dip(book_cask, wet_mm=0.95 * 32 * 25.4, measured_l=118.80).litres < 118.80


def test_tenth_rule_for_a_standing_cask() -> None:
    """Builder-Mechanic (print): length 40, 118.80 gal, 21 wet inches standing: 62.667 by its tenth rule; the integral of
    the same cask agrees to 0.3 % of capacity."""
    dip = at_dip(inches(32, 24, 40), wet_mm=21 * 25.4, stance="standing", measured_l=118.80)
    assert dip.litres == pytest.approx(62.667, abs=0.003 * 118.8)


def test_every_row_names_its_source_and_own_figures_are_marked() -> None:
    for row in SPIRIT + CASKS + AIR:
        assert row.source
        assert row.standing in ("print", "copy", "memory", "own")
        assert (row.standing == "own") == ("own" in row.source or row.source in ("formula", "integral", "F = p pi d²/4"))
