"""The due rules by name, in the order in which they are offered."""

from __future__ import annotations

from typing import Literal, get_args

DueName = Literal[
    "rechar",
    "retest",
    "examine",
    "nose",
    "look",
    "hold",
    "regauge",
    "retire",
    "loss",
    "claim",
]
DUE_NAMES: tuple[str, ...] = get_args(DueName)
