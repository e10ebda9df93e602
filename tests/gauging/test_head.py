"""Heads and staves: the six-step compass, and bevels that close a round."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.domain import DomainError
from caskbook.gauging.head import bevels, equal_bevel_deg, head_circle


def test_six_steps_round_a_circle_are_its_radius() -> None:
    """Euclid IV.15, checked by walking: six chords of the step come back to where they began."""
    at = 265.0 + 0j
    step = 265.0
    for k in range(6):
        following = 265.0 * cmath.exp(1j * math.pi * (k + 1) / 3)
        assert abs(following - at) == pytest.approx(step)
        at = following
    assert at == pytest.approx(265.0)
    assert head_circle(step).radius_mm == 265.0


def test_step_in_the_croze_with_a_shade_over() -> None:
    circle = head_circle(265, allowance_mm=1)
    assert (circle.radius_mm, circle.diameter_mm) == (266, 532)


def test_the_groove_is_added_only_for_a_step_on_the_wall() -> None:
    assert head_circle(261, "wall", groove_mm=4, allowance_mm=1).radius_mm == 266
    assert head_circle(265, "croze", groove_mm=4).radius_mm == 265


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((265, "wall"), "a step taken on the wall needs the depth of the groove"),
        ((265, "rim"), "step 'rim' is neither croze nor wall"),
        ((0,), "compass step 0 mm is outside 10 to 5000 mm"),
        ((265, "wall", -1), "groove depth -1 mm is outside 0 to 50 mm"),
        ((265, "croze", None, 21), "allowance 21 mm is outside -20 to 20 mm"),
    ],
)
def test_head_refusals(arguments: tuple[object, ...], said: str) -> None:
    with pytest.raises(DomainError, match=said):
        head_circle(*arguments)  # type: ignore[arg-type]


@given(st.integers(3, 60))
def test_equal_widths_give_the_equal_bevel(staves: int) -> None:
    found = bevels([70.0] * staves)
    assert found.angles_deg == pytest.approx([equal_bevel_deg(staves)] * staves, abs=1e-9)
    assert found.radius_mm == pytest.approx(35.0 / math.sin(math.pi / staves), rel=1e-12)


def test_six_equal_staves_have_their_width_for_radius() -> None:
    assert bevels([100.0] * 6).radius_mm == pytest.approx(100.0)
    assert equal_bevel_deg(6) == 30.0


def test_three_four_five() -> None:
    """A triangle stands in a circle of radius abc / 4 area, here 5 / 2: the right angle sees the diameter."""
    found = bevels([30.0, 40.0, 50.0])
    assert found.radius_mm == pytest.approx(25.0, rel=1e-9)
    assert found.angles_deg == pytest.approx([math.degrees(math.asin(0.6)), math.degrees(math.asin(0.8)), 90.0], abs=1e-4)


@given(st.lists(st.floats(40.0, 120.0), min_size=10, max_size=45))
def test_unequal_staves_close_a_round(widths: list[float]) -> None:
    """Walk the chords with the angles found: the last joint meets the first."""
    found = bevels(widths)
    assert sum(found.angles_deg) == pytest.approx(180.0, abs=1e-7)
    turned = 0.0
    for width, angle in zip(widths, found.angles_deg, strict=True):
        start = found.radius_mm * cmath.exp(1j * turned)
        turned += 2.0 * math.radians(angle)
        assert abs(found.radius_mm * cmath.exp(1j * turned) - start) == pytest.approx(width, rel=1e-9)


@pytest.mark.parametrize(
    ("widths", "said"),
    [
        ([70, 70], "number of staves 2 is outside 3 to 500"),
        ([70, 70, 0], "stave width 0 mm is outside 1 to 5000 mm"),
        ([100, 10, 10, 10], "stave 100 mm is too wide: the others cannot close a round with it"),
        ([70, 70, math.nan], "stave width not a number"),
    ],
)
def test_bevel_refusals(widths: list[float], said: str) -> None:
    with pytest.raises(DomainError, match=said):
        bevels(widths)
