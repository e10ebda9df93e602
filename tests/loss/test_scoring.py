"""The simulator counts as it says: what is a leak that must be found, when a sound cask was accused, for how long it was watched."""

from __future__ import annotations

import math
from datetime import date, timedelta
from random import Random

import pytest

from loss.simulator.fairness import size_of, times_at
from loss.simulator.floors import failures
from loss.simulator.leaks import Leak
from loss.simulator.scoring import Tally
from loss.simulator.story import FillTruth, GaugeTruth
from loss.simulator.vessel import vessel
from loss.simulator.watching import Watched
from loss.simulator.weather import YEAR, stores

START, ONSET, END = date(2010, 1, 1), date(2012, 1, 1), date(2020, 1, 1)
CASK, STORE = vessel(Random(1), 0.2), stores(Random(1), (0.02,))[0]
HAZARD = 0.02


def _fill(times: float, years: tuple[float, ...], sigma: float = 0.3) -> FillTruth:
    """A fill that has lost so many times its peers since the onset, gauged at the filling, before the onset, and so many years after it."""
    hole = Leak("from a day", ONSET, times, (times - 1) * HAZARD, ((ONSET, END),)) if times > 1 else None
    gauges = [GaugeTruth(START, "e0", 125.0, 0.0, sigma, None, 0.0), GaugeTruth(ONSET - timedelta(9), "e1", 120.0, 0.0, sigma, None, 0.04)]
    for year in years:
        gone = 120.0 * (1 - math.exp(-(times - 1) * HAZARD * year))
        gauges.append(GaugeTruth(ONSET + timedelta(round(year * YEAR)), f"y{year}", 120.0 - gone, gone, sigma, None, 0.04 + HAZARD * year))
    return FillTruth("e0", CASK, STORE, HAZARD, START, END, hole, gauges)


@pytest.mark.parametrize(
    ("times", "years", "sigma", "size"),
    [
        (3.2, (1.01,), 0.3, "large"),
        (3.2, (0.9,), 0.3, "small"),  # not yet a year
        (2.5, (1.0, 2.0, 3.0), 0.3, "middle"),
        (2.5, (1.0, 2.0), 0.3, "middle few"),
        (1.8, (1.0, 2.0, 3.0), 0.3, "small"),
        (3.2, (1.01,), 1.3, "unseen"),  # 5.3 L are gone: under three times the 1.84 of two gauges
        (3.2, (1.01,), 1.2, "large"),
        (2.5, (1.0, 2.0, 3.0), 2.5, "unseen"),
    ],
)
def test_sizes_of_leaks(times: float, years: tuple[float, ...], sigma: float, size: str) -> None:
    assert size_of(_fill(times, years, sigma)) == size.split()[-1]


def test_times_are_those_of_the_leak() -> None:
    fill = _fill(4.0, (1.0, 3.0))
    assert [times_at(fill, gauge) for gauge in fill.gauges[2:]] == pytest.approx([4.0, 4.0], rel=0.01)


def test_a_leak_is_found_by_act_after_its_onset_alone() -> None:
    fill = _fill(4.0, (1.0, 2.0))
    for said, found in (((date(2011, 1, 1), "act"), False), ((date(2013, 1, 1), "watch"), False), ((date(2013, 1, 1), "act"), True)):
        tally = Tally()
        tally.count([Watched(fill, [said])])
        assert tally.of("large") == (int(found), 1)
        assert tally.alarms["act"] == (said[0] < ONSET)


def test_a_sound_cask_is_accused_once_and_watched_until_then() -> None:
    first, second = _fill(1.0, (1.0,)), _fill(1.0, (1.0,))
    said = [(date(2011, 1, 1), "usual"), (date(2012, 1, 1), "watch"), (date(2015, 1, 1), "act")]
    tally = Tally()
    tally.count([Watched(first, said), Watched(second, said)])
    assert tally.alarms == {"act": 1, "any": 1}
    assert tally.decades("act") == pytest.approx(0.5, abs=0.001) and tally.decades("any") == pytest.approx(0.2, abs=0.001)
    quiet = Tally()
    quiet.count([Watched(first, said[:1]), Watched(second, said[:1])])
    assert not quiet.alarms and quiet.decades("act") == pytest.approx(2.0, abs=0.001)
    assert tally.a_decade("act") == pytest.approx(2.0, abs=0.01)


def test_who_accuses_nobody_or_everybody_falls_below_a_floor() -> None:
    for level, short in (("usual", "found of leaks of 3"), ("act", "act on sound")):
        tally = Tally()
        for times in (1.0, 4.0):
            for _ in range(30):
                tally.count([Watched(_fill(times, (1.0, 2.0, 3.0)), [(date(2011, 6, 1), level), (date(2014, 1, 1), level)])])
        assert short in "\n".join(failures("both", tally, 0.001))
