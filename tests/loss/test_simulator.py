"""The world of the simulator is what it says, and its floors can be reached: by a judge that knows the world, though not the cask."""

from __future__ import annotations

import math
from datetime import date, timedelta
from random import Random

import pytest
from laws import others_thorough

from caskbook.gauging.volume20 import volume_factor
from caskbook.life import live
from caskbook.loss.fills import fill_losses
from caskbook.model.cask import read_cask
from caskbook.model.house import House
from loss.simulator.floors import at_least, at_most, broken
from loss.simulator.habits import HABITS, Habit
from loss.simulator.house import world
from loss.simulator.instruments import density, grown
from loss.simulator.leaks import KINDS, leak
from loss.simulator.oracle import oracle_score
from loss.simulator.scoring import join
from loss.simulator.story import story
from loss.simulator.telling import text
from loss.simulator.vessel import vessel
from loss.simulator.weather import BASE_RATES, FIRST, LAST, YEAR, stores

INSIDE = 0.006
"""How far the inside of a cask as it was measured is off, as a share: the same in all its dips, so no error between them."""


@pytest.mark.parametrize("abv", [50.0, 60.0, 70.0])
@pytest.mark.parametrize("temp_c", [2.0, 12.0, 30.0])
def test_liquor_swells_as_the_tables_have_it(abv: float, temp_c: float) -> None:
    assert 1 / grown(abv, temp_c) == pytest.approx(volume_factor(abv, temp_c, 20.0), abs=3e-4)
    assert density(40.0) == 0.9481 and density(45.0) == pytest.approx(0.9391, abs=0.001)


def test_a_vessel_is_full_at_its_brim_and_half_full_in_the_middle() -> None:
    cask = vessel(Random(2), 0.2)
    assert cask.wet_mm(cask.litres) == pytest.approx(cask.bung_mm)
    assert cask.wet_mm(cask.litres / 2) == pytest.approx(cask.bung_mm / 2, rel=1e-6)
    assert cask.wet_mm(0.0) == pytest.approx(0.0)
    inside = math.pi / 4 * cask.bung_mm**3 * cask.kind.long * sum((1 - (1 - cask.kind.waist) * (n / 1000) ** 2) ** 2 for n in range(1000)) / 1000
    assert inside / 1e6 == pytest.approx(cask.litres, rel=1e-3)


@pytest.mark.thorough
@pytest.mark.parametrize("spread", others_thorough([0.10, 0.25], 1))
def test_like_casks_differ_by_the_spread_about_their_mean(spread: float) -> None:
    own = [vessel(Random(f"{n}"), spread).own for n in range(8000)]
    mean = sum(own) / len(own)
    assert mean == pytest.approx(1.0, abs=0.01)
    assert math.sqrt(sum((one - mean) ** 2 for one in own) / len(own)) == pytest.approx(spread, rel=0.05)


def test_a_store_loses_its_base_rate_over_the_years_and_more_in_summer() -> None:
    for store, rate in zip(stores(Random(5), BASE_RATES), BASE_RATES, strict=True):
        assert store.weather(FIRST, LAST) / ((LAST - FIRST).days / YEAR) == pytest.approx(1.0, abs=0.03)
        assert 1 - math.exp(-store.hazard) == pytest.approx(rate)
        assert store.weather(date(2015, 5, 1), date(2015, 11, 1)) > 1.2 * store.weather(date(2015, 11, 1), date(2016, 5, 1))


@pytest.mark.parametrize("kind", KINDS)
def test_a_leak_of_each_kind_begins_at_its_onset_and_adds_up(kind: str) -> None:
    start, end = date(2010, 1, 1), date(2020, 1, 1)
    found = next(one for n in range(200) if (one := leak(Random(n), start, end, 0.02)).kind == kind)
    middle = found.onset + timedelta(days=700)
    assert found.runs(start, found.onset) == 0.0
    assert found.runs(start, middle) + found.runs(middle, end) == pytest.approx(found.runs(start, end))
    assert (found.runs(start, end) > 0) != bool(found.lumps)
    assert all(day >= found.onset and 0 < share < 1 for day, share in found.lumps)
    if kind == "from a day":
        assert found.runs(found.onset, end) == pytest.approx((found.times - 1) * 0.02 * (end - found.onset).days / YEAR)


@pytest.mark.thorough
@pytest.mark.parametrize("habit", others_thorough(HABITS, 1), ids=lambda habit: habit.name)
def test_a_cask_file_says_what_is_there_within_the_error_of_its_gauges(habit: Habit) -> None:
    chance = Random(3)
    house = world(chance, habit)
    off = []
    for n in range(12):
        told = story(chance, house, n)
        cask, faults = read_cask(told.data)
        assert cask is not None and not faults
        losses = fill_losses(live(cask, House(house.settings), LAST))
        assert [loss.record.filling.event for loss in losses] == [fill.event for fill in told.fills]
        for loss, fill in zip(losses, told.fills, strict=True):
            assert [gauge.event for gauge in loss.record.gauges] == [gauge.event for gauge in fill.gauges]
            pairs = zip(loss.record.gauges, fill.gauges, strict=True)
            off += [
                abs((read.lpa or 0.0) - true.there) / math.hypot(true.sigma, INSIDE * true.there * (read.method == "dip"))
                for read, true in pairs if true.slip is None and read.corrected
            ]  # fmt: skip
    if off:
        assert sum(one < 3 for one in off) > 0.98 * len(off)


@pytest.mark.thorough
def test_the_same_seed_tells_the_same_story() -> None:
    one, other = (story(chance, world(chance, HABITS[4]), 7) for chance in (Random(9), Random(9)))
    assert one == other


def test_chances_by_hand() -> None:
    assert at_most(0, 2, 0.5) == 0.25 and at_most(2, 2, 0.5) == 1.0
    assert at_least(1, 1.0) == pytest.approx(1 - math.exp(-1)) and at_least(0, 3.0) == 1.0


@pytest.mark.slow
def test_the_floors_can_be_reached() -> None:
    table = join([oracle_score(600, seed) for seed in (1, 2, 3)])
    assert not broken(table), text(table)
