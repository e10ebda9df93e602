"""What a review does not judge: losses, which are held against all fills of the book and not against those that changed."""

from __future__ import annotations

from typing import Any

from caskbook.life import Life
from caskbook.loss.fill_summary import FillSummary, summaries_of

OF_LOSSES = frozenset({
    "loss_table", "in_drink_percent", "measuring_error", "strength_error", "uncorrected_error", "temperate_stores", "stores", "class_of_spirit",
})  # fmt: skip
"""Settings by which a loss is worked out, or that say which fills are alike."""


def of_losses(path: tuple[str, ...]) -> bool:
    """Whether a setting does nothing but decide on losses: its path in house.yaml, that of a type or supplier included."""
    below = path[2:] if path[0] in ("types", "suppliers") else path
    return bool(below) and below[0] in OF_LOSSES or below[:2] == ("due", "loss")


def touches_losses(path: tuple[str, ...], *values: Any) -> bool:
    """Whether a setting, or one among those in its values (maps), decides on losses."""
    inner = [(key, value[key]) for value in values if isinstance(value, dict) for key in value]
    return of_losses(path) or any(touches_losses((*path, str(key)), value) for key, value in inner)


def lost(life: Life) -> tuple[FillSummary, ...]:
    """The fills of a life that there are two gauges of: all that its losses are judged by."""
    return tuple(one for one in summaries_of(life) if len(one.points) > 1)
