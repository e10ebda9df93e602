"""The points of a fill: what moves add to their error, and what a gauge of next to nothing may have meant."""

from __future__ import annotations

import math

import pytest
from casks import ev

from caskbook.loss.points import ERROR_OF_NOTHING, LEAST_KEPT, course_of
from loss.filled import filled, gauged, lost


def test_after_a_draw_the_error_of_the_gauge_before_counts_by_what_is_left() -> None:
    """200 L of which 100 L are drawn the day after: the error of the filling counts twice in the logarithm of what is left, so three times its square is added."""
    drawn = ev("2015-01-02", "draw", litres=100, abv=63.5, at_20=True)
    first, last = course_of(lost(filled(litres=200.0), drawn, gauged("2019-01-01", 96.0, 63.3)))
    assert 3.0 * first.error**2 < last.walk < 5.0 * first.error**2
    _, plain = course_of(lost(filled(litres=200.0), gauged("2019-01-01", 192.0, 63.3)))
    assert plain.walk == 0.0


def test_of_next_to_nothing_a_slip_is_told_from_what_is_there() -> None:
    """0.19 L for 190 L is less than the least that a logarithm is taken of; ten times as much is told from 0.19 L and not from that least."""
    _, last = course_of(lost(filled(litres=200.0), gauged("2019-01-01", 0.19, 63.5)))
    assert last.fallen == pytest.approx(-math.log(LEAST_KEPT)) and last.error == ERROR_OF_NOTHING
    (tenfold,) = [one for one in last.readings if one.words == "did you mean 1.9 L?"]
    beyond = math.log(LEAST_KEPT * 200 / 0.19)
    assert tenfold.shift == pytest.approx(math.log(10) - beyond, abs=0.01)
