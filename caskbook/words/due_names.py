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
EVERY_EMPTYING = {"examine": "examined"}
"""Rules that wait for the emptying of every full cask, whatever it is: what is done to it then. Line by line they would bury the list."""
DUE_NAMES: tuple[str, ...] = get_args(DueName)
