"""Which due rules a house has switched off: by these nothing is due, whatever the casks are like."""

from __future__ import annotations

from datetime import date

from caskbook.model.house import House, Settings
from caskbook.words.due_names import DUE_NAMES


def rules_off(house: House, day: date) -> list[str]:
    """The due rules that judge nothing on a day: by their names those that are off for the whole house, as `retest of butt` those of one type."""
    whole = _off(house.on(day))
    return [*whole, *(f"{rule} of {kind}" for kind in house.types for rule in _off(house.on(day, kind)) if rule not in whole)]


def _off(settings: Settings) -> list[str]:
    return [rule for rule in DUE_NAMES if getattr(settings.due, rule).off]
