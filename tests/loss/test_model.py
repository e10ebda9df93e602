"""The model of a fill against matrices of an independent library: covariance, generalized least squares, and what a sound fill is."""

from __future__ import annotations

import math
from datetime import date, timedelta
from random import Random
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskbook.loss.chances import limit_of
from caskbook.loss.expected import Expected
from caskbook.loss.linear import cholesky, forward
from caskbook.loss.model import Sound, course_from, log_rate
from caskbook.loss.points import Point

START = date(2015, 1, 1)


def np() -> ModuleType:
    """Matrices of an independent library, loaded when they are asked for."""
    import numpy

    return numpy


def linalg() -> ModuleType:
    """Its linear algebra."""
    from scipy import linalg as found

    return found


EXPECTED = Expected(0.02, 0.003, 40, "peers", middle_error=0.0005, freedom=39.0)


SAME = {"meter": 0.2, "weigh": 0.5, "dip": 0.5}
"""Part of the variance of a gauge here that is the same by this method."""


def point(days: int, fallen: float, *, error: float = 0.003, method: str = "meter", since: int = 0, warm: float = 0.0) -> Point:
    stays = ((None, (days - since) / 365.2425),) if days else ()
    same, whole = math.sqrt(SAME.get(method, 0.2)) * error, math.hypot(error, warm)
    return Point(START + timedelta(days), f"e{days:07d}", fallen, whole, method, 100.0 * math.exp(-fallen), 63.0, "1", 0.0, stays, same=same, warm=warm)


def fill(*gauges: tuple[int, float], method: str = "meter", warm: float = 0.0) -> list[Point]:
    found = [point(0, 0.0, warm=warm)]
    for days, fallen in gauges:
        found.append(point(days, fallen, method=method, since=(found[-1].day - START).days, warm=warm))
    return found


def sound(points: list[Point], expected: Expected = EXPECTED, in_drink: float = 0.0, allowed: float = 0.5) -> Sound:
    return Sound(points, lambda _: expected, in_drink, allowed)


SIZES = st.integers(1, 7)


@pytest.mark.thorough
@given(SIZES, st.integers(0, 10**6))
def test_cholesky_and_forward_are_scipys(size: int, seed: int) -> None:
    chance = np().random.default_rng(seed)
    root = chance.normal(size=(size, size))
    matrix = root @ root.T + 0.1 * np().eye(size)
    lower = linalg().cholesky(matrix, lower=True)
    own = cholesky([list(row[: n + 1]) for n, row in enumerate(matrix)])
    assert all(np().allclose(row, lower[n, : n + 1]) for n, row in enumerate(own))
    right = chance.normal(size=size)
    assert np().allclose(forward(own, list(right)), linalg().solve_triangular(lower, right, lower=True))


@pytest.mark.parametrize("days", [1461, 1461 + 183, 183])
def test_the_covariance_of_one_gauge_by_hand(days: int) -> None:
    """Some time after the filling, in the same season or in the other, by the same method: own arithmetic of each part."""
    points = fill((days, 0.08))
    years = days / 365.2425
    natural = log_rate(0.02) * years
    reach = limit_of(0.5, years, 1, 1.0, from_first=True)
    apart = math.expm1(reach * math.hypot(0.003 / 0.02, 0.0005 / 0.02)) / reach
    hot = (0.18 * natural) ** 2 / years
    gauges = 2 * 0.003**2 * 0.8  # a fifth of the variance is the same at both, and goes out
    turn = 2 * math.pi / 365.25
    season = sum((0.5 / (2 * math.pi) * natural / years * (f(turn * points[1].day.timetuple().tm_yday) - f(turn))) ** 2 for f in (math.sin, math.cos))
    lower = sound(points)._lower
    assert lower[0][0] ** 2 == pytest.approx((natural * apart) ** 2 + hot + gauges + season, rel=1e-9)


def test_what_the_wood_takes_at_first_is_expected_and_known_to_half_of_it() -> None:
    points = fill((1461, 0.08))
    dry, wet = sound(points), sound(points, in_drink=0.02)
    taken = -math.log1p(-0.02)
    assert wet.mean[0] - dry.mean[0] == pytest.approx(taken, rel=1e-9)
    assert wet._lower[0][0] ** 2 - dry._lower[0][0] ** 2 == pytest.approx((taken / 2) ** 2, rel=1e-6)


@pytest.mark.parametrize(("days", "same_season"), [(1461, True), (1461 + 183, False)])
def test_what_a_lacking_temperature_adds_by_hand(days: int, same_season: bool) -> None:
    """Between two gauges in the store: nothing of how far it lies from 20 °C, of the seasons by how far apart they are in the year, of the day all."""
    both = [
        [row[:] for row in sound(fill((730, 0.03), (days, 0.06), warm=warm))._lower]
        for warm in (0.0, 0.01)
    ]  # fmt: skip
    found = []
    for lower in both:
        early, late = lower[0][0] ** 2, lower[1][0] ** 2 + lower[1][1] ** 2
        found.append(early + late - 2.0 * lower[0][0] * lower[1][0])
    turn = 2 * math.pi / 365.25
    angles = [turn * (START + timedelta(one)).timetuple().tm_yday for one in (730, days)]
    season = 0.4 * 0.01**2 * sum((f(angles[0]) - f(angles[1])) ** 2 for f in (math.sin, math.cos))
    assert found[1] - found[0] == pytest.approx(season + 2 * 0.1 * 0.01**2, rel=1e-6)
    assert (season < 0.01**2 / 1000) is same_season
    assert both[1][0][0] ** 2 - both[0][0][0] ** 2 > 2 * 0.5 * 0.01**2  # the filling was measured elsewhere: it shares nothing with the store


@pytest.mark.thorough
def test_scores_are_those_of_generalized_least_squares() -> None:
    chance = Random(3)
    points = fill(*((365 * year, 0.02 * year + chance.gauss(0, 0.01)) for year in range(1, 9)))
    one = sound(points, in_drink=0.02)
    lower = np().array([row + [0.0] * (8 - len(row)) for row in one._lower])
    inverse = np().linalg.inv(lower @ lower.T)
    residual = np().array([p.fallen for p in points[1:]]) - np().array(one.mean)
    for begun in range(8):
        for kind in ("running", "once"):
            course = course_from(one.years, begun, kind)
            b = np().array(course)
            size, sigma, share = one.score(course)
            assert size == pytest.approx(float(b @ inverse @ residual / (b @ inverse @ b)), rel=1e-8)
            assert sigma == pytest.approx(float(1 / math.sqrt(b @ inverse @ b)), rel=1e-8)
            own = one._apart * np().array(one.own)  # the cask's own rate alone, as the same weights take it
            assert share == pytest.approx(min(1.0, float(b @ inverse @ own) ** 2 / float(b @ inverse @ b)), rel=1e-8)
    assert one.fit() == pytest.approx(float(residual @ inverse @ residual), rel=1e-8)
    assert one.log_chance() == pytest.approx(-one.fit() / 2)


@given(st.lists(st.tuples(st.integers(20, 900), st.floats(-0.02, 0.3)), min_size=1, max_size=9))
def test_no_score_is_above_the_root_of_the_fit(steps: list[tuple[int, float]]) -> None:
    days, fallen, gauges = 0, 0.0, []
    for later, more in steps:
        days, fallen = days + later, fallen + more
        gauges.append((days, fallen))
    one = sound(fill(*gauges))
    worst = one.worst()
    assert worst.score <= math.sqrt(one.fit()) + 1e-9
    assert worst.size / worst.sigma <= math.sqrt(one.fit()) + 1e-9


def test_the_first_gauges_alone_give_nearly_what_they_gave_then() -> None:
    """Nearly: the spread among peers is read at the score that is looked for, and that falls with the years."""
    gauges = [(365, 0.02), (730, 0.1), (1461, 0.16), (2500, 0.2)]
    whole = sound(fill(*gauges))
    for count in (1, 2, 3):
        part = sound(fill(*gauges[:count]))
        assert whole.worst(count).size == pytest.approx(part.worst().size, rel=0.01, abs=1e-3) or whole.worst(count).begun != part.worst().begun


def test_a_planted_deficit_is_found_where_it_was_planted() -> None:
    usual = -math.log(0.98)
    for begun in range(5):
        running = [(365 * n, usual * n + 0.06 * max(0, n - begun)) for n in range(1, 7)]
        found = sound(fill(*running)).worst()
        assert (found.begun, found.kind) == (begun, "running")
        assert found.size == pytest.approx(0.06 * (6 - begun), rel=0.25)
        once = [(365 * n, usual * n + (0.1 if n > begun else 0.0)) for n in range(1, 7)]
        assert (sound(fill(*once)).worst().begun, sound(fill(*once)).worst().kind) == (begun, "once")


def test_more_gauges_by_a_dip_are_not_so_much_better() -> None:
    """The inside of the cask is measured once: its error does not go out however often it is dipped."""

    def spread(count: int, method: str) -> float:
        points = fill(*((round(1461 * n / count), 0.02 * 4 * n / count) for n in range(1, count + 1)), method=method)
        return sound(points, Expected(0.02, 0.0, 40, "peers")).score([1.0] * count)[1]

    assert spread(12, "dip") > spread(12, "weigh") * 0.99
    assert spread(12, "dip") / spread(1, "dip") > spread(12, "other") / spread(1, "other")
