"""The house whose book it is: its stores, its instruments, how far its casks differ, and its house.yaml."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

from loss.simulator.habits import Habit
from loss.simulator.instruments import Tools, tools
from loss.simulator.weather import BASE_RATES, Store, stores


@dataclass(frozen=True, slots=True)
class World:
    """One house. `spread`: of the natural rates of like casks about their mean, as a share of it."""

    habit: Habit
    stores: tuple[Store, ...]
    tools: Tools
    spread: float
    settings: dict[str, Any]


def world(chance: Random, habit: Habit, rates: tuple[float, ...] = BASE_RATES) -> World:
    """A house by chance that gauges in this way, with a store for each base rate; it names its temperate stores and no expected losses."""
    places = stores(chance, rates)
    settings = {
        "crew": [{"initials": "ab"}], "minimum_age": 3, "stores": {store.prefix: store.name for store in places},
        "temperate_stores": [store.name for store in places if store.rate <= 0.03],
    }  # fmt: skip
    return World(habit, places, tools(chance), chance.uniform(0.10, 0.25), settings)
