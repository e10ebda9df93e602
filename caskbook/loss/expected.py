"""What a fill may be expected to lose, and what the house's table or what is usual says of it without any peer."""

from __future__ import annotations

import math
from dataclasses import dataclass

from caskbook.loss.figures import USUAL_LITRES, FillFigure
from caskbook.model.house import Settings

TABLE_SPREAD = 0.25
"""Spread of an expected rate without peers, as a share of it: no source."""
USUAL_TEMPERATE = 0.02
"""Yearly share lost in a temperate store from about 200 L: 1.5 to 2.5 % (trade press), taken where the house names nothing."""
USUAL_ERROR = 0.5
"""How far a store may lie from what is usual, as a share of it: no source."""


@dataclass(frozen=True, slots=True)
class Expected:
    """Expected yearly share and its spread (one standard deviation), from how many peers (0: a table), and in words whose.

    `drift`: the peers' change of strength, % vol a year, and its spread; None where there are none. `middle_error`: standard deviation of `rate` itself.
    `freedom`: degrees of freedom that the spread rests on; infinite where it is a setting. `usual`: nothing of the house's own tells it.
    `few`: it rests on the house's table (whose rate is `table`, else None) or on what is usual, beside fewer peers than are enough.
    """

    rate: float
    spread: float
    count: int
    source: str
    drift: float | None = None
    drift_spread: float = 0.0
    middle_error: float = 0.0
    freedom: float = math.inf
    usual: bool = False
    few: bool = False
    table: float | None = None


def by_size(litres: float) -> float:
    """How much faster than from 200 L the spirit goes from a cask of this size: (V / 200 L)^(-1/3), as wall to contents."""
    return float((litres / USUAL_LITRES) ** (-1.0 / 3.0))


def from_table(figure: FillFigure, settings: Settings) -> Expected | None:
    """The house's own figure: of the type in the store, else of the type, else of the store (then for 200 L, scaled by size)."""
    table = settings.loss_table
    for name in (f"{figure.type}/{figure.store}", figure.type):
        if name in table:
            return _by_setting(table[name] / 100, f"house table ({name})")
    if figure.store is not None and figure.store in table:
        rate = table[figure.store] / 100 * by_size(figure.litres)
        return _by_setting(rate, f"house table ({figure.store}, scaled by size)")
    return None


def _by_setting(rate: float, source: str) -> Expected:
    return Expected(rate, TABLE_SPREAD * rate, 0, source, middle_error=TABLE_SPREAD * rate)


def is_temperate(store: str | None, settings: Settings) -> bool:
    """Whether the house counts the store as temperate; where it names none, all are."""
    return settings.temperate_stores is None or store in settings.temperate_stores


def usual_of(figure: FillFigure, settings: Settings) -> Expected | None:
    """What is usual in a temperate store; None of another."""
    if not is_temperate(figure.store, settings):
        return None
    rate = USUAL_TEMPERATE * by_size(figure.litres)
    source = "what is usual in a temperate store (trade press), scaled by size"
    return Expected(rate, TABLE_SPREAD * rate, 0, source, middle_error=USUAL_ERROR * rate, usual=True)
