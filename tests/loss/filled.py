"""Short ways to write a fill with its gauges, for the tests of losses."""

from __future__ import annotations

from typing import Any

from casks import HOUSE, ev, life_on

from caskbook.life import Life
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.model.house import House

START = [ev("2014-12-01", "receive", verdict="accept"), ev("2014-12-02", "examine", verdict="sound")]
NO_WOOD = House({**HOUSE.raw, "in_drink_percent": 0})
"""A house whose wood takes nothing, so that a rate is the plain one."""


def filled(day: str = "2015-01-01", litres: float = 200.0, abv: float = 63.5, **more: Any) -> dict[str, Any]:
    more.setdefault("at_20", None if "temp_c" in more else True)
    return ev(day, "fill", spirit="malt", litres=litres, abv=abv, **{key: value for key, value in more.items() if value is not None})


def gauged(day: str, litres: float, abv: float = 62.0, method: str = "meter", **more: Any) -> dict[str, Any]:
    more.setdefault("at_20", None if "temp_c" in more else True)
    return ev(day, "regauge", litres=litres, abv=abv, method=method, **{key: value for key, value in more.items() if value is not None})


def emptied(day: str, litres: float, abv: float = 61.0, **more: Any) -> dict[str, Any]:
    return ev(day, "empty", litres=litres, abv=abv, at_20=True, **more)


def lived(*events: dict[str, Any], day: str = "2026-11-25", house: House = NO_WOOD, **head: Any) -> Life:
    return life_on(day, *START, *events, house=house, **head)


def losses(*events: dict[str, Any], day: str = "2026-11-25", house: House = NO_WOOD, **head: Any) -> list[FillLoss]:
    return fill_losses(lived(*events, day=day, house=house, **head))


def lost(*events: dict[str, Any], day: str = "2026-11-25", house: House = NO_WOOD, **head: Any) -> FillLoss:
    """The loss of the only fill."""
    (found,) = losses(*events, day=day, house=house, **head)
    return found
