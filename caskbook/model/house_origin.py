"""Where the value of a setting comes from: written in house.yaml, for all casks or for a type, from some day on; or nowhere."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from caskbook.model.house import USUAL_FLOORS, House, is_dated, row_in_force, since_day

DEFAULT = "default"
_FLOOR = ("stave_floor_mm",)


def origin_of(house: House, day: date, path: Sequence[str], cask_type: str | None = None) -> str:
    """In words where the setting at `path` (due, rechar, due_at) comes from that holds on a day for a type of cask, None the house's own."""
    written = _written(house.types.get(cask_type), path, day) if cask_type else None
    if written is not None:
        return f"house.yaml, types.{cask_type}{written}"
    written = _written(house.raw, path, day)
    if written is not None:
        return f"house.yaml{written}"
    return f"{DEFAULT} of a {cask_type}" if cask_type in USUAL_FLOORS and tuple(path) == _FLOOR else DEFAULT


def _written(value: Any, path: Sequence[str], day: date) -> str | None:
    """Empty, or ", since DAY", of what is written at the path and in force on the day; None where nothing is."""
    since = ""
    for key in (*path, None):
        if is_dated(value):
            row = row_in_force(value, day)
            if row is None:
                return None
            since, value = f", since {since_day(value[row])}", value[row]["value"]
        if key is None:
            break
        if not isinstance(value, dict) or key not in value:
            return None
        value = value[key]
    return None if value is None else since
