"""Spirit is lost by store, size and leak, and a gauge shows it at its own temperature."""

from __future__ import annotations

import pytest

from caskbook.demo.dice import Dice
from caskbook.demo.house import STORES
from caskbook.demo.liquor import Liquor, kept, measured, rate_for, season_temp, usual_rate
from caskbook.gauging.volume20 import litres_at_20


def filled(**changed: float) -> Liquor:
    liquor = Liquor("malt", 730000, 730000, 195.0, 63.5, 0.02, -0.2, 0.02)
    for name, value in changed.items():
        setattr(liquor, name, value)
    return liquor


def alcohol(liquor: Liquor, years: float) -> float:
    litres, abv = liquor.at(730000 + round(years * 365.2425))
    return litres * abv / 100


def test_what_is_kept_is_compound() -> None:
    assert kept(0.02, 10.0) == pytest.approx(0.98**10, abs=1e-12)
    assert kept(0.02, 0.0) == 1.0


def test_alcohol_falls_at_the_rate_once_the_wood_has_drunk() -> None:
    liquor = filled()
    assert alcohol(liquor, 11) / alcohol(liquor, 10) == pytest.approx(0.98, abs=2e-4)
    assert alcohol(liquor, 10) / alcohol(liquor, 0) == pytest.approx(0.98 * 0.98**10, abs=2e-4)


def test_a_leak_takes_volume_and_leaves_strength() -> None:
    sound, leaking = filled(), filled(leak=0.08)
    day = 730000 + 3652
    assert leaking.at(day)[1] == sound.at(day)[1]
    assert leaking.at(day)[0] / sound.at(day)[0] == pytest.approx(0.92**10, rel=1e-3)


def test_a_draw_changes_the_litres_of_that_day_only_by_itself() -> None:
    liquor, day = filled(), 730000 + 2000
    before, abv = liquor.at(day)
    liquor.change(day, -5.0, abv)
    assert liquor.at(day) == (pytest.approx(before - 5.0), pytest.approx(abv))


@pytest.mark.parametrize("temp", [-2.0, 4.3, 14.5, 20.0, 27.9])
def test_a_measured_volume_corrected_to_20_degrees_is_the_volume(temp: float) -> None:
    assert litres_at_20(measured(180.0, 61.0, temp), 61.0, temp) == pytest.approx(180.0, abs=0.01)


def test_small_casks_and_warm_stores_lose_more() -> None:
    cool, warm = STORES[0], STORES[-1]
    assert usual_rate(cool, 125) > usual_rate(cool, 200) > usual_rate(cool, 500)
    assert usual_rate(cool, 500) == pytest.approx(cool.rate * (500 / 200) ** (-1 / 3), rel=1e-4)
    assert usual_rate(warm, 200) > 1.5 * usual_rate(cool, 200)
    rates = sorted(rate_for(cool, 200, Dice(f"{n}")) / cool.rate for n in range(500))
    assert 0.97 < rates[250] < 1.03 and rates[0] > 0.59 and rates[-1] < 1.81


def test_winter_is_colder_than_summer() -> None:
    for store in STORES:
        assert season_temp(store, 1, Dice("w")) + 4 < season_temp(store, 7, Dice("w"))
