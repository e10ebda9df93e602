"""The rows of an account of losses: a fill, or a part of it, and fills together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from caskbook.loss.verdicts import Level

NONE = Decimal("0.00")


class FillRow(NamedTuple):
    """One fill in the account, or what went of it in one store or year. `litres`, `lpa`: lost, to the hundredth; `put_in`: LPA at
    the first gauge and put in since; `held`: LPA that was there at the beginning, and put in since. Rates are fractions a year.

    None where there is no second gauge, or the figure is in doubt: then `doubt` is its kind and `reason` says more. `doubts`: what is
    to be said of the gauges. `times`: of what peers lose. `leaked`: of `lpa`, what went by a leak that is acted on, and `to_air` the rest. `complete`: gauged to the end of what is shown.
    """

    cask: str
    type: str
    parcel: str | None
    store: str | None
    band: str
    fill: str
    filled: date
    first: date | None
    last: date | None
    years: float | None
    litres: Decimal | None
    lpa: Decimal | None
    put_in: Decimal | None
    share: float | None
    per_year: float | None
    plus_minus: float | None
    after_in_drink: float | None
    after_plus_minus: float | None
    expected: float | None
    verdict: Level
    doubts: tuple[str, ...]
    supplier: str | None = None
    year: int | None = None
    held: Decimal | None = None
    times: float | None = None
    complete: bool = False
    doubt: str | None = None
    reason: str | None = None
    to_air: Decimal | None = None
    leaked: Decimal | None = None

    @property
    def which(self) -> tuple[str, str, date]:
        """What tells the fill from every other: of a cask with several files one id may have begun two."""
        return self.cask, self.fill, self.filled


@dataclass(frozen=True, slots=True)
class GroupRow:
    """Fills together. `fills` of which `gauged` twice or more; sums of what the rows show; the middle of their rates after
    in-drink, and of `times` what peers lose; how many are at act and at watch, gauged to the end, or in doubt and so in no sum."""

    name: str
    casks: int
    fills: int
    gauged: int
    litres: Decimal
    lpa: Decimal
    put_in: Decimal
    share: float | None
    middle: float | None
    act: int
    watch: int
    held: Decimal = NONE
    times: float | None = None
    complete: int = 0
    doubtful: int = 0
    to_air: Decimal = NONE
    leaked: Decimal = NONE
