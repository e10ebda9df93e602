"""The root finder against roots known in closed form, and its refusal of a bracket without one."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.gauging.roots import root


@given(st.floats(1e-9, 1.0), st.sampled_from([1, 2, 3, 5, 9]))
def test_odd_and_even_powers(x: float, power: int) -> None:
    found = root(lambda v: v**power - x**power, 0.0, 2.0)
    assert found == pytest.approx(x, abs=1e-13, rel=1e-9)


def test_a_root_at_either_end_is_taken_as_it_is() -> None:
    assert root(lambda x: x, 0.0, 1.0) == 0.0
    assert root(lambda x: x - 1.0, 0.0, 1.0) == 1.0


def test_a_step_that_interpolation_cannot_see() -> None:
    assert root(lambda x: -1.0 if x < 1 / 3 else 1.0, 0.0, 1.0) == pytest.approx(1 / 3, abs=1e-14)


def test_it_takes_few_evaluations_where_the_function_is_smooth() -> None:
    calls = 0

    def f(x: float) -> float:
        nonlocal calls
        calls += 1
        return math.exp(x) - 2.0

    assert root(f, 0.0, 1.0) == pytest.approx(math.log(2.0), abs=1e-15)
    assert calls < 15


def test_no_sign_change_is_refused() -> None:
    with pytest.raises(ValueError, match="not bracketed"):
        root(lambda x: x + 1.0, 0.0, 1.0)
