"""Chance falls alike everywhere, within its bounds."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from caskbook.demo.dice import Dice


def test_the_same_name_gives_the_same_falls_on_every_machine() -> None:
    dice = Dice("7/TH-000001")
    falls = [dice.whole(1, 1000) for _ in range(5)]
    assert falls == [Dice("7/TH-000001").whole(1, 1000), *falls[1:]]
    # Written down once: a change here would change every demo ledger there is.
    assert falls == FALLS


FALLS = [686, 735, 29, 382, 789]


@given(st.text(max_size=20), st.integers(-50, 50), st.integers(0, 100))
def test_falls_stay_within_their_bounds(name: str, low: int, width: int) -> None:
    dice = Dice(name)
    assert low <= dice.whole(low, low + width) <= low + width
    assert low <= dice.real(low, low + width) <= low + width
    assert abs(dice.bell(low, 1.0) - low) <= 3.5
    assert dice.weigh((("a", 1.0), ("never", 0.0))) == "a"
    assert 0 <= dice.bits(14) < 1 << 14


def test_weights_are_shares() -> None:
    dice = Dice("shares")
    picks = [dice.weigh((("a", 3.0), ("b", 1.0))) for _ in range(4000)]
    assert 0.72 < picks.count("a") / 4000 < 0.78
