"""The cask as a vessel: closed formulas, ullage laws for every shape and stance, and two independent integrations."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.domain import DomainError
from caskbook.gauging.quadrature import integral, nodes
from caskbook.gauging.volume import (
    SHAPES,
    STANCES,
    Dimensions,
    at_dip,
    capacity_l,
    depth_mm,
    dip_table,
    fraction_at,
    r138_class_b_l,
    wet_mm_at,
)
from gauging.others import DIPS, kept

STANCE = st.sampled_from(STANCES)
SHARE = st.floats(0.0, 1.0)


@st.composite
def casks(draw: st.DrawFn) -> Dimensions:
    """Any cask from a straight one to one whose heads are a fifth of the bung."""
    bung = draw(st.floats(100.0, 2000.0))
    return Dimensions(bung, bung * draw(st.floats(0.2, 1.0)), draw(st.floats(100.0, 3000.0)), draw(st.sampled_from(SHAPES)))


def radius(cask: Dimensions, x: float) -> float:
    """The profile written down again for the tests, x from -L/2 to L/2: the definition of each shape."""
    wide, narrow = cask.bung_mm / 2, cask.head_mm / 2
    u = abs(x) / (cask.length_mm / 2)
    return {
        "spheroid": math.sqrt(wide**2 + (narrow**2 - wide**2) * u**2),
        "parabolic": wide + (narrow - wide) * u**2,
        "paraboloid": math.sqrt(wide**2 + (narrow**2 - wide**2) * u),
        "cone": wide + (narrow - wide) * u,
    }[cask.shape]


@given(casks(), STANCE)
def test_empty_half_and_full(cask: Dimensions, stance: str) -> None:
    depth = depth_mm(cask, stance)  # type: ignore[arg-type]
    assert at_dip(cask, wet_mm=0.0, stance=stance).litres == 0.0  # type: ignore[arg-type]
    assert at_dip(cask, wet_mm=depth, stance=stance).litres == capacity_l(cask)  # type: ignore[arg-type]
    assert fraction_at(cask, depth / 2, stance) == pytest.approx(0.5, abs=1e-9)  # type: ignore[arg-type]


@given(casks(), STANCE, SHARE, SHARE)
def test_more_depth_is_never_less_liquid(cask: Dimensions, stance: str, one: float, other: float) -> None:
    depth = depth_mm(cask, stance)  # type: ignore[arg-type]
    low, high = sorted((one, other))
    shallow, deep = (fraction_at(cask, s * depth, stance) for s in (low, high))  # type: ignore[arg-type]
    assert shallow <= deep + 1e-12
    if high - low > 1e-6 and low > 1e-3 and high < 1 - 1e-3:
        assert shallow < deep


@given(casks(), STANCE, SHARE)
def test_liquid_and_space_change_places_when_wet_and_dry_do(cask: Dimensions, stance: str, share: float) -> None:
    depth = depth_mm(cask, stance)  # type: ignore[arg-type]
    wet = at_dip(cask, wet_mm=share * depth, stance=stance)  # type: ignore[arg-type]
    dry = at_dip(cask, dry_mm=share * depth, stance=stance)  # type: ignore[arg-type]
    assert wet.litres == pytest.approx(dry.litres_space, abs=1e-9 * wet.capacity_l)
    assert wet.litres + wet.litres_space == pytest.approx(wet.capacity_l)
    assert wet.wet_mm + wet.dry_mm == pytest.approx(depth)


@given(casks(), STANCE, SHARE)
def test_dip_to_share_and_back(cask: Dimensions, stance: str, share: float) -> None:
    wet = wet_mm_at(cask, share, stance)  # type: ignore[arg-type]
    assert fraction_at(cask, wet, stance) == pytest.approx(share, abs=1e-9)  # type: ignore[arg-type]


@given(casks(), st.floats(0.01, 1.0))
def test_a_small_step_of_dip_adds_the_surface_times_the_step(cask: Dimensions, share: float) -> None:
    """The slope of the lying integral is the area of the liquid's surface, itself a plain integral of chord widths by
    the midpoint rule: an independent way to the same answer, to 2 in 1000 of the slope at half full."""
    wet = share * cask.bung_mm / 2
    step = cask.bung_mm * 1e-5
    slope = (fraction_at(cask, wet, "lying") - fraction_at(cask, wet - step, "lying")) / step
    level, n = cask.bung_mm / 2 - wet + step / 2, 4000
    xs = (cask.length_mm * ((k + 0.5) / n - 0.5) for k in range(n))
    surface = sum(2 * math.sqrt(max(0.0, radius(cask, x) ** 2 - level**2)) for x in xs) * cask.length_mm / n
    widest = cask.bung_mm * cask.length_mm
    assert slope * capacity_l(cask) * 1e6 == pytest.approx(surface, abs=2e-3 * widest)


@pytest.mark.parametrize("shape", SHAPES)
def test_capacity_is_the_integral_of_its_profile(shape: str) -> None:
    cask = Dimensions(660, 560, 840, shape)  # type: ignore[arg-type]
    volume = cask.length_mm * integral(lambda s: math.pi * radius(cask, s * cask.length_mm / 2) ** 2)
    assert capacity_l(cask) == pytest.approx(volume / 1e6, rel=1e-12)


RATIOS = (0.2, 0.5, 0.85, 0.999, 1.0)
FINE = [(shape, ratio) for shape in SHAPES for ratio in RATIOS]
USUAL = {(shape, RATIOS[n]) for n, shape in enumerate(SHAPES)} | {("spheroid", 0.85), ("cone", 1.0)}  # each shape, each ratio


@pytest.mark.thorough
@pytest.mark.parametrize(("shape", "ratio"), [one if one in USUAL else pytest.param(*one, marks=pytest.mark.slow) for one in FINE])
def test_lying_ullage_to_a_millionth_against_a_fine_sum(shape: str, ratio: float) -> None:
    """Slices of the circle summed by the midpoint rule over 20 000 of them, at dips around where the head is reached."""
    cask = Dimensions(660, 660 * ratio, 840, shape)  # type: ignore[arg-type]
    touch = (cask.bung_mm - cask.head_mm) / 2
    for wet in {1.0, touch / 2, touch - 0.1, touch + 0.1, (touch + 330) / 2, 329.0}:
        if 0.0 < wet <= 330.0:
            assert fraction_at(cask, wet) == pytest.approx(summed(cask, wet, 20_000) / capacity_l(cask), abs=1e-6)


def summed(cask: Dimensions, wet: float, n: int) -> float:
    level, total = cask.bung_mm / 2 - wet, 0.0
    for k in range(n):
        r = radius(cask, cask.length_mm / 2 * (k + 0.5) / n)
        if r > level:
            total += r * r * math.acos(level / r) - level * math.sqrt(r * r - level * level)
    return total * cask.length_mm / n / 1e6


def test_lying_ullage_against_adaptive_quadrature() -> None:
    """Over the surfaces from the bottom up, told where the head begins: to a millionth of the cask."""
    for (shape, ratio, wet), litres in zip(DIPS, kept("ullages"), strict=True):
        cask = Dimensions(660, 660 * ratio, 840, shape)
        assert fraction_at(cask, wet) == pytest.approx(litres / capacity_l(cask), abs=1e-9), (shape, ratio, wet)


def test_straight_cask_by_hand() -> None:
    """A cylinder lying: the segment formula; standing: in proportion."""
    drum = Dimensions(600, 600, 1000)
    quarter = (300**2 * math.acos(0.5) - 150 * math.sqrt(300**2 - 150**2)) / (math.pi * 300**2)
    assert fraction_at(drum, 150) == pytest.approx(quarter, abs=1e-12)
    assert fraction_at(drum, 123, "standing") == pytest.approx(0.123, abs=1e-12)


def test_standing_cone_by_hand() -> None:
    """Two cone frusta, 600 to 400 in 500: the lower half of the lower one is a frustum 400 to 500 in 250."""
    cask = Dimensions(600, 400, 1000, "cone")
    assert at_dip(cask, wet_mm=250, stance="standing").litres == pytest.approx(math.pi * 250 * (400**2 + 400 * 500 + 500**2) / 12 / 1e6, rel=1e-12)


def test_measured_capacity_takes_the_place_of_the_shape() -> None:
    cask = Dimensions(660, 560, 840)
    plain, scaled = at_dip(cask, wet_mm=400), at_dip(cask, wet_mm=400, measured_l=200)
    assert scaled.capacity_l == 200
    assert scaled.fraction == plain.fraction
    assert scaled.litres == pytest.approx(200 * plain.fraction)


def test_table_by_the_millimetre() -> None:
    table = dip_table(Dimensions(660, 560, 840), measured_l=200)
    assert [dip.wet_mm for dip in table] == list(range(661))
    assert (table[0].litres, table[-1].litres) == (0.0, 200.0)
    assert all(upper.litres > lower.litres for lower, upper in zip(table, table[1:], strict=False))


def test_table_ends_at_full_when_the_depth_is_no_whole_step() -> None:
    table = dip_table(Dimensions(660.4, 560, 840), step_mm=10)
    assert [dip.wet_mm for dip in table][-2:] == [660.0, 660.4]
    assert table[-1].fraction == 1.0


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Dimensions(560, 660, 840), "head 660 mm is wider than bung 560 mm"),
        (
            lambda: Dimensions(26, 22, 33, "egg"),
            "shape 'egg' is none of spheroid, parabolic, paraboloid, cone",
        ),
        (lambda: Dimensions(math.nan, 560, 840), "bung diameter not a number is outside 10 to 5000 mm"),
        (lambda: Dimensions(660, 560, 0), "length 0 mm is outside 10 to 5000 mm"),
        (lambda: at_dip(Dimensions(660, 560, 840), wet_mm=661), "wet dip 661 mm is outside 0 to 660 mm"),
        (lambda: at_dip(Dimensions(660, 560, 840), dry_mm=-1), "dry dip -1 mm is outside 0 to 660 mm"),
        (
            lambda: at_dip(Dimensions(660, 560, 840), wet_mm=841, stance="standing"),
            "wet dip 841 mm is outside 0 to 840",
        ),
        (lambda: at_dip(Dimensions(660, 560, 840)), "either wet or dry"),
        (lambda: at_dip(Dimensions(660, 560, 840), wet_mm=1, dry_mm=1), "either wet or dry"),
        (lambda: at_dip(Dimensions(660, 560, 840), wet_mm=1, stance="on end"), "stance 'on end' is none of"),
        (
            lambda: at_dip(Dimensions(660, 560, 840), wet_mm=1, measured_l=0),
            "measured capacity 0 L is outside",
        ),
        (lambda: r138_class_b_l(0), "nominal capacity 0 L is outside"),
    ],
)
def test_refusals_name_the_limit(make: object, said: str) -> None:
    with pytest.raises(DomainError, match=said):
        make()  # type: ignore[operator]


def test_tolerance_class_b_turns_at_fifteen_litres() -> None:
    """OIML R 138:2007, 5.1.3: 1 % but not less than 0.15 L."""
    assert r138_class_b_l(15) == pytest.approx(0.15)
    assert r138_class_b_l(16) == pytest.approx(0.16)


def test_quadrature_is_exact_for_polynomials() -> None:
    for degree in (0, 1, 7, 40, 95):
        assert integral(lambda x, n=degree: x**n) == pytest.approx(1 / (degree + 1), rel=1e-13)
    assert sum(weight for _, weight in nodes(5)) == pytest.approx(1.0, abs=1e-15)
