"""Gauges that cannot all be true: which are set aside, and when it cannot be told."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.consistent import told_apart
from loss.filled import filled, gauged, lost
from loss.test_intervals import gauge, move


def days(*amounts: float) -> tuple[list[int], list[int], bool]:
    """(years of those kept, years of those set aside, in doubt), a gauge a year."""
    kept, aside, doubtful = told_apart([gauge(365 * n, amount) for n, amount in enumerate(amounts)])
    return [int(g.event[1:]) // 365 for g in kept], [int(g.event[1:]) // 365 for g in aside], doubtful


def test_one_too_low_in_the_middle() -> None:
    assert days(200, 195, 60, 188, 184) == ([0, 1, 3, 4], [2], False)


def test_one_too_high() -> None:
    assert days(200, 230, 191, 187) == ([0, 2, 3], [1], False)


def test_the_filling_itself_may_be_wrong() -> None:
    assert days(180, 195, 191, 187) == ([1, 2, 3], [0], False)


def test_of_three_the_reading_that_looks_like_a_leak_gives_way() -> None:
    assert days(200, 50, 192) == ([0, 2], [1], False)


def test_of_two_it_cannot_be_told() -> None:
    assert days(180, 195) == ([0, 1], [], True)
    assert days(100, 120, 140) == ([0, 1, 2], [], True)


def test_a_gain_within_the_error_is_none() -> None:
    assert days(200, 200.9, 195) == ([0, 1, 2], [], False)


def test_a_topping_is_no_gain() -> None:
    kept, aside, doubtful = told_apart([gauge(0, 190), move(200, 20), gauge(365, 207)])
    assert (len(kept), aside, doubtful) == (2, [], False)


def test_it_is_told() -> None:
    found = lost(filled(), gauged("2018-01-01", 60), gauged("2020-01-01", 185), gauged("2022-01-01", 180))
    assert [g.day.year for g in found.set_aside] == [2018]
    assert found.whole is not None and found.whole.share is not None and 0 < found.whole.share < 0.2
    doubtful = lost(filled(litres=150), gauged("2018-01-01", 170))
    assert doubtful.doubtful and doubtful.whole is not None and "gain" in doubtful.whole.flags


@given(st.lists(st.floats(1, 600), max_size=12))
def test_what_is_kept_falls_and_nothing_is_lost(amounts: list[float]) -> None:
    gauges = [gauge(365 * n, amount) for n, amount in enumerate(amounts)]
    kept, aside, doubtful = told_apart(gauges)
    assert sorted([*kept, *aside], key=lambda g: g.day) == gauges
    if not doubtful:
        for one, other in zip(kept, kept[1:], strict=False):
            assert (other.lpa or 0) <= (one.lpa or 0) + 0.0061 * ((one.lpa or 0) + (other.lpa or 0))
