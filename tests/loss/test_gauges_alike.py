"""What errs alike at two gauges is no loss and hides none: the inside of a cask that is dipped, and a store's warmth where nobody wrote it."""

from __future__ import annotations

import math

import pytest

from caskbook.loss import PeerTable
from loss.filled import filled, gauged
from loss.test_peers import figure
from loss.test_verdicts import judged

SLOW = PeerTable(figure(n + 1, 0.01 + 0.0002 * (n % 7 - 3), store=None) for n in range(42))
"""Casks that lose 1 % a year."""


def level(method: str, times: float, *, warm: bool) -> str:
    """The verdict on a cask of this store gauged once a year: four years as its peers, then two at so many times their rate."""
    more = {} if warm else {"at_20": None}
    litres, events = 200.0, [filled(**more)]
    for year in range(1, 7):
        litres *= 1 - 0.01 * (times if year > 4 else 1.0)
        events.append(gauged(f"{2015 + year}-01-{10 + year}", round(litres, 1), 63.0, method=method, **more))
    return judged(*events, peers=SLOW).level


@pytest.mark.parametrize(("method", "warm", "times"), [("dip", True, 2.5), ("meter", False, 2.5), ("dip", False, 2.75)])
def test_a_slow_leak_is_seen_though_the_gauges_err_by_a_percent(method: str, warm: bool, times: float) -> None:
    """The percent is the same at each of them: a dip's is that of the inside, and each winter the store is as cold."""
    assert level(method, times, warm=warm) == "act"
    assert level(method, 1.5, warm=warm) == "usual"


@pytest.mark.parametrize("first", [1, 4, 7, 10])
def test_winter_and_summer_without_a_temperature_are_no_leak(first: int) -> None:
    """A store of 12 °C in the mean and of 9 °C more in July: what is gauged in January reads 1.6 % less than half a year before."""
    litres, events = 200.0, [filled(at_20=None)]
    for half in range(10):
        litres *= math.sqrt(0.99)
        years, month = divmod(first - 1 + 6 * half, 12)
        warm = 12.0 - 9.0 * math.cos(2 * math.pi * month / 12)
        events.append(gauged(f"{2015 + years}-{month + 1:02}-15", round(litres * (1 + 0.00089 * (warm - 20.0)), 1), 63.0, at_20=None))
        assert judged(*events, peers=SLOW).level == "usual"
