"""Refusals: one line, the value as a person writes it, the limit named."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.domain import DomainError, inward, plain, within


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (40, "40"),
        (40.0, "40"),
        (63.5, "63.5"),
        (-0.25, "-0.25"),
        (1e300, "1e+300"),
        (10**400, "a number of more than 15 digits"),
        (math.nan, "not a number"),
        (math.inf, "infinity"),
        (-math.inf, "-infinity"),
    ],
)
def test_plain(value: float, text: str) -> None:
    assert plain(value) == text


def test_the_ends_belong_to_the_domain() -> None:
    assert within(-20, -20, 40, "temperature") == -20
    assert within(40, -20, 40, "temperature") == 40


@given(st.one_of(st.floats(), st.integers()))
def test_inside_or_one_line(value: float) -> None:
    try:
        assert within(value, 0.0, 700.0, "volume", "L", "a rule") == value
    except DomainError as error:
        assert not 0.0 <= value <= 700.0
        assert str(error).startswith("volume ")
        assert str(error).endswith(" is outside 0 to 700 L (a rule)")
        assert len(str(error)) < 100
        assert "\n" not in str(error)


@given(st.floats(0.0, 50.0), st.floats(51.0, 100.0))
def test_named_ends_lie_inside(low: float, high: float) -> None:
    first, last = (float(part.split(" ")[0]) for part in inward(low, high, ("a", "b"), 2).split(" to "))
    assert low <= first + 1e-9 and last - 1e-9 <= high
    assert first - low <= 0.011 and high - last <= 0.011
